"""Facts of the earthwork that cautions hang on, each with the figure in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from service.core.closed_list import row_each
from service.core.ground.balance import Earthwork
from service.core.ground.earthwork import LeftStanding, WallEarthwork, farthest_m
from service.core.ground.ground import measure_ground
from service.core.job.fact import Fact, Facts
from service.core.job.graded import WallSide
from service.core.job.section import Section
from service.core.job.spec import EndKind
from service.core.layout.corner import CornerJoint
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M

_FREE_ENDS: tuple[EndKind, ...] = ("open", "finished")
_SIDES: Mapping[WallSide, str] = row_each(
    get_args(WallSide), {"front": "In front", "behind": "Behind"}
)


def wall_earth_facts(earth: Earthwork, left_over_m: float, units: UnitSet) -> Mapping[str, Facts]:
    """Facts by wall: how deep the cut is, and ground left standing by more than `left_over_m`."""
    return {wall.wall: _of_wall(wall, left_over_m, units) for wall in earth.walls}


def tight_plan_fact(
    layout: WallLayout, section: Section, earth: Earthwork | None, units: UnitSet
) -> Facts:
    """The first corner at which stone, fabric or digging don't follow the plan: they reach farther
    than the moved lines on both sides of it meet."""
    walls = earth.walls if earth else ()
    dug = next((wall for wall in walls if wall.wall == layout.name), None)
    highest = max(stretch.top_joint for stretch in layout.stretches) - 1
    stone = layout.offset_m(highest) + layout.system.standard.depth_m + section.drainage.width_m
    for station, joint in layout.plan.corners:
        behind = max(stone, farthest_m(dug, "behind", station, station) if dug else stone)
        front = -farthest_m(dug, "front", station, station) if dug else 0.0
        for reach in (behind, front):
            met = joint.met_m(reach)
            if abs(met - reach) > CLOSE_M:
                return {"plan_too_tight": Fact(value=1.0, words=_tight_words(joint, met, units))}
    return {}


def raised_side_fact(layout: WallLayout, units: UnitSet) -> Facts:
    """How high finished ground behind a wall stands over the ground that was there, at an end that
    neither runs into grade nor meets a structure (rule 22.13)."""
    pieces, spec, stretches = measure_ground(layout), layout.spec, layout.stretches
    back_m = layout.offset_m(max(s.top_joint for s in stretches) - 1)
    back_m += layout.system.standard.depth_m
    ends = (
        (spec.ends.start, pieces[0], pieces[0].from_m, stretches[0].interval.start.back_m),
        (spec.ends.finish, pieces[-1], pieces[-1].to_m, stretches[-1].interval.finish.back_m),
    )
    found = [
        (level_m - piece.at(station).at(back_m), station)
        for kind, piece, station, level_m in ends
        if kind in _FREE_ENDS
    ]
    if not found:
        return {}
    height, station = max(found, key=lambda each: each[0])
    high, place = units.show(height, "length"), units.show(station, "length")
    words = f"Fill stands {high} over the ground there, at station {place}."
    return {"raised_side": Fact(value=height, words=words)}


def _tight_words(joint: CornerJoint, met_m: float, units: UnitSet) -> str:
    side = "behind" if met_m > 0 else "in front of"
    return (
        f"Beside the corner at station {units.show(joint.station_m, 'length')} (plan part "
        f"{joint.part}) both sides meet up to {units.show(abs(met_m), 'length')} {side} the plan "
        "line, and no farther."
    )


def job_earth_facts(earth: Earthwork, units: UnitSet) -> Facts:
    """Facts of the whole job: cut is reused, and nobody said what becomes of its topsoil; how much
    soil is moved, cut and fill (rule 22.7)."""
    cut, fill = (units.show(volume, "volume") for volume in (earth.cut_m3, earth.fill_m3))
    return {
        "topsoil_not_stated": Fact(value=float(earth.topsoil is None and earth.reused_m3 > 0)),
        "soil_moved": Fact(value=earth.cut_m3 + earth.fill_m3, words=f"Cut {cut}, fill {fill}."),
    }


def cut_fact(wall_facts: Mapping[str, Facts], spoil_back_m: float | None, units: UnitSet) -> Facts:
    """The deepest cut of the job, with how far what is dug stays back from its edge."""
    depths = [facts["trench_depth"].value for facts in wall_facts.values()]
    back = "" if spoil_back_m is None else units.show(spoil_back_m, "length")
    words = f"What is dug stays {back} or more from the edge." if back else ""
    return {"open_cut": Fact(value=max(depths), words=words)}


def _of_wall(wall: WallEarthwork, left_over_m: float, units: UnitSet) -> Facts:
    standing = [left for left in wall.left_standing if abs(left.height_m) > left_over_m + CLOSE_M]
    return {
        "trench_depth": Fact(
            value=wall.deepest_m,
            words=_depth_words(wall, units),
        ),
        "pad_on_fill": Fact(
            value=float(wall.pad_fill_m > CLOSE_M),
            words=_pad_fill_words(wall, units),
        ),
        "ground_left_standing": Fact(
            value=max((abs(left.height_m) for left in standing), default=0.0),
            words=" ".join(_standing_words(left, units) for left in standing),
        ),
    }


def _depth_words(wall: WallEarthwork, units: UnitSet) -> str:
    depth, place = (
        units.show(value, "length") for value in (wall.deepest_m, wall.deepest_station_m)
    )
    if not wall.one_cut_with:
        return f"From bottom of trench to top of cut {depth} at station {place}."
    return (
        f"One cut with {' and '.join(wall.one_cut_with)}: from the lowest trench bottom to the "
        f"highest top {depth} at station {place}."
    )


def _pad_fill_words(wall: WallEarthwork, units: UnitSet) -> str:
    height = units.show(wall.pad_fill_m, "length")
    place = units.show(wall.pad_fill_station_m, "length")
    return f"Up to {height} of fill under the pad, at station {place}."


def _standing_words(left: LeftStanding, units: UnitSet) -> str:
    height = units.show(abs(left.height_m), "length")
    place = units.show(left.station_m, "length")
    way = "above" if left.height_m > 0 else "below"
    side = _SIDES[left.side]
    return f"{side}, finished ground ends {height} {way} existing ground at station {place}."
