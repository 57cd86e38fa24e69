"""Earthwork of walls of which one stands above another: one cut, and nothing moved twice.

Rules 13.16 to 13.18.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from service.core.ground.cross_section import CrossSection
from service.core.ground.dug_wall import DugWall, Slice
from service.core.ground.earthwork import LeftStanding, WallEarthwork
from service.core.ground.excavation import Excavated
from service.core.ground.region import GroundLine, Trapezoid, clipped
from service.core.ground.tiers.one_cut import OneCut, one_cuts
from service.core.ground.tiers.shared_cut import NearWall, Taken, besides, taken_from
from service.core.ground.tiers.tier_line import neighbors
from service.core.ground.wall_end import EndEarth
from service.core.job.spec import Tier
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """Walls in the order of the request; `shared_cut_m3` (bank) is what more than one would dig
    and one does, None where no cuts are one."""

    walls: tuple[WallEarthwork, ...]
    shared_cut_m3: float | None


def deep_together(found: Sequence[Excavated], tiers: Sequence[Tier]) -> frozenset[str]:
    """Names of walls whose one cut with others, at the section's slope, is as deep as that the
    slope of the soil's class holds."""
    around = neighbors([each.earth.wall for each in found], tiers)
    cuts = one_cuts({each.earth.wall: each.asked for each in found}, around)
    reached = (each for each in found if each.earth.wall in cuts)
    return frozenset(
        each.earth.wall for each in reached if each.deep.is_reached(cuts[each.earth.wall].depth_m)
    )


def join(dug: Sequence[Excavated], tiers: Sequence[Tier]) -> Joined:
    """Earthwork of all walls, each dug at the slope that holds, less what others dig and fill."""
    around = neighbors([each.earth.wall for each in dug], tiers)
    walls = {each.earth.wall: each.wall for each in dug}
    cuts = one_cuts(walls, around)
    joined, shared = [], []
    for each in dug:
        others = besides(each.earth.wall, walls, around[each.earth.wall])
        taken = taken_from(each.wall, others) if others else None
        shared += [taken.sums[0]] if taken else []
        joined.append(_joined(each, taken, others, cuts.get(each.earth.wall)))
    total = math.fsum(shared)
    return Joined(walls=tuple(joined), shared_cut_m3=total if cuts or total > 0 else None)


def _joined(
    each: Excavated, taken: Taken | None, others: Sequence[NearWall], cut: OneCut | None
) -> WallEarthwork:
    """A wall's earthwork less what others dig and fill."""
    earth, units = each.earth, each.units
    if taken is None:
        return earth
    pad = _fill_under_pad(each.wall, others)
    earth = replace(
        _less(earth, taken, each.wall),
        left_standing=tuple(_left(earth, each.wall, others)),
        pad_fill_m=pad.height_m,
        pad_fill_station_m=pad.station_m,
    )
    how = (*earth.how, *_words(earth, taken, cut, units))
    if cut is not None and cut.depth_m > earth.deepest_m:
        earth = replace(earth, deepest_m=cut.depth_m, deepest_station_m=cut.station_m)
    return replace(earth, one_cut_with=cut.others if cut else (), how=how)


def _less(earth: WallEarthwork, taken: Taken, wall: DugWall) -> WallEarthwork:
    cut, backfill, fill, disturbed, bare = taken.sums
    end_cut, end_backfill, _, end_area, _ = taken.ends
    topsoil = wall.digging.topsoil
    disturbed, bare = _rest(earth.disturbed_m2, disturbed), _rest(earth.bare_m2, bare)
    return replace(
        earth,
        cut_m3=_rest(earth.cut_m3, cut),
        backfill_m3=_rest(earth.backfill_m3, backfill),
        fill_m3=_rest(earth.fill_m3, fill),
        ends=EndEarth(
            cut_m3=_rest(earth.ends.cut_m3, end_cut),
            backfill_m3=_rest(earth.ends.backfill_m3, end_backfill),
            area_m2=_rest(earth.ends.area_m2, end_area),
        ),
        disturbed_m2=disturbed,
        bare_m2=bare,
        stripped_m3=disturbed * topsoil.strip_m,
        replaced_m3=bare * topsoil.replace_m,
    )


def _rest(whole: float, taken: float) -> float:
    """What is left, but for less than nothing."""
    return max(0.0, whole - taken)


def _left(
    earth: WallEarthwork, wall: DugWall, others: Sequence[NearWall]
) -> Iterator[LeftStanding]:
    """Ground left standing, but for what ends in the earthwork of the other wall."""
    if not earth.left_standing:
        return
    by_side: Mapping[str, list[tuple[float, float]]] = {"front": [], "behind": []}
    for section in wall.turning:
        met = [(other, other.slice_at(section.station_m)) for other in others]
        ahead = [each.raised for other, each in met if each and not other.above]
        edges = [each.edge_m for other, each in met if each and other.above]
        front, behind = section.left_front_m, section.left_behind_m
        raised = max((_height(each, section.front_m) for each in ahead), default=0.0)
        by_side["front"].append((min(front, _rest(front, raised)), section.station_m))
        stops = any(edge <= section.back_m for edge in edges)
        by_side["behind"].append((0.0 if stops else behind, section.station_m))
    for left in earth.left_standing:
        height, station = max(by_side[left.side], key=lambda pair: abs(pair[0]))
        if abs(height) > CLOSE_M:
            yield LeftStanding(side=left.side, station_m=station, height_m=height)


def _height(columns: Sequence[tuple[float, float, float, float]], x_m: float) -> float:
    for a, first, b, last in columns:
        if a <= x_m <= b:
            return first + (last - first) * (x_m - a) / (b - a)
    return 0.0


def _words(earth: WallEarthwork, taken: Taken, cut: OneCut | None, units: UnitSet) -> Iterator[str]:
    """The working in words; `earth` is what is left."""
    dug, backfill, fill, disturbed, bare = taken.sums
    if cut is not None:
        yield (
            f"{earth.wall}: one cut with {' and '.join(cut.others)}, from the lowest trench bottom "
            f"to the highest top {units.show(cut.depth_m, 'length')} at station "
            f"{units.show(cut.station_m, 'length')}"
        )
    if dug > 0:
        yield (
            f"{earth.wall}: less {units.show(dug, 'volume')} of cut, which a wall with a lower "
            f"base digs: {units.show(earth.cut_m3, 'volume')} bank"
        )
    if backfill + fill > 0:
        yield (
            f"{earth.wall}: less {units.show(backfill, 'volume')} of backfill and "
            f"{units.show(fill, 'volume')} of fill, which the other wall's earthwork holds: "
            f"{units.show(earth.backfill_m3, 'volume')} and {units.show(earth.fill_m3, 'volume')} "
            "compacted"
        )
    if (earth.stripped_m3 or earth.replaced_m3) and disturbed + bare > 0:
        yield (
            f"{earth.wall}: less {units.show(disturbed, 'area')} of ground touched and "
            f"{units.show(bare, 'area')} of finished ground, which the other wall's earthwork "
            f"covers: topsoil {units.show(earth.stripped_m3, 'volume')} off and "
            f"{units.show(earth.replaced_m3, 'volume')} back"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _PadFill:
    """The greatest height of fill under a pad, and its station; 0 where it stands on ground that
    is left as it was."""

    height_m: float = 0.0
    station_m: float = 0.0


def _fill_under_pad(wall: DugWall, others: Sequence[NearWall]) -> _PadFill:
    """How much of a lower wall's fill the pad stands on, at the sections drawn."""
    below = [other for other in others if not other.above]
    found = _PadFill()
    for section in wall.turning if below else ():
        ground = wall.ground_at(section.station_m)
        height = max(
            (
                height
                for other in below
                for each in (other.slice_at(section.station_m),)
                if each
                for height in _heights(section, ground.lowered(wall.digging.topsoil.strip_m), each)
            ),
            default=0.0,
        )
        if height > found.height_m + CLOSE_M:
            found = _PadFill(height_m=height, station_m=section.station_m)
    return found


def _heights(section: CrossSection, ground: GroundLine, lower: Slice) -> Iterator[float]:
    """Trench bottom over the bottom of the lower wall's cut, and over ground that it raises."""
    trench = section.trench
    touched = (*lower.cut, *(_flat(each) for each in lower.raised))
    for a, first, b, last in clipped(touched, trench.front_m, trench.rear_m):
        for x, deep in ((a, first), (b, last)):
            yield trench.bottom_m - ground.at(x) + deep


def _flat(trapezoid: Trapezoid) -> Trapezoid:
    """The same stretch without height: it is filled, not dug."""
    a, _, b, _ = trapezoid
    return a, 0.0, b, 0.0
