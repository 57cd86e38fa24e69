"""The walls of a quote as a table, and below it what a crew sets them out by."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from msgspec import UnsetType
from rich.console import Console

from service.cli.columns import Column, print_columns, print_text
from service.cli.measure_cells import length_cells, measure_cells
from service.core.money import counted
from service.operations.quoting.answer import PriceAnswer
from service.operations.quoting.answer_walls import WallAnswer
from service.operations.quoting.levels import Levels
from service.operations.readable import courses_text, detail_text, length_text


def print_walls(
    console: Console, walls: Sequence[WallAnswer], price: PriceAnswer, levels: Levels
) -> None:
    """Print each wall with its measures and its price; its base and courses below."""
    columns = (
        Column(head="wall", cells=[wall.name for wall in walls], words=True),
        Column(head="length", cells=length_cells([wall.length for wall in walls])),
        Column(head="courses", cells=[_courses(wall) for wall in walls]),
        Column(head="exposed", cells=length_cells([w.max_exposed_height for w in walls])),
        Column(head="height", cells=length_cells([wall.max_wall_height for wall in walls])),
        Column(head="face area", cells=measure_cells([wall.face_area for wall in walls])),
        Column(
            head="exposed area",
            cells=measure_cells([wall.exposed_area for wall in walls]),
            roomy=True,
        ),
        Column(
            head="pay face area", cells=measure_cells([w.pay_face_area for w in walls]), roomy=True
        ),
        Column(head="price", cells=[part.price for part in price.by_wall]),
    )
    print_columns(console, "Walls", columns)
    for wall in walls:
        print_text(console, f"{wall.name}: {'; '.join(_set_out(wall, levels))}")
    if Decimal(price.site_wide):
        print_text(console, f"Site-wide, of no wall alone: {price.site_wide}")


def _courses(wall: WallAnswer) -> str:
    return courses_text(len(wall.courses), most_courses(wall))


def _set_out(wall: WallAnswer, levels: Levels) -> Iterator[str]:
    """Where the lowest units stand, where the base steps, what `at most` means, the setback."""
    lowest = levels.text(wall.courses[0].elevation)
    yield f"underside of the lowest course at {lowest}"
    if wall.steps:
        yield f"base begins at {levels.text(wall.courses[_first_base(wall)].elevation)}"
        yield from _steps(wall, levels)
    if most_courses(wall) < len(wall.courses):
        yield f"at most {most_courses(wall)} courses at one place, {len(wall.courses)} levels"
    if not isinstance(wall.setback, UnsetType):
        back = detail_text(wall.setback)
        yield f"each course {back} behind the one below" if Decimal(wall.setback.value) else "plumb"


def _steps(wall: WallAnswer, levels: Levels) -> Iterator[str]:
    """Each step of the base, with the level from there on."""
    base = _first_base(wall)
    for step in wall.steps:
        base += step.courses
        by = f"{'up' if step.courses > 0 else 'down'} {counted(abs(step.courses), 'course')}"
        level = levels.text(wall.courses[base].elevation)
        yield f"steps {by} at station {length_text(step.station)} to {level}"


def _first_base(wall: WallAnswer) -> int:
    """The place, among its courses, of the lowest one at the start of a wall."""
    starts = [
        min((Decimal(run.from_station.value) for run in course.runs), default=None)
        for course in wall.courses
    ]
    return starts.index(min(start for start in starts if start is not None))


def most_courses(wall: WallAnswer) -> int:
    """How many courses there are at one place, at most."""
    runs = [
        (Decimal(run.from_station.value), Decimal(run.to_station.value))
        for course in wall.courses
        for run in course.runs
    ]
    return max(sum(first <= start < last for first, last in runs) for start, _ in runs)
