"""The level grid: where the base and the top of the wall step.

Joint k lies at datum + k courses. At each station the base joint is the highest one at or below
front grade less required embedment, the top joint the lowest at or above top less cap height
(`up`) or the highest at or below it (`down`): rules 3 and 4. All levels are linear
between profile entries, so every step has a closed form.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from service.core.errors import Fault, LayoutFaultsError
from service.core.job.section import Embedment
from service.core.job.spec import WallSpec
from service.core.job.wall_system import WallSystem
from service.core.layout.profile import Interval, Levels
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M, joint_at_or_above, joint_at_or_below

_SAME_SLOPE = 1e-9
# Bounds the work of one request. A wall's size is its plan parts x courses, and so much for each
# step of base or top; 200 stations and ten parts along a 4 ft wall come to some 2,000.
STRETCH_SIZE = 5
MOST_SIZE = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The joints of a wall."""

    datum_m: float
    course_m: float

    def level_m(self, joint: int) -> float:
        """Level of a joint."""
        return self.datum_m + joint * self.course_m

    def at_or_above(self, level_m: float) -> int:
        """The lowest joint at or above a level."""
        return joint_at_or_above(level_m - self.datum_m, self.course_m)

    def at_or_below(self, level_m: float) -> int:
        """The highest joint at or below a level."""
        return joint_at_or_below(level_m - self.datum_m, self.course_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Stations over which base joint and top joint stay the same and levels are linear."""

    interval: Interval
    base: int
    top_joint: int

    @property
    def from_m(self) -> float:
        """First station."""
        return self.interval.from_m

    @property
    def to_m(self) -> float:
        """Last station."""
        return self.interval.to_m


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRun:
    """Neighboring stretches with one joint in common (the base's or the top's)."""

    from_m: float
    to_m: float
    joint: int


def embedment_share(embedment: Embedment, front_slope: float) -> float:
    """Share of the exposed height that is buried, by the slope in front.

    Between two rows the steeper one holds; ground that rises in front counts as level. Raises
    LayoutFaultsError (`front-slope-unsupported`) beyond the steepest row.
    """
    for slope, share in embedment.shares:
        if front_slope <= slope + _SAME_SLOPE:
            return share
    steepest = embedment.shares[-1][0]
    limit = f"{1 / steepest:g}:1" if steepest > 0 else "level"
    raise LayoutFaultsError(
        [
            Fault(
                code="front-slope-unsupported",
                at=("front_slope",),
                message=f"front_slope {1 / front_slope:g}:1 is steeper than the section's {limit}",
                hint="a section whose embedment table reaches this slope, or an engineer's design",
            )
        ]
    )


def required_embedment_m(embedment: Embedment, share: float, levels: Levels) -> float:
    """Depth below front grade that the section asks for at one place."""
    return max(embedment.minimum_m, share * levels.exposed_m)


def lay_out_grid(
    spec: WallSpec,
    intervals: Sequence[Interval],
    system: WallSystem,
    embedment: Embedment,
    share: float,
) -> Grid:
    """The level grid of a wall, from its highest top or its lowest front grade."""
    course = system.standard.height_m
    places = [place for interval in intervals for place in (interval.start, interval.finish)]
    if spec.level_from == "top":
        highest = max(place.top_m for place in places)
        return Grid(datum_m=highest - system.cap_height_m, course_m=course)
    lowest = min(place.front_m for place in places)
    depth = max(
        required_embedment_m(embedment, share, place)
        for place in places
        if place.front_m - lowest < CLOSE_M
    )
    return Grid(datum_m=lowest - joint_at_or_above(depth, course) * course, course_m=course)


def lay_out_levels(
    spec: WallSpec,
    intervals: Sequence[Interval],
    grid: Grid,
    system: WallSystem,
    embedment: Embedment,
    share: float,
    units: UnitSet,
) -> tuple[Stretch, ...]:
    """Stretches from station 0 to the end, base steps and top steps between them.

    Raises LayoutFaultsError (`no-course`) where no course fits between base and top.
    """
    top_joint = grid.at_or_above if spec.top_rounding == "up" else grid.at_or_below

    def base_target(levels: Levels) -> float:
        return levels.front_m - required_embedment_m(embedment, share, levels)

    def top_target(levels: Levels) -> float:
        return levels.top_m - system.cap_height_m

    stretches = []
    for interval in intervals:
        kinks = _kinks(interval, embedment, share)
        for part in _parts(interval, kinks):
            steps = [*_crossings(part, base_target, grid), *_crossings(part, top_target, grid)]
            for piece in _parts(part, steps):
                middle = piece.at((piece.from_m + piece.to_m) / 2)
                base, top = grid.at_or_below(base_target(middle)), top_joint(top_target(middle))
                stretches.append(Stretch(interval=piece, base=base, top_joint=top))
        if len(stretches) * STRETCH_SIZE > MOST_SIZE:
            raise LayoutFaultsError([too_large_fault()])
    lowered = _lower_short_runs(stretches, embedment.shortest_base_run_m)
    _refuse_gaps(lowered, units)
    return lowered


def too_large_fault(most: int = MOST_SIZE) -> Fault:
    """The fault of walls that have more parts, courses and steps than one request may."""
    return Fault(
        code="layout-too-large",
        at=("profile",),
        message=f"plan parts x courses + {STRETCH_SIZE} x steps of base and top are more than "
        f"{most} in all",
        hint="fewer profile entries or plan parts, or the walls in several requests",
    )


def level_runs(
    stretches: Iterable[Stretch], joint_of: Callable[[Stretch], int]
) -> tuple[LevelRun, ...]:
    """Neighboring stretches joined while the joint stays the same."""
    runs: list[LevelRun] = []
    for stretch in stretches:
        joint = joint_of(stretch)
        if runs and runs[-1].joint == joint:
            runs[-1] = LevelRun(from_m=runs[-1].from_m, to_m=stretch.to_m, joint=joint)
        else:
            runs.append(LevelRun(from_m=stretch.from_m, to_m=stretch.to_m, joint=joint))
    return tuple(runs)


def _kinks(interval: Interval, embedment: Embedment, share: float) -> tuple[float, ...]:
    """The station where the share of the exposed height overtakes the minimum, if it does."""
    over_start = share * interval.start.exposed_m - embedment.minimum_m
    over_finish = share * interval.finish.exposed_m - embedment.minimum_m
    if over_start * over_finish >= 0:
        return ()
    return (interval.from_m + interval.length_m * over_start / (over_start - over_finish),)


def _crossings(
    interval: Interval, target: Callable[[Levels], float], grid: Grid
) -> Iterator[float]:
    """Stations where a linear target passes a joint."""
    first, last = target(interval.start), target(interval.finish)
    low, high = min(first, last), max(first, last)
    if high - low < CLOSE_M:
        return
    for joint in range(grid.at_or_above(low), grid.at_or_below(high) + 1):
        share = (grid.level_m(joint) - first) / (last - first)
        yield interval.from_m + min(1.0, max(0.0, share)) * interval.length_m


def _parts(interval: Interval, stations: Iterable[float]) -> Iterator[Interval]:
    """The interval cut at stations; parts too short to exist are left to their neighbor."""
    start = interval.from_m
    for station in sorted(stations):
        if station - start >= CLOSE_M and interval.to_m - station >= CLOSE_M:
            yield interval.part(start, station)
            start = station
    yield interval.part(start, interval.to_m)


def _lower_short_runs(stretches: Sequence[Stretch], shortest_m: float) -> tuple[Stretch, ...]:
    """Base runs shorter than the section allows take their lower neighbor's level.

    The highest of them goes first, so that the result doesn't depend on the direction of travel.
    """
    result = list(stretches)
    while True:
        runs = level_runs(result, lambda stretch: stretch.base)
        short = [
            (run, lower)
            for i, run in enumerate(runs)
            if run.to_m - run.from_m < shortest_m - CLOSE_M
            and (
                lower := min(
                    (r.joint for r in (*runs[max(0, i - 1) : i], *runs[i + 1 : i + 2])),
                    default=run.joint,
                )
            )
            < run.joint
        ]
        if not short:
            return tuple(result)
        run, lower = max(short, key=lambda pair: pair[0].joint)
        result = [
            replace(s, base=lower) if run.from_m <= s.from_m and s.to_m <= run.to_m else s
            for s in result
        ]


def _refuse_gaps(stretches: Sequence[Stretch], units: UnitSet) -> None:
    gaps = [s for s in stretches if s.base >= s.top_joint]
    if not gaps:
        return
    first, last = (units.show(v, "length") for v in (gaps[0].from_m, gaps[-1].to_m))
    raise LayoutFaultsError(
        [
            Fault(
                code="no-course",
                at=("profile",),
                message=f"from station {first} to {last} no whole course fits between base and top",
                hint="raise the top there, end the wall before it, or set top_rounding to up",
            )
        ]
    )
