"""Stone, pipe and fabric along one wall, and the strip by hand: rules 9, 10, 12 and 18.14.

Each strip follows the offset rule of the plan; heights are linear between the stations at which
the drainage stone's top or bottom passes a joint.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from service.core.job.section import Drainage, FilterFabric, LevelingPad, Pipe
from service.core.layout.layout import WallLayout
from service.core.layout.levels import LevelRun, Stretch
from service.core.layout.profile import Interval
from service.core.rounding import CLOSE_M, joint_at_or_above, joints_between, whole_units


@dataclass(frozen=True, slots=True, kw_only=True)
class PadStrip:
    """Pad stone of a wall: area in plan, thickness (overdig included) and volume."""

    area_m2: float
    thickness_m: float

    @property
    def volume_m3(self) -> float:
        """Volume in place."""
        return self.area_m2 * self.thickness_m


@dataclass(frozen=True, slots=True, kw_only=True)
class StoneLayer:
    """Drainage stone over a stretch: it begins at joint `bottom` behind course `first` and ends
    behind course `last`, at tops (over the datum) that are linear along the stretch."""

    from_m: float
    to_m: float
    bottom: int
    first: int
    last: int
    from_top_m: float
    to_top_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StoneBand:
    """Drainage stone behind one course between two stations, its height linear."""

    joint: int
    from_m: float
    to_m: float
    from_height_m: float
    to_height_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeRun:
    """Drain pipe of a wall: its length and how many outlets it has, and why."""

    length_m: float
    outlets: int
    by_spacing: int
    low_stretches: int


def leveling_pad(layout: WallLayout, pad: LevelingPad) -> PadStrip:
    """The strip under each base run, moved back with its base course, longer at the wall's ends."""
    depth = layout.system.standard.depth_m
    rear = depth + pad.rear_extension_m + pad.overdig_m
    areas = [2 * pad.end_extension_m * (pad.front_extension_m + rear)]
    for run in layout.base_runs:
        face = layout.offset_m(run.joint)
        areas.append(
            layout.plan.strip_area_m2(
                run.from_m, run.to_m, face - pad.front_extension_m, face + rear
            )
        )
    return PadStrip(area_m2=math.fsum(areas), thickness_m=pad.thickness_m + pad.overdig_m)


def pad_sides_m2(layout: WallLayout, pad: LevelingPad) -> float:
    """Both long sides of the strip, as long as the face of the base course and what the pad
    reaches beyond its ends."""
    length = base_length_m(layout) + 2 * pad.end_extension_m
    return 2 * (pad.thickness_m + pad.overdig_m) * length


def base_length_m(layout: WallLayout) -> float:
    """Face length of the base course, run by run."""
    return _base_line_m(layout, 0.0)


def drain_pipe(layout: WallLayout, pipe: Pipe) -> PipeRun:
    """Pipe along the rear of the base course; an outlet at least for each low stretch of base."""
    length = _base_line_m(layout, layout.system.standard.depth_m)
    low = _low_stretches(layout.base_runs)
    spaced = whole_units(length, pipe.outlet_spacing_m)
    return PipeRun(length_m=length, outlets=max(spaced, low), by_spacing=spaced, low_stretches=low)


def drainage_layers(layout: WallLayout, drainage: Drainage) -> Iterator[StoneLayer]:
    """Drainage stone from its bottom to `stops_below_top` under the requested top.

    Above the top joint the stone keeps the top course's offset.
    """
    for stretch in layout.stretches:
        for part in _parts(layout, stretch, drainage):
            layer = _layer(layout, stretch, part, drainage)
            if layer is not None:
                yield layer


def drainage_bands(layout: WallLayout, drainage: Drainage) -> Iterator[StoneBand]:
    """The layers course by course; full courses run on through neighboring layers."""
    course = layout.grid.course_m
    begun: dict[int, float] = {}
    end = 0.0
    for layer in drainage_layers(layout, drainage):
        full = range(layer.first, layer.last)
        for joint in [j for j in begun if j not in full or layer.from_m != end]:
            yield _full_band(joint, begun.pop(joint), end, course)
        for joint in full:
            begun.setdefault(joint, layer.from_m)
        low = max(layer.last, layer.bottom) * course
        yield StoneBand(
            joint=layer.last,
            from_m=layer.from_m,
            to_m=layer.to_m,
            from_height_m=max(0.0, layer.from_top_m - low),
            to_height_m=max(0.0, layer.to_top_m - low),
        )
        end = layer.to_m
    for joint, start in begun.items():
        yield _full_band(joint, start, end, course)


def _full_band(joint: int, from_m: float, to_m: float, course_m: float) -> StoneBand:
    return StoneBand(
        joint=joint, from_m=from_m, to_m=to_m, from_height_m=course_m, to_height_m=course_m
    )


def drainage_by_course(layout: WallLayout, drainage: Drainage) -> dict[int, float]:
    """Volume of drainage stone (m3) by course number."""
    volumes: dict[int, list[float]] = {}
    plan = layout.plan.ending_with_neighbors
    for band in drainage_bands(layout, drainage):
        near = layout.offset_m(band.joint) + layout.system.standard.depth_m
        volume = plan.body_m3(
            band.from_m,
            band.to_m,
            near,
            near + drainage.width_m,
            band.from_height_m,
            band.to_height_m,
        )
        volumes.setdefault(band.joint - layout.lowest + 1, []).append(volume)
    return {number: math.fsum(volumes[number]) for number in sorted(volumes)}


def hand_strip_m3(layout: WallLayout, width_m: float) -> float:
    """Volume of a strip behind the units of every course, stone in it included."""
    plan, depth = layout.plan.ending_with_neighbors, layout.system.standard.depth_m
    return layout.grid.course_m * math.fsum(
        plan.strip_area_m2(
            run.from_station_m,
            run.to_station_m,
            course.offset_m + depth,
            course.offset_m + depth + width_m,
        )
        for course in layout.courses
        for run in course.runs
    )


def fabric_area_m2(
    layout: WallLayout, drainage: Drainage, fabric: FilterFabric
) -> tuple[float, float]:
    """Rear face of the drainage stone, and the laps at its top and bottom, in m2."""
    plan = layout.plan.ending_with_neighbors

    def rear_m(joint: int) -> float:
        return layout.offset_m(joint) + layout.system.standard.depth_m + drainage.width_m

    faces = (
        plan.sheet_m2(
            band.from_m, band.to_m, rear_m(band.joint), band.from_height_m, band.to_height_m
        )
        for band in drainage_bands(layout, drainage)
    )
    laps = (
        fabric.lap_m * plan.run_length_m(layer.from_m, layer.to_m, rear_m(joint))
        for layer in drainage_layers(layout, drainage)
        for joint in (layer.first, layer.last)
    )
    return math.fsum(faces), math.fsum(laps)


def _base_line_m(layout: WallLayout, behind_m: float) -> float:
    return math.fsum(
        layout.plan.run_length_m(run.from_m, run.to_m, layout.offset_m(run.joint) + behind_m)
        for run in layout.base_runs
    )


def _low_stretches(runs: tuple[LevelRun, ...]) -> int:
    """Stretches of base lower than what adjoins them; a level base is one."""
    return sum(
        all(other.joint > run.joint for other in (*runs[max(0, i - 1) : i], *runs[i + 1 : i + 2]))
        for i, run in enumerate(runs)
    )


def _stone_top_m(layout: WallLayout, drainage: Drainage, top_m: float) -> float:
    """Top of the stone over the datum."""
    return top_m - drainage.stops_below_top_m - layout.grid.datum_m


def _parts(layout: WallLayout, stretch: Stretch, drainage: Drainage) -> Iterator[Interval]:
    """The stretch cut where the stone's top passes a joint, or the front grade does."""
    interval, course = stretch.interval, layout.grid.course_m
    tops = [
        _stone_top_m(layout, drainage, levels.top_m) for levels in (interval.start, interval.finish)
    ]
    lines = [tops, *_bottom_line(layout, drainage, interval)]
    marks = [mark for first, last in lines for mark in _joint_shares(first, last, course)]
    start = interval.from_m
    for share in sorted(marks):
        station = interval.from_m + share * interval.length_m
        if station - start >= CLOSE_M and interval.to_m - station >= CLOSE_M:
            yield interval.part(start, station)
            start = station
    yield interval.part(start, interval.to_m)


def _bottom_line(
    layout: WallLayout, drainage: Drainage, interval: Interval
) -> Iterator[list[float]]:
    """The level along which the stone's bottom steps from joint to joint, where it follows one."""
    match drainage.starts_at:
        case "pad":
            return
        case "buried_course":
            levels = (interval.start, interval.finish)
            yield [level.front_m - layout.grid.datum_m for level in levels]
        case _:
            assert_never(drainage.starts_at)


def _joint_shares(first: float, last: float, course_m: float) -> Iterator[float]:
    """Where a linear level passes joints, as shares of the way."""
    if abs(last - first) < CLOSE_M:
        return
    low, high = sorted((first, last))
    for joint in joints_between(low, high, course_m):
        yield (joint * course_m - first) / (last - first)


def _bottom(layout: WallLayout, stretch: Stretch, part: Interval, drainage: Drainage) -> int:
    """The joint on which the stone of a part begins."""
    match drainage.starts_at:
        case "pad":
            return stretch.base
        case "buried_course":
            middle = part.at((part.from_m + part.to_m) / 2)
            return max(stretch.base + 1, layout.grid.at_or_below(middle.front_m))
        case _:
            assert_never(drainage.starts_at)


def _layer(
    layout: WallLayout, stretch: Stretch, part: Interval, drainage: Drainage
) -> StoneLayer | None:
    """The stone over a part; None where it would end below its bottom."""
    course = layout.grid.course_m
    bottom = _bottom(layout, stretch, part, drainage)
    tops = [_stone_top_m(layout, drainage, levels.top_m) for levels in (part.start, part.finish)]
    middle_top = sum(tops) / 2
    if middle_top - bottom * course < CLOSE_M:
        return None
    highest = stretch.top_joint - 1
    return StoneLayer(
        from_m=part.from_m,
        to_m=part.to_m,
        bottom=bottom,
        first=min(bottom, highest),
        last=max(min(bottom, highest), min(highest, joint_at_or_above(middle_top, course) - 1)),
        from_top_m=tops[0],
        to_top_m=tops[1],
    )
