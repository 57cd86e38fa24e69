"""A comparison as tables: options side by side, and the heights that fit a wall's courses."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Console

from service.cli.columns import Column, print_columns, print_text
from service.cli.pointers import fault_words
from service.operations.quoting.comparison_answer import (
    ComparisonAnswer,
    Figures,
    FitAnswer,
    HeightsAnswer,
    OptionAnswer,
)
from service.operations.quoting.levels import Levels, levels_of
from service.operations.readable import courses_text, detail_text, hours_text

AT_MOST = "At most: the wall is stepped, so many courses lie above each other at one place."


def print_comparison(
    console: Console, answer: ComparisonAnswer, *, rods_in: str | None = None
) -> None:
    """Print the options, where there are any, and the heights of each wall; `rods_in` is in what
    its request wrote rod readings."""
    options = (answer.quote, *answer.alternatives)
    if answer.alternatives:
        _print_options(console, options, answer.currency)
    for heights in answer.heights_that_fit:
        unit = heights.max_exposed_height.unit
        _print_heights(console, heights, answer, levels_of(answer.levels_are, unit, rods_in))


def _print_options(console: Console, options: Sequence[OptionAnswer], currency: str) -> None:
    """Each option with its figures; one that can't be quoted with its faults below."""
    quoted = [(option, option.figures) for option in options if option.figures is not None]
    figures_of = [figures for _, figures in quoted]
    columns = (
        Column(head="wall system", cells=[option.wall_system for option, _ in quoted], words=True),
        Column(head="section", cells=[option.section for option, _ in quoted], words=True),
        Column(head="courses", cells=[_courses(figures) for figures in figures_of]),
        *_figure_columns(figures_of),
    )
    print_columns(console, f"Compared, {currency}", columns)
    if any(wall.most_courses < wall.courses for figures in figures_of for wall in figures.walls):
        print_text(console, AT_MOST)
    for option, figures in quoted:
        if figures.cautions_gained:
            named = ", ".join(figures.cautions_gained)
            print_text(console, f"{option.wall_system}, {option.section}: cautions more: {named}")
    for option in options:
        for fault in option.faults:
            said = fault_words(fault.pointer, fault.message)
            print_text(console, f"{option.wall_system}, {option.section} can't be quoted: {said}")


def _figure_columns(figures: Sequence[Figures]) -> Iterator[Column]:
    """What is set side by side of each option."""
    yield Column(
        head="hours", cells=[hours_text(f.labor_hours) if f.labor_hours else "" for f in figures]
    )
    yield Column(head="total", cells=[f.total for f in figures])
    yield Column(head="difference", cells=[f.difference for f in figures])


def _courses(figures: Figures) -> str:
    return ", ".join(courses_text(wall.courses, wall.most_courses) for wall in figures.walls)


def _print_heights(
    console: Console, heights: HeightsAnswer, answer: ComparisonAnswer, levels: Levels
) -> None:
    """The wall as it is, and beside it the heights that use its courses whole."""
    fits = [(name, fit) for name, fit in _fits(heights) if fit is not None]
    now = answer.quote.figures
    columns = (
        Column(head="finished height", cells=["as it is", *(name for name, _ in fits)], words=True),
        Column(head="exposed", cells=_exposed(heights, [fit for _, fit in fits])),
        Column(
            head=f"top, {levels.what}",
            cells=_tops(heights, answer, levels),
            roomy=answer.levels_are == "elevation",  # what a rod reads is asked for on site
        ),
        Column(head="courses", cells=_heights_courses(heights, [fit for _, fit in fits])),
        Column(
            head="passes",
            cells=[_passes(p) for p in (heights.passes, *(x.passes for _, x in fits))],
        ),
        *_figure_columns([f for f in (now, *(fit.figures for _, fit in fits)) if f is not None]),
    )
    print_columns(console, f"Heights that fit, {heights.wall}, {answer.currency}", columns)
    for name, fit in _fits(heights):
        if fit is None:
            print_text(console, f"{name}: can't be built or priced so")
    if heights.most_courses < heights.courses:
        print_text(console, AT_MOST)
    print_text(console, "All tops are raised or lowered alike; the front grade stays.")


def _fits(heights: HeightsAnswer) -> Iterator[tuple[str, FitAnswer | None]]:
    """The heights from the lowest to the highest."""
    yield "a course less", heights.below
    yield "least with these courses", heights.same.least
    yield "most with these courses", heights.same.most
    yield "a course more", heights.above


def _exposed(heights: HeightsAnswer, fits: Sequence[FitAnswer]) -> list[str]:
    lengths = (heights.max_exposed_height, *(fit.max_exposed_height for fit in fits))
    return [detail_text(length) for length in lengths]


def _tops(heights: HeightsAnswer, answer: ComparisonAnswer, levels: Levels) -> list[str]:
    """Where the highest top of the wall stands, as it is and at each height."""
    walls = answer.quote.figures.walls if answer.quote.figures else ()
    now = [wall.built_top for wall in walls if wall.wall == heights.wall]
    fits = [fit.built_top for _, fit in _fits(heights) if fit is not None]
    return [levels.figure(top) for top in (*now, *fits)]


def _heights_courses(heights: HeightsAnswer, fits: Sequence[FitAnswer]) -> list[str]:
    now = courses_text(heights.courses, heights.most_courses)
    return [now, *(courses_text(fit.courses, fit.most_courses) for fit in fits)]


def _passes(passes: bool | None) -> str:
    return "not checked" if passes is None else "yes" if passes else "no"
