"""The order of work: bars by working day for each phase, each crew and each machine.

Days are those of the order of work: phases wall by wall where they are built so, crews by half
days, machines by the days on which they are needed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from service.core.built import Built
from service.core.labor.sequencing.phases import OrderedCrew, Phases
from service.core.measure import number
from service.documents.drawings.canvas import TEXT_MM, Canvas
from service.documents.drawings.drawing import Drawing, Writing
from service.documents.drawings.fitted import fitted
from service.documents.letters import advance

WIDTH_MM = 180.0
_NAMES_MM = 58.0
_RIGHT_MM = 16.0
_ROW_MM = 4.6
_BAR_MM = 3.0
_HEAD_MM = 14.0
_NOTE_MM = 4.2
_WIDEST_DAY_MM = 20.0
# More rows than these leave the walls out of the phases.
MOST_ROWS = 40
_HALVES = 2
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500)
Look = Literal["critical", "slack", "crew", "machine"]
Rank = Literal["heading", "row", "within"]
Span = tuple[float, float]  # from and to in working days, 0 the morning of day 1
_LEFT_MM: dict[Rank, float] = {"heading": 2.0, "row": 4.0, "within": 8.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bars:
    """One row: its name, its bars, and what stands behind the last of them. `rank` tells a heading
    from what stands below it, and that from a wall within a phase."""

    name: str
    spans: tuple[tuple[Span, Look], ...] = ()
    note: str = ""
    rank: Rank = "row"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """The days of the job on the sheet."""

    count: int

    @property
    def day_mm(self) -> float:
        """How wide a day is."""
        return min(_WIDEST_DAY_MM, (WIDTH_MM - _NAMES_MM - _RIGHT_MM) / self.count)

    def x(self, day: float) -> float:
        """A time in working days on the sheet."""
        return _NAMES_MM + day * self.day_mm

    @property
    def step(self) -> int:
        """Every so many days one is named."""
        widest = advance(str(self.count)) * TEXT_MM + 2
        return next((step for step in _STEPS if step * self.day_mm >= widest), _STEPS[-1])


def draw_order_of_work(quote: Built, writing: Writing, wall: str | None = None) -> Drawing | None:
    """The order of work over all walls, whichever is named; None where nothing says what takes
    how long."""
    del wall
    phases = quote.phases
    if phases is None or not phases.phases:
        return None
    rows, notes = bars_of(quote, phases, writing), tuple(_notes(phases, writing))
    days = _Days(
        count=max(1, math.ceil(phases.working_days), *(p.finish_day for p in phases.phases))
    )
    height = _HEAD_MM + len(rows) * _ROW_MM + 3 + (len(notes) + 2) * _NOTE_MM
    canvas = Canvas(WIDTH_MM, height)
    low = _HEAD_MM + len(rows) * _ROW_MM
    _draw_days(canvas, days, low, writing)
    for index, row in enumerate(rows):
        _draw_row(canvas, days, row, _HEAD_MM + index * _ROW_MM)
    _write_foot(canvas, notes, low + 3, writing)
    return canvas.drawing(
        writing.words.say("Order of work"),
        writing.words.say(
            "Bars by working day for {phases} phases, each crew and each machine: {days} working "
            "days in all.",
            phases=len(phases.phases),
            days=writing.words.figure(number(phases.working_days)),
        ),
    )


def bars_of(quote: Built, phases: Phases, writing: Writing) -> tuple[Bars, ...]:
    """The rows from the top: phases, crews, machines, each part under its heading."""
    words = writing.words
    several = len(quote.layouts) > 1
    named = sum(len(phase.walls) for phase in phases.phases) + len(phases.phases)
    return (
        Bars(name=words.say("Phases"), rank="heading"),
        *_phase_rows(phases, writing, by_wall=several and named <= MOST_ROWS),
        Bars(name=words.say("Crews"), rank="heading"),
        *(_crew_row(crew, phases, writing) for crew in phases.crews),
        *_machine_rows(phases, writing),
    )


def _phase_rows(phases: Phases, writing: Writing, *, by_wall: bool) -> Iterator[Bars]:
    for phase in phases.phases:
        look: Look = "critical" if phase.critical else "slack"
        title = writing.words.say_data(phase.title)
        note = _day_text(phase.start_day, phase.finish_day)
        if by_wall and phase.walls:
            yield Bars(name=title)
            for each in phase.walls:
                look = "critical" if each.critical else "slack"
                yield Bars(
                    name=each.wall,
                    spans=((_days_span(each.start_day, each.finish_day), look),),
                    note=_day_text(each.start_day, each.finish_day),
                    rank="within",
                )
        else:
            span = _days_span(phase.start_day, phase.finish_day)
            yield Bars(name=title, spans=((span, look),), note=note)


def _crew_row(crew: OrderedCrew, phases: Phases, writing: Writing) -> Bars:
    """The half days on which a crew is there: those of the order without those it is away."""
    end = math.ceil(phases.working_days * _HALVES)
    edges = [0, *(half for gap in crew.away for half in gap), end]
    there = [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b > a]
    words = writing.words
    days = words.figure(number(crew.days))
    return Bars(
        name=words.say_data(crew.title),
        spans=tuple(((a / _HALVES, b / _HALVES), "crew") for a, b in there),
        note=words.say_count("{days} day", "{days} days", 1 if crew.days == 1 else 2, days=days),
    )


def _machine_rows(phases: Phases, writing: Writing) -> Iterator[Bars]:
    if phases.machines:
        yield Bars(name=writing.words.say("Machines"), rank="heading")
    for machine in phases.machines:
        yield Bars(
            name=writing.words.say_data(machine.title),
            spans=tuple((_days_span(a, b), "machine") for a, b in machine.needed),
            note=", ".join(_day_text(a, b) for a, b in machine.needed[:3])
            + (", …" if len(machine.needed) > 3 else ""),  # noqa: PLR2004  what there is room for
        )


def _days_span(first: int, last: int) -> Span:
    """Days counted from 1, the last one included."""
    return first - 1.0, float(last)


def _day_text(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}–{last}"


def _draw_days(canvas: Canvas, days: _Days, low: float, writing: Writing) -> None:
    """A line at every day, or at every few, and its number."""
    canvas.write((2, 5), writing.words.say("Order of work"), anchor="start", size=3.2, strong=True)
    canvas.write((_NAMES_MM - 2, _HEAD_MM - 2), writing.words.say("Working day"), anchor="end")
    marks = [*range(0, days.count, days.step), days.count]
    canvas.strokes(([(days.x(day), _HEAD_MM), (days.x(day), low)] for day in marks), wide=0.1)
    for day in range(1, days.count + 1):
        if days.step == 1 or day % days.step == 0 or day == 1:
            canvas.write((days.x(day - 0.5), _HEAD_MM - 2), str(day))


def _draw_row(canvas: Canvas, days: _Days, row: Bars, top: float) -> None:
    base = top + _ROW_MM - 1.3
    left, strong = _LEFT_MM[row.rank], row.rank == "heading"
    room = _NAMES_MM - left - 2
    canvas.write((left, base), fitted(row.name, room, strong=strong), anchor="start", strong=strong)
    for (start, finish), look in row.spans:
        _draw_bar(canvas, (days.x(start), days.x(finish)), top + (_ROW_MM - _BAR_MM) / 2, look)
    if row.spans and row.note:
        end = days.x(max(finish for (_, finish), _ in row.spans))
        room = WIDTH_MM - end - 2
        if advance(row.note) * TEXT_MM <= room:
            canvas.write((end + 1, base), row.note, anchor="start")


def _draw_bar(canvas: Canvas, ends: tuple[float, float], top: float, look: Look) -> None:
    left, right = ends[0] + 0.15, max(ends[1] - 0.15, ends[0] + 0.5)
    corners = [(left, top), (right, top), (right, top + _BAR_MM), (left, top + _BAR_MM)]
    match look:
        case "critical":
            canvas.area(corners, fill="#404040")
        case "slack":
            canvas.area(corners, fill="#ffffff")
        case "crew":
            canvas.area(corners, fill="#c8c8c8")
        case "machine":
            canvas.area(corners, fill="#ffffff", wide=0)
            canvas.area(corners, hatch="buried")


def _write_foot(canvas: Canvas, notes: Sequence[str], top: float, writing: Writing) -> None:
    """What the bars mean, and what is allowed for."""
    words, x = writing.words, 4.0
    looks: tuple[tuple[Look, str], ...] = (
        ("critical", words.say("a delay here delays the job")),
        ("slack", words.say("can wait")),
        ("crew", words.say("crew is there")),
        ("machine", words.say("machine is needed")),
    )
    for look, text in looks:
        _draw_bar(canvas, (x, x + 7), top, look)
        canvas.write((x + 8, top + 2.4), text, anchor="start")
        x += 12 + advance(text) * TEXT_MM
    for index, note in enumerate(notes):
        at = (4.0, top + (index + 2) * _NOTE_MM)
        canvas.write(at, fitted(note, WIDTH_MM - 8), anchor="start")


def _notes(phases: Phases, writing: Writing) -> Iterator[str]:
    words, weather = writing.words, phases.weather
    if weather is not None:
        yield words.say(
            "With days lost to weather {expected} days are expected for {days} of work: an "
            "allowance, no forecast.",
            expected=words.figure(number(weather.expected_days)),
            days=words.figure(number(weather.working_days)),
        )
    for trench in phases.stretches:
        if trench.count > 1:
            yield words.say(
                "{wall}: the trench is opened, built and filled again in {count} stretches of "
                "{length}.",
                wall=trench.wall,
                count=trench.count,
                length=writing.length(trench.length_m),
            )
