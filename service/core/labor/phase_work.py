"""Hours, crews, machines and materials by phase and place: what the order of work is made from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType

from service.core.fraction import Fraction
from service.core.job.phase import DEFAULT_PHASE, PHASE_ROWS, PHASES, Phase
from service.core.job.rates import Rates
from service.core.job.section import Section
from service.core.job.wall_system import WallSystem
from service.core.labor.hours import TaskHours, TimedWork
from service.core.money import split
from service.core.shares import Shares
from service.core.takeoff.quantities import QuantityLine

# Hours carry two places (rule 16.3), and so do their parts by wall.
_HOUR_PLACES = 2
NO_DAYS = Fraction(0)

WallOrAll = str | None  # the name of a wall, or None for what is done once over all of them


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderedWall:
    """A wall for the order of work: its length, and the walls that must stand before it."""

    name: str
    length_m: float
    after: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineUse:
    """Machine hours in one phase. `hours_per_day` are those that the machine works on one day;
    `shares` are by wall, empty where the work is of no wall; `operator` is the crew one of whom
    drives it, None where it comes with a driver."""

    machine: str
    title: str
    phase: Phase
    hours: Decimal
    hours_per_day: Decimal
    shares: Shares = ()
    operator: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseWork:
    """Work of one crew or one machine in one phase at one place. `days` are without rounding;
    `operator` is the crew one of whom drives the machine."""

    place: WallOrAll
    phase: Phase
    resource: str
    hours: Decimal
    days: Fraction
    operator: str | None = None


def phase_of(task: str, phases: Mapping[str, Phase]) -> Phase:
    """The phase of a task by its id; a task that names none is counted with building."""
    return phases.get(task, DEFAULT_PHASE)


def is_daily(task: TaskHours) -> bool:
    """Hours that come with each day begun, whatever is done on it."""
    return task.dimension == "day"


def crew_work(
    timed: TimedWork, rates: Rates, phases: Mapping[str, Phase], walls: Sequence[OrderedWall]
) -> Iterator[PhaseWork]:
    """Person-hours of every task, split over the walls where its phase is built wall by wall."""
    for task in timed.tasks:
        if not is_daily(task):
            phase = phase_of(task.task, phases)
            for place, hours in _placed(task.hours, task.shares, phase, walls):
                days = Fraction(hours) / rates.days[task.who].free
                yield PhaseWork(
                    place=place,
                    phase=phase,
                    resource=crew_key(task.who),
                    hours=hours,
                    days=days,
                )


def machine_work(uses: Iterable[MachineUse], walls: Sequence[OrderedWall]) -> Iterator[PhaseWork]:
    """Machine hours, split in the same manner."""
    for use in uses:
        for place, hours in _placed(use.hours, use.shares, use.phase, walls):
            yield PhaseWork(
                place=place,
                phase=use.phase,
                resource=machine_key(use.machine),
                hours=hours,
                days=Fraction(hours) / Fraction(use.hours_per_day),
                operator=use.operator,
            )


def crew_key(crew: str) -> str:
    """What a crew is called among the resources."""
    return f"crew {crew}"


def machine_key(machine: str) -> str:
    """What a machine is called among the resources."""
    return f"machine {machine}"


def _placed(
    hours: Decimal, shares: Shares, phase: Phase, walls: Sequence[OrderedWall]
) -> Iterable[tuple[WallOrAll, Decimal]]:
    """Hours by place, in hundredths by largest remainder. What is of no wall rides along with
    the walls by their length."""
    if not PHASE_ROWS[phase].by_wall:
        return ((None, hours),)
    if len(walls) == 1:
        return ((walls[0].name, hours),)
    names = {wall.name for wall in walls}
    held = tuple((name, net) for name, net in shares if name in names and net > 0)
    return split(hours, held or tuple((w.name, w.length_m) for w in walls), _HOUR_PLACES)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkThere:
    """All work of one phase at one place: its pieces, the days of each crew and machine, and how
    long it takes: they work side by side."""

    pieces: tuple[PhaseWork, ...] = ()
    days_each: Mapping[str, Fraction] = field(default_factory=lambda: MappingProxyType({}))
    days: Fraction = NO_DAYS


WorkByPlace = Mapping[tuple[WallOrAll, Phase], WorkThere]
NOTHING_THERE = WorkThere()


def work_by_place(work: Iterable[PhaseWork]) -> WorkByPlace:
    """Work by place and phase."""
    found: dict[tuple[WallOrAll, Phase], list[PhaseWork]] = {}
    for piece in work:
        found.setdefault((piece.place, piece.phase), []).append(piece)
    return {key: _work_there(pieces) for key, pieces in found.items()}


def _work_there(pieces: Sequence[PhaseWork]) -> WorkThere:
    days: dict[str, Fraction] = {}
    for piece in pieces:
        before = days.get(piece.resource)
        days[piece.resource] = piece.days if before is None else before + piece.days
    return WorkThere(pieces=tuple(pieces), days_each=days, days=max(days.values()))


def material_phases(system: WallSystem, section: Section) -> Mapping[str, Phase]:
    """The phase in which each item of the walls is first needed on site."""
    needed: list[tuple[str | None, Phase]] = [
        (section.leveling_pad.item, "trench_and_pad"),
        (section.leveling_pad.fabric, "trench_and_pad"),
        (system.standard.item, "base_course"),
        (system.corner_piece.item, "base_course"),
        (section.core_fill_item, "base_course"),
        (section.pipe.item if section.pipe else None, "backfill_base"),
        (section.pipe.outlet_item if section.pipe else None, "backfill_base"),
        (section.filter_fabric.item if section.filter_fabric else None, "backfill_base"),
        (section.drainage.item, "backfill_base"),
        (section.reinforcement_item, "build_and_backfill"),
        (system.cap.item if system.cap else None, "cap"),
        (section.cap_adhesive.item if section.cap_adhesive else None, "cap"),
    ]
    first: dict[str, Phase] = {}
    for item, phase in needed:
        if item is not None:
            first.setdefault(item, phase)
    return first


def lines_by_phase(
    lines: Sequence[QuantityLine], item_phases: Mapping[str, Phase]
) -> Mapping[Phase, tuple[QuantityLine, ...]]:
    """Quantity lines by the phase that needs them first; what is named nowhere comes with
    building."""
    return {
        phase: tuple(line for line in lines if item_phases.get(line.item, DEFAULT_PHASE) == phase)
        for phase in PHASES
    }
