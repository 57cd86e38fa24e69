"""The tables by which a wall is set out: stations, steps of the base, points of its curves."""

from __future__ import annotations

from collections.abc import Iterator

from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet
from service.documents.tree import Block, Bullets, Column, Heading, Paragraph, Row, Table
from service.documents.words import Words
from service.operations.paper.setting_out import (
    CurveSetOut,
    SetOut,
    set_out_curves,
    set_out_stations,
    string_level_m,
)
from service.operations.paper.subject import Subject
from service.operations.paper.written import detail, length, localized
from service.operations.quoting.measures import measure_of


def set_out_blocks(subject: Subject, layout: WallLayout, words: Words) -> Iterator[Block]:
    """Heading, words and tables for one wall."""
    units = subject.quote.job.units
    string = string_level_m(layout, units.name)
    yield Heading(text=words.say("Setting out"), level=3)
    yield Paragraph(
        text=words.say(
            "Stretch a string level at {level} along the wall. Depths are read down from it; edges "
            "of the trench are measured from the face line of the base course, + toward the soil.",
            level=level_text(subject, string, words),
        )
    )
    yield _station_table(subject, set_out_stations(layout, subject.quote.job), words)
    if layout.steps:
        yield Bullets(items=tuple(_steps(layout, units, words)))
    for curve in set_out_curves(layout, units.name):
        yield from _curve(curve, units, words)


def _station_table(subject: Subject, rows: tuple[SetOut, ...], words: Words) -> Table:
    units = subject.quote.job.units
    columns = (
        (words.say("Station"), 1.5),
        (words.say("Ground in front"), 1.15),
        (words.say("Top of pad"), 1.1),
        (words.say("Bottom of trench"), 1.15),
        (words.say("Below string"), 1.1),
        (words.say("Front edge"), 0.85),
        (words.say("Rear edge"), 0.95),
        (words.say("Face behind plan line"), 0.95),
        (words.say("Courses"), 0.8),
    )
    return Table(
        caption=words.say("Setting out by station"),
        columns=tuple(Column(title=title, align="end", share=share) for title, share in columns),
        rows=tuple(
            Row(
                cells=(
                    length_of(row.station_m, units, words),
                    level_text(subject, row.front_m, words),
                    level_text(subject, row.pad_top_m, words),
                    level_text(subject, row.trench_bottom_m, words),
                    detail_of(row.below_string_m, units, words),
                    detail_of(row.front_edge_m, units, words),
                    detail_of(row.rear_edge_m, units, words),
                    detail_of(row.face_m, units, words),
                    str(row.courses),
                )
            )
            for row in rows
        ),
    )


def _steps(layout: WallLayout, units: UnitSet, words: Words) -> Iterator[str]:
    for step in layout.steps:
        at = length_of(step.station_m, units, words)
        if step.courses > 0:
            yield words.say_count(
                "At {station} the base steps up by {count} course.",
                "At {station} the base steps up by {count} courses.",
                step.courses,
                station=at,
            )
        else:
            yield words.say_count(
                "At {station} the base steps down by {count} course.",
                "At {station} the base steps down by {count} courses.",
                -step.courses,
                station=at,
            )


def _curve(curve: CurveSetOut, units: UnitSet, words: Words) -> Iterator[Block]:
    side = words.say("outside") if curve.curve.side == "outside" else words.say("inside")
    yield Paragraph(
        label=words.say("Curve, part {part} of the plan, {side}", part=curve.part, side=side),
        text=words.say(
            "from {start} to {end}; radius {radius}, chord {chord}, middle ordinate {rise}. "
            "Lay a tape along the chord and measure square off it.",
            start=length_of(curve.from_m, units, words),
            end=length_of(curve.to_m, units, words),
            radius=length_of(curve.curve.radius_m, units, words),
            chord=detail_of(curve.chord_m, units, words),
            rise=detail_of(curve.rise_m, units, words),
        ),
    )
    yield Table(
        caption=words.say("Points of the curve"),
        columns=tuple(
            Column(title=title, align="end")
            for title in (
                words.say("Station"),
                words.say("Along the chord"),
                words.say("Off the chord"),
            )
        ),
        rows=tuple(
            Row(
                cells=(
                    length_of(point.station_m, units, words),
                    detail_of(point.along_m, units, words),
                    detail_of(point.ordinate_m, units, words),
                )
            )
            for point in curve.points
        ),
    )


def level_text(subject: Subject, level_m: float, words: Words) -> str:
    """A level as it is read on site: an elevation, or the reading of a rod; with the language's
    decimal sign, as lengths beside it have it."""
    job = subject.quote.job
    shown = -level_m if subject.answer.levels_are == "rod" else level_m
    return localized(subject.levels.figure(measure_of(shown, "length", job.units)), words)


def length_of(meters: float, units: UnitSet, words: Words) -> str:
    """A length in meters, as a tape reads it."""
    return length(measure_of(meters, "length", units), words)


def detail_of(meters: float, units: UnitSet, words: Words) -> str:
    """A length in meters, to the last mark of a tape."""
    return detail(measure_of(meters, "length", units), words)
