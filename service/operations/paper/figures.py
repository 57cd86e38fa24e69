"""The drawings of a quote as figures of a document, in its language."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from service.core.built import Built
from service.documents.drawings import (
    Drawing,
    Writing,
    draw_earthwork_map,
    draw_elevation,
    draw_order_of_work,
    draw_plan,
    draw_plan_sheets,
    draw_section,
)
from service.documents.tree import Figure
from service.documents.words import Words
from service.operations.answer_figures import Measure
from service.operations.paper.kinds import DrawingKind
from service.operations.paper.setting_out_tables import level_text
from service.operations.paper.subject import Subject
from service.operations.paper.written import detail, length
from service.operations.quoting.measures import measure_of

Draw = Callable[[Built, Writing, str | None], Drawing | None]
_DRAW: Mapping[DrawingKind, Draw] = {
    "plan": draw_plan,
    "elevation": draw_elevation,
    "section": draw_section,
    "earthwork_map": draw_earthwork_map,
    "order_of_work": draw_order_of_work,
}


def figure_of(
    subject: Subject, kind: DrawingKind, words: Words, wall: str | None = None
) -> Figure | None:
    """One drawing; None where there is nothing to draw. `wall` is the one that an elevation or a
    section shows, the first where it is left out."""
    draw = _DRAW.get(kind)
    drawing = draw(subject.quote, _writing(subject, words), wall) if draw else None
    return None if drawing is None else _figure(drawing)


def figures_of(
    subject: Subject, kinds: tuple[DrawingKind, ...], words: Words, wall: str | None = None
) -> tuple[Figure, ...]:
    """Those of several drawings that show something, for the pages of a document: a plan of many
    walls in as many parts as it takes pages."""
    figures = list[Figure]()
    for kind in kinds:
        if kind == "plan":
            sheets = draw_plan_sheets(subject.quote, _writing(subject, words))
            figures += map(_figure, sheets)
        elif figure := figure_of(subject, kind, words, wall):
            figures.append(figure)
    return tuple(figures)


def _figure(drawing: Drawing) -> Figure:
    return Figure(
        svg=drawing.svg,
        width_mm=drawing.width_mm,
        height_mm=drawing.height_mm,
        title=drawing.title,
        description=drawing.description,
    )


def _writing(subject: Subject, words: Words) -> Writing:
    units = subject.quote.job.units

    def measure(meters: float) -> Measure:
        return measure_of(meters, "length", units)

    return Writing(
        words=words,
        length=lambda meters: length(measure(meters), words),
        detail=lambda meters: detail(measure(meters), words),
        level=lambda meters: level_text(subject, meters, words),
        units=units.name,
    )
