"""One phase over the whole job: its hours, days, machines and materials, and when it is done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.core.job.phase import PHASE_ROWS, Phase
from service.core.labor.hours import TaskHours
from service.core.labor.machine_time import Days, joined
from service.core.labor.phase_work import MachineUse, PhaseWork, machine_key
from service.core.labor.sequencing.crew_phases import CrewDays
from service.core.labor.sequencing.phase_span import PhaseSpan, PhaseSpans
from service.core.money import counted, plain, total_of
from service.core.takeoff.quantities import QuantityLine


@dataclass(frozen=True, slots=True, kw_only=True)
class WallPhase:
    """A phase at one wall. Days count from 1 and are inclusive; where a trench is done stretch by
    stretch, they run from the first stretch to the last."""

    wall: str
    start_day: int
    finish_day: int
    critical: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineDays:
    """A machine's hours, the first and last working day on which it is needed, and the stretches
    of days without a day between on which it is."""

    machine: str
    title: str
    hours: Decimal
    first_day: int
    last_day: int
    needed: tuple[Days, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseTime:
    """One phase over the whole job. `hours` are person-hours; `crew_days` half days of each crew;
    `materials` must be on site by `start_day`; `after` is what must be finished first, at each
    wall or over all of them. It is critical where a delay of it delays the whole job."""

    phase: Phase
    title: str
    hours: Decimal
    crew_days: tuple[CrewDays, ...]
    machines: tuple[MachineDays, ...]
    materials: tuple[QuantityLine, ...]
    after: tuple[Phase, ...]
    start_day: int
    finish_day: int
    critical: bool
    walls: tuple[WallPhase, ...]
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseParts:
    """What belongs to one phase: tasks, crews, machines, materials, and all of that by place."""

    tasks: tuple[TaskHours, ...]
    crews: tuple[CrewDays, ...]
    machines: tuple[MachineUse, ...]
    materials: tuple[QuantityLine, ...]
    work: tuple[PhaseWork, ...]

    @property
    def is_empty(self) -> bool:
        """Nothing is to be done, and nothing to be on site."""
        return not (self.work or self.materials)


def time_phase(
    phase: Phase, parts: PhaseParts, spans: PhaseSpans, after: tuple[Phase, ...]
) -> PhaseTime:
    """A phase with its first and last day. Without work it has those on which it would be done."""
    places = dict.fromkeys(piece.place for piece in parts.work) or dict.fromkeys(
        place for place, other in spans if other == phase
    )
    held = [spans[place, phase] for place in places]
    start, finish = min(s.first_day for s in held), max(s.last_day for s in held)
    return PhaseTime(
        phase=phase,
        title=PHASE_ROWS[phase].title,
        hours=total_of(task.hours for task in parts.tasks),
        crew_days=parts.crews,
        machines=machine_days(parts.machines, parts.work, spans),
        materials=parts.materials,
        after=after,
        start_day=start,
        finish_day=finish,
        critical=bool(parts.work) and any(span.critical for span in held),
        walls=_wall_phases(parts.work, phase, spans),
        how=tuple(_how(parts.tasks, parts.crews, after, (start, finish))),
    )


def machine_days(
    uses: Sequence[MachineUse], work: Sequence[PhaseWork], spans: PhaseSpans
) -> tuple[MachineDays, ...]:
    """Machines in the order in which they are named, with the days on which they are needed."""
    days = []
    for machine in dict.fromkeys(use.machine for use in uses):
        mine = [use for use in uses if use.machine == machine]
        key = machine_key(machine)
        held: list[PhaseSpan] = [spans[w.place, w.phase] for w in work if w.resource == key]
        days.append(
            MachineDays(
                machine=machine,
                title=mine[0].title,
                hours=total_of(use.hours for use in mine),
                first_day=min(span.first_day for span in held),
                last_day=max(span.last_day for span in held),
                needed=joined((span.first_day, span.last_day) for span in held),
            )
        )
    return tuple(days)


def _wall_phases(
    here: Sequence[PhaseWork], phase: Phase, spans: PhaseSpans
) -> tuple[WallPhase, ...]:
    """The phase wall by wall, in the order in which the walls are reached."""
    if not PHASE_ROWS[phase].by_wall:
        return ()
    named = dict.fromkeys(piece.place for piece in here if piece.place is not None)
    in_turn = sorted(((spans[name, phase], name) for name in named), key=lambda pair: pair[0].start)
    return tuple(
        WallPhase(
            wall=name,
            start_day=span.first_day,
            finish_day=span.last_day,
            critical=span.critical,
        )
        for span, name in in_turn
    )


def _how(
    tasks: Sequence[TaskHours],
    crews: Sequence[CrewDays],
    after: Sequence[Phase],
    days: tuple[int, int],
) -> Iterator[str]:
    """Hours, crew days and place in the order, in words."""
    if tasks:
        listed = " + ".join(f"{task.title} {plain(task.hours)} h" for task in tasks)
        total = plain(total_of(task.hours for task in tasks))
        yield listed if len(tasks) == 1 else f"{listed} = {total} h"
    for crew in crews:
        share = counted(crew.days, "day") if crew.days else "within a half day already begun"
        yield f"{crew.title}: {plain(crew.hours)} h, {share}"
    first, last = days
    when = f"working day {first}" if first == last else f"working days {first} to {last}"
    waits = "".join(f", after {PHASE_ROWS[phase].title.lower()}" for phase in after)
    yield f"{when}{waits}"
