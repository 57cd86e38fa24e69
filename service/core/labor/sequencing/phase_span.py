"""When each phase is done at each place: wall after wall, each trench stretch by stretch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from service.core import rounding
from service.core.errors import Fault, QuoteFaultsError
from service.core.fraction import Fraction
from service.core.job.phase import (
    AFTER_WALLS,
    BEFORE_WALLS,
    OPEN_PHASES,
    PHASE_ROWS,
    WALL_PHASES,
    Phase,
)
from service.core.labor.phase_work import (
    NO_DAYS,
    NOTHING_THERE,
    OrderedWall,
    WallOrAll,
    WorkByPlace,
)
from service.core.labor.sequencing.sequence import (
    Activity,
    ActivityCircularError,
    Timed,
    schedule_activities,
)

# The phases of an open trench are one activity: the next stretch waits until this one is filled.
_OPEN = "open"


def activities_of(phases: Sequence[Phase]) -> tuple[tuple[str, tuple[Phase, ...]], ...]:
    """Phases at one wall as activities, one after another: their names, with their phases."""
    named = groupby(phases, lambda each: _OPEN if PHASE_ROWS[each].open_trench else each)
    return tuple((name, tuple(within)) for name, within in named)


WALL_ACTIVITIES = activities_of(WALL_PHASES)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseSpan:
    """When a phase is done at one place, in exact working days from the start of the job."""

    start: Fraction
    finish: Fraction
    critical: bool

    @property
    def last_day(self) -> int:
        """The working day on which it ends, counted from 1."""
        return max(1, rounding.days_begun(self.finish))

    @property
    def first_day(self) -> int:
        """The working day on which it begins; what takes no time begins where it ends."""
        return min(rounding.day_number(self.start), self.last_day)


PhaseSpans = Mapping[tuple[WallOrAll, Phase], PhaseSpan]


def schedule_spans(
    done: WorkByPlace, walls: Sequence[OrderedWall], counts: Mapping[str, int]
) -> PhaseSpans:
    """The span of every phase at every place; `counts` are the stretches of each wall's trench.

    Raises QuoteFaultsError (`walls-wait-for-each-other`).
    """
    try:
        timed = schedule_activities(tuple(_activities(done, walls)))
    except ActivityCircularError as error:
        raise QuoteFaultsError([_circular(error.keys)]) from None
    return dict(_spans(timed, done, walls, counts))


def _activity(
    done: WorkByPlace,
    at: tuple[str, WallOrAll],
    phases: Sequence[Phase],
    after: Sequence[str],
) -> Activity:
    """Phases at one place that nothing else comes between, as one activity by its name."""
    name, place = at
    there = [done[place, phase] for phase in phases if (place, phase) in done]
    return Activity(
        key=_key(name, place),
        days=sum((work.days for work in there), NO_DAYS),
        resources=tuple(dict.fromkeys(who for work in there for who in work.days_each)),
        after=tuple(after),
    )


def _key(name: str, place: WallOrAll) -> str:
    return name if place is None else f"{name} {place}"


def _activities(done: WorkByPlace, walls: Sequence[OrderedWall]) -> Iterator[Activity]:
    """All activities: before the walls, wall by wall in the order given, after the walls.

    A wall that must stand before another is backfilled before the other's trench is opened.
    """
    before: tuple[str, ...] = ()
    for phase in BEFORE_WALLS:
        yield _activity(done, (phase, None), [phase], before)
        before = (phase,)
    names = [wall.name for wall in walls]
    last_of_walls: list[str] = []
    for wall in walls:
        lower = dict.fromkeys(_key(_OPEN, name) for name in wall.after if name in names)
        waits = before
        for name, phases in WALL_ACTIVITIES:
            after = (*waits, *lower) if name == _OPEN else waits
            yield _activity(done, (name, wall.name), phases, after)
            waits = (_key(name, wall.name),)
        last_of_walls += waits
    before = tuple(last_of_walls) or before
    for phase in AFTER_WALLS:
        yield _activity(done, (phase, None), [phase], before)
        before = (phase,)


def _spans(
    timed: Mapping[str, Timed],
    done: WorkByPlace,
    walls: Sequence[OrderedWall],
    counts: Mapping[str, int],
) -> Iterator[tuple[tuple[WallOrAll, Phase], PhaseSpan]]:
    for phase in (*BEFORE_WALLS, *AFTER_WALLS):
        yield (None, phase), _whole(timed[phase])
    for wall in walls:
        for phase in WALL_PHASES:
            if not PHASE_ROWS[phase].open_trench:
                yield (wall.name, phase), _whole(timed[_key(phase, wall.name)])
        yield from _open_spans(timed[_key(_OPEN, wall.name)], done, wall, counts)


def _whole(timed: Timed) -> PhaseSpan:
    return PhaseSpan(start=timed.start, finish=timed.finish, critical=timed.critical)


def _open_spans(
    timed: Timed, done: WorkByPlace, wall: OrderedWall, counts: Mapping[str, int]
) -> Iterator[tuple[tuple[WallOrAll, Phase], PhaseSpan]]:
    """Each phase of the trench from its first stretch to its last: with n equal stretches the
    last one begins n - 1 stretches after the first."""
    count = counts.get(wall.name, 1)
    later = (timed.finish - timed.start) * (count - 1) / count
    start = timed.start
    for phase in OPEN_PHASES:
        finish = start + done.get((wall.name, phase), NOTHING_THERE).days / count
        span = PhaseSpan(start=start, finish=finish + later, critical=timed.critical)
        yield (wall.name, phase), span
        start = finish


def _circular(keys: Sequence[str]) -> Fault:
    """Walls that wait for each other, in the circle they stand in."""
    start = f"{_OPEN} "
    names = [repr(key.removeprefix(start)) for key in keys if key.startswith(start)]
    return Fault(
        code="walls-wait-for-each-other",
        at=("tiers",),
        message=f"walls stand before each other in a circle: {', '.join(names)}",
        hint="name each lower wall once below its upper one",
    )
