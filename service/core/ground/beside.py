"""Graded areas beside walls: nothing counted twice, and no wall undercut.

A wall's own earthwork reaches some way from its plan line (rule 13.8); an area beside
it begins no nearer than that.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Sequence

from service.core.errors import Fault, Path
from service.core.ground.earthwork import WallEarthwork, farthest_m
from service.core.ground.grading import GradedArea
from service.core.job.graded import Beside, Grading, SurveyedArea
from service.core.job.section import LevelingPad
from service.core.job.spec import Station
from service.core.layout.layout import WallLayout
from service.core.layout.profile import station_m
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M, tape_mark


def beside_faults(
    grading: Grading,
    graded: GradedArea,
    layouts: Sequence[WallLayout],
    earthworks: Sequence[WallEarthwork],
    pad: LevelingPad,
    ground_slope: float,
    units: UnitSet,
) -> Iterator[Fault]:
    """What is wrong with where an area lies, with paths that start at the grading entry:
    `unknown-wall`, `station-unknown-part`, `grading-stations-order`, `earth-counted-twice`,
    `finished-under-pad`.

    `ground_slope` is the steepest slope at which the soil stands (run over rise, by soil class).
    """
    beside = grading.beside
    if beside is None:
        return
    layout = next((layout for layout in layouts if layout.name == beside.wall), None)
    if layout is None:
        yield _unknown_wall(beside.wall, [layout.name for layout in layouts])
        return
    faults = list(_station_faults(beside, layout, units))
    yield from faults
    if faults:
        return
    stretch = (
        station_m(beside.from_station, layout.plan),
        station_m(beside.to_station, layout.plan),
    )
    yield from _twice_faults(beside, stretch, earthworks, units)
    if beside.side == "front" and graded.highest_finished_m is not None:
        yield from _undercut_faults(
            grading, graded.highest_finished_m, stretch, layout, pad, ground_slope, units
        )


def _unknown_wall(name: str, names: Sequence[str]) -> Fault:
    close = difflib.get_close_matches(name, names, 1)
    return Fault(
        code="unknown-wall",
        at=("wall",),
        message=f"no wall of the request is called {name[:80]!r}",
        hint=f"did you mean {close[0]!r}?" if close else "the name of a wall of this request",
    )


def _station_faults(beside: Beside, layout: WallLayout, units: UnitSet) -> Iterator[Fault]:
    parts = len(layout.plan.part_ends_m)
    stations: tuple[tuple[str, Station], ...] = (
        ("from_station", beside.from_station),
        ("to_station", beside.to_station),
    )
    for name, station in stations:
        if station.kind == "after" and station.part > parts:
            yield Fault(
                code="station-unknown-part",
                at=(name, "after"),
                message=f"{name} stands after plan part {station.part}, but the plan of "
                f"{layout.name} has {parts} parts",
                hint=f"a number from 1 to {parts}",
            )
        elif station_m(station, layout.plan) > layout.length_m + CLOSE_M:
            length = units.show(layout.length_m, "length")
            yield Fault(
                code="grading-stations-order",
                at=(name,),
                message=f"{name} {units.show(station.at_m, 'length')} lies beyond the end of "
                f"{layout.name}, which is {length} long",
                hint=f'at most {length}, or "end"',
            )
    first, last = (station_m(station, layout.plan) for _, station in stations)
    if last - first < CLOSE_M:
        yield Fault(
            code="grading-stations-order",
            at=("to_station",),
            message=f"to_station {units.show(last, 'length')} does not lie beyond from_station "
            f"{units.show(first, 'length')}",
            hint="stations in the direction of the wall's plan",
        )


def _twice_faults(
    beside: Beside,
    stretch: tuple[float, float],
    earthworks: Sequence[WallEarthwork],
    units: UnitSet,
) -> Iterator[Fault]:
    """The area begins inside what the wall's own earthwork covers."""
    for earth in earthworks:
        if earth.wall != beside.wall:
            continue
        reach = farthest_m(earth, beside.side, *stretch)
        if reach > beside.from_m + CLOSE_M:
            mark = tape_mark(reach, _mark_m(units), up=True)
            yield Fault(
                code="earth-counted-twice",
                at=("from",),
                message=f"the earthwork of {beside.wall} reaches {units.show(reach, 'length')} "
                f"from its plan line on that side, the area begins at "
                f"{units.show(beside.from_m, 'length')}",
                hint=f"from {units.show(mark, 'length')} on, or a smaller graded_"
                f"{'in_front' if beside.side == 'front' else 'behind'} of the wall",
            )


def _mark_m(units: UnitSet) -> float:
    """A tape's inch, or ten millimeters."""
    return 0.0254 if units.name == "us" else 0.01


def _undercut_faults(
    grading: Grading,
    highest_m: float,
    stretch: tuple[float, float],
    layout: WallLayout,
    pad: LevelingPad,
    ground_slope: float,
    units: UnitSet,
) -> Iterator[Fault]:
    """All of the area lies so far under the pad that soil could not stand between them."""
    inside = [
        s.base
        for s in layout.stretches
        if s.to_m > stretch[0] + CLOSE_M and s.from_m < stretch[1] - CLOSE_M
    ]
    beside = grading.beside
    if not inside or beside is None:
        return
    under_pad = layout.grid.level_m(min(inside)) - pad.thickness_m - pad.overdig_m
    front = pad.front_extension_m - layout.offset_m(min(inside))
    room = max(0.0, beside.from_m - front)
    lowest = under_pad - (room / ground_slope if ground_slope > 0 else 0.0)
    if highest_m < lowest - CLOSE_M:
        yield Fault(
            code="finished-under-pad",
            at=_finished_at(grading),
            message=f"the finished ground of {grading.name} lies "
            f"{units.show(under_pad - highest_m, 'length')} or more below the bottom of the pad of "
            f"{beside.wall}, and begins {units.show(beside.from_m, 'length')} from its plan line",
            hint=f"at most {units.show(under_pad - lowest, 'length')} below it there, an area "
            "farther away, or a wall that stands deeper; an engineer decides what may be dug "
            "beside a footing",
        )


def _finished_at(grading: Grading) -> Path:
    return ("survey",) if isinstance(grading.ground, SurveyedArea) else ("grid",)
