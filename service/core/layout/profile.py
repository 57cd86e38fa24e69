"""The profile of a wall: levels between stations, linear, with jumps where two entries meet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.core.errors import Fault, LayoutFaultsError
from service.core.job.spec import ProfileEntry, Station, WallSpec
from service.core.layout.plan import PlanLine
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M

END_TOLERANCE_M = 0.0254  # 1 in: how far the last station may be off the plan's end
# No dry-stacked modular wall is built this high in one lift of units: a figure beyond it is a
# mistake in a level, most often feet given as inches (common practice).
HIGHEST_WALL_M = 30.0
FEWEST_ENTRIES = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """Requested top, front grade and back grade at one place, in meters."""

    top_m: float
    front_m: float
    back_m: float

    @property
    def exposed_m(self) -> float:
        """Requested top minus front grade."""
        return self.top_m - self.front_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A stretch of stations over which every level is linear."""

    from_m: float
    to_m: float
    start: Levels
    finish: Levels

    @property
    def length_m(self) -> float:
        """Length along the plan."""
        return self.to_m - self.from_m

    def at(self, station_m: float) -> Levels:
        """Levels at a station of the interval."""
        share = (station_m - self.from_m) / self.length_m
        a, b = self.start, self.finish
        return Levels(
            top_m=a.top_m + share * (b.top_m - a.top_m),
            front_m=a.front_m + share * (b.front_m - a.front_m),
            back_m=a.back_m + share * (b.back_m - a.back_m),
        )

    def front_at(self, station_m: float) -> float:
        """Front grade at a station of the interval."""
        share = (station_m - self.from_m) / self.length_m
        return self.start.front_m + share * (self.finish.front_m - self.start.front_m)

    def part(self, from_m: float, to_m: float) -> Interval:
        """The part between two stations of the interval."""
        start = self.start if from_m == self.from_m else self.at(from_m)
        return Interval(from_m=from_m, to_m=to_m, start=start, finish=self.at(to_m))


def measure_profile(spec: WallSpec, plan: PlanLine, units: UnitSet) -> tuple[Interval, ...]:
    """Intervals from station 0 to the plan's end.

    Raises LayoutFaultsError with every fault of the profile: stations out of order or off the
    plan, more than two entries at one place, a top below the front grade.
    """
    stations = [station_m(entry.station, plan) for entry in spec.profile]
    faults = [*_reference_faults(spec, plan)]
    if not faults:
        faults += _station_faults(stations, plan, units)
    faults += level_faults(spec.profile, units)
    if faults:
        raise LayoutFaultsError(faults)
    stations[-1] = plan.length_m
    levels = [_levels(entry) for entry in spec.profile]
    return tuple(
        Interval(from_m=stations[i], to_m=stations[i + 1], start=levels[i], finish=levels[i + 1])
        for i in range(len(stations) - 1)
        if stations[i + 1] - stations[i] >= CLOSE_M
    )


def _levels(entry: ProfileEntry) -> Levels:
    return Levels(top_m=entry.top_m, front_m=entry.front_grade_m, back_m=entry.back_grade_m)


def station_m(station: Station, plan: PlanLine) -> float:
    """Where a station of the profile lies along the plan, in meters."""
    if station.kind == "end":
        return plan.length_m
    if station.kind == "after":
        return plan.part_ends_m[min(max(station.part, 1), len(plan.part_ends_m)) - 1]
    return station.at_m


def _reference_faults(spec: WallSpec, plan: PlanLine) -> Iterator[Fault]:
    parts = len(plan.part_ends_m)
    for index, entry in enumerate(spec.profile):
        if entry.station.kind == "after" and not 1 <= entry.station.part <= parts:
            yield Fault(
                code="station-unknown-part",
                at=("profile", index, "station", "after"),
                message=f"profile entry {index + 1} stands after plan part {entry.station.part}, "
                f"but the plan has {parts} parts",
                hint=f"a number from 1 to {parts}",
            )


def _station_faults(stations: list[float], plan: PlanLine, units: UnitSet) -> list[Fault]:
    def fault(index: int, code: str, message: str, hint: str | None = None) -> Fault:
        return Fault(code=code, at=("profile", index, "station"), message=message, hint=hint)

    if len(stations) < FEWEST_ENTRIES:
        message = (
            f"the profile has {len(stations)} entries; it needs one at station 0 and one at the end"
        )
        return [Fault(code="profile-too-short", at=("profile",), message=message)]
    faults = []
    last = len(stations) - 1
    if abs(stations[0]) > CLOSE_M:
        first = units.show(stations[0], "length")
        faults.append(
            fault(0, "first-station-not-zero", f"the first station is {first}; it must be 0")
        )
    if abs(stations[last] - plan.length_m) > END_TOLERANCE_M + CLOSE_M:
        given, needed = (units.show(value, "length") for value in (stations[last], plan.length_m))
        message = f"the last station is {given}, the plan is {needed} long"
        faults.append(fault(last, "last-station-off", message, f'"{needed}" or "end"'))
    else:
        stations = [*stations[:last], plan.length_m]
    return [*faults, *(fault(*misplaced) for misplaced in _order_faults(stations, units))]


def _order_faults(stations: list[float], units: UnitSet) -> Iterator[tuple[int, str, str]]:
    """Entry, code and message of each station that doesn't fit the one before."""
    last = len(stations) - 1
    for i in range(1, len(stations)):
        here = units.show(stations[i], "length")
        gap = stations[i] - stations[i - 1]
        if gap < -CLOSE_M:
            before = units.show(stations[i - 1], "length")
            yield (
                i,
                "stations-out-of-order",
                f"station {here} comes after {before}; stations must not go back",
            )
        elif gap < CLOSE_M and i in (1, last):
            yield (
                i,
                "end-station-doubled",
                f"two entries stand at {here}, an end of the wall; a jump needs wall on both sides",
            )
        elif gap < CLOSE_M and stations[i] - stations[i - 2] < CLOSE_M:
            yield (
                i,
                "station-given-three-times",
                f"three entries stand at {here}; at most two may, for a jump",
            )


def level_faults(profile: tuple[ProfileEntry, ...], units: UnitSet) -> Iterator[Fault]:
    """Entries whose top lies below the front grade or beyond all measure above it."""
    for index, entry in enumerate(profile):
        exposed = entry.top_m - entry.front_grade_m
        apart = units.show(abs(exposed), "length")
        if exposed < -CLOSE_M:
            yield Fault(
                code="top-below-front-grade",
                at=("profile", index, "top"),
                message=f"profile entry {index + 1}: the top lies {apart} below the front grade",
                hint="a top at or above the front grade; with rods a larger reading is lower",
            )
        elif exposed > HIGHEST_WALL_M:
            limit = units.show(HIGHEST_WALL_M, "length")
            yield Fault(
                code="wall-too-high",
                at=("profile", index, "top"),
                message=f"profile entry {index + 1}: the top lies {apart} over the front grade, "
                f"more than {limit}, the most that is laid out",
                hint="check the units of the levels",
            )
