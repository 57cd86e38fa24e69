"""Excavation and backfill of one wall: rule 13.

Volumes are in the state that their name says: what is cut is bank soil, what is put back or filled
is compacted. Swell and shrink come in with the balance over the whole job (balance.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from service.core.ground.cross_section import CrossSection
from service.core.ground.cut_edges import CutEdges, Extent, cut_edges
from service.core.ground.digging import Dug
from service.core.ground.raised_fill import FillSection, fill_section
from service.core.ground.trench import Digging
from service.core.ground.wall_end import EndEarth, end_pad, end_slope, slopes_off
from service.core.job.graded import WallSide
from service.core.layout.layout import WallLayout
from service.core.measure import Dimension, UnitSet, number
from service.core.rounding import CLOSE_M

SlopeBasis = Literal["section", "soil class", "soil class, deep cut"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftStanding:
    """Ground left standing where stated grading stops: the largest height on one side and its
    station. Positive: finished ground stands above existing ground; negative: below it."""

    side: WallSide
    station_m: float
    height_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WallEarthwork:
    """Earthwork of one wall. `cut_m3` bank, `backfill_m3` and `fill_m3` compacted; `ends` are the
    sloped ends, contained in cut and backfill. `cut_slope` is run over rise. `disturbed_m2` is all
    ground cut or filled, `bare_m2` what of it is finished ground; topsoil is `stripped_m3` and
    `replaced_m3`, both in place and apart from the other volumes. `one_cut_with` names the walls
    whose cuts are one with it: `deepest_m` is then of all together. `pad_fill_m` is how much fill
    of a lower wall its pad stands on, at most.
    """

    wall: str
    cut_m3: float
    backfill_m3: float
    fill_m3: float
    ends: EndEarth
    cut_slope: float
    slope_basis: SlopeBasis
    deepest_m: float
    deepest_station_m: float
    disturbed_m2: float
    bare_m2: float
    stripped_m3: float
    replaced_m3: float
    left_standing: tuple[LeftStanding, ...]
    extents: tuple[Extent, ...]
    edges: tuple[CutEdges, ...]
    fill_sections: tuple[FillSection, ...]
    how: tuple[str, ...]
    one_cut_with: tuple[str, ...] = ()
    pad_fill_m: float = 0.0
    pad_fill_station_m: float = 0.0


def add_up(layout: WallLayout, digging: Digging, dug: Dug, basis: SlopeBasis) -> WallEarthwork:
    """What was dug between the sections, and what its ends take beside it."""
    extension, ends = _ends(layout, digging, dug)
    topsoil = digging.topsoil
    cut, backfill, fill, disturbed, bare = dug.sums
    beside = (*extension, ends)
    disturbed += sum(end.area_m2 for end in beside)
    bare += sum(end.area_m2 for end in beside)
    deepest = dug.deepest
    return WallEarthwork(
        wall=layout.name,
        cut_m3=cut + sum(end.cut_m3 for end in beside),
        backfill_m3=backfill + sum(end.backfill_m3 for end in beside),
        fill_m3=fill,
        ends=ends,
        cut_slope=digging.cut_slope,
        slope_basis=basis,
        deepest_m=deepest.depth_m,
        deepest_station_m=deepest.station_m,
        disturbed_m2=disturbed,
        bare_m2=bare,
        stripped_m3=disturbed * topsoil.strip_m,
        replaced_m3=bare * topsoil.replace_m,
        left_standing=tuple(_left_standing(dug.sections)),
        extents=tuple(
            Extent(station_m=s.station_m, front_m=-s.front_m, behind_m=s.back_m)
            for s in dug.sections
        ),
        edges=tuple(cut_edges(s) for s in dug.sections),
        fill_sections=tuple(fill_section(s) for s in dug.sections),
        how=(),
    )


def farthest_m(earth: WallEarthwork, side: WallSide, from_m: float, to_m: float) -> float:
    """How far from the plan line the wall's own earthwork reaches on one side between two
    stations, by the sections drawn there."""
    inside = [
        extent for extent in earth.extents if from_m - CLOSE_M <= extent.station_m <= to_m + CLOSE_M
    ]
    nearest = (
        inside
        or sorted(earth.extents, key=lambda extent: abs(extent.station_m - (from_m + to_m) / 2))[:1]
    )
    return max(extent.on(side) for extent in nearest)


def _ends(layout: WallLayout, digging: Digging, dug: Dug) -> tuple[tuple[EndEarth, ...], EndEarth]:
    """What the pad's end extensions take, and the sloped ends together."""
    ends, spans, sections = layout.spec.ends, dug.spans, dug.sections
    places = (
        (ends.start, spans[0].existing.at(spans[0].from_m), sections[0]),
        (ends.finish, spans[-1].existing.at(spans[-1].to_m), sections[-1]),
    )
    extension = digging.pad.end_extension_m
    pads, slopes = [], []
    for kind, existing, section in places:
        pads.append(end_pad(section, existing, digging.topsoil, extension))
        if slopes_off(kind):
            slopes.append(end_slope(section, existing, digging.cut_slope, digging.topsoil))
    together = EndEarth(
        cut_m3=sum(end.cut_m3 for end in slopes),
        backfill_m3=sum(end.backfill_m3 for end in slopes),
        area_m2=sum(end.area_m2 for end in slopes),
    )
    return tuple(pads), together


def _left_standing(sections: Sequence[CrossSection]) -> Iterator[LeftStanding]:
    sides: tuple[WallSide, ...] = ("front", "behind")
    for side in sides:
        heights = [(s.left_m(side), s.station_m) for s in sections]
        height, station = max(heights, key=lambda pair: abs(pair[0]))
        if abs(height) > CLOSE_M:
            yield LeftStanding(side=side, station_m=station, height_m=height)


def working(earth: WallEarthwork, digging: Digging, dug: Dug, units: UnitSet) -> Iterator[str]:
    """The working in words."""
    trench = dug.deepest.trench

    def show(value: float, dimension: Dimension = "volume") -> str:
        return units.show(value, dimension)

    yield (
        f"{earth.wall}: trench {show(trench.rear_m - trench.front_m, 'length')} wide, "
        f"{show(trench.pad_top_m - trench.bottom_m, 'length')} below the top of the pad; floor to "
        f"{show(trench.floor_m, 'length')} behind the plan line; cut slope "
        f"{number(earth.cut_slope, 6)}:1 by {earth.slope_basis}; deepest "
        f"{show(earth.deepest_m, 'length')} at station {show(earth.deepest_station_m, 'length')}"
    )
    if digging.reaches:
        reach = max(each.reach_m for each in digging.reaches)
        yield (
            f"{earth.wall}: where reinforcement lies the floor runs back as far, at most "
            f"{show(reach, 'length')} behind the face of the base course, before working room"
        )
    yield (
        f"{earth.wall}: cut {show(earth.cut_m3)} bank, of which {show(earth.ends.cut_m3)} "
        "in sloped ends, by the prismoidal rule between stations"
    )
    yield (
        f"{earth.wall}: backfill {show(earth.backfill_m3)} compacted between trench front and "
        f"top of cut less pad, units, caps and drainage stone; fill {show(earth.fill_m3)} "
        "compacted beyond them"
    )
    if earth.stripped_m3 or earth.replaced_m3:
        topsoil = digging.topsoil
        yield (
            f"{earth.wall}: topsoil {show(topsoil.strip_m, 'length')} off "
            f"{show(earth.disturbed_m2, 'area')} is {show(earth.stripped_m3)}; "
            f"{show(topsoil.replace_m, 'length')} back on {show(earth.bare_m2, 'area')} is "
            f"{show(earth.replaced_m3)}"
        )
