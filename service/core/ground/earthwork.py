"""Excavation and backfill of one wall: rule 13.

Volumes are in the state that their name says: what is cut is bank soil, what is put back or filled
is compacted. Swell and shrink come in with the balance over the whole job (balance.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, assert_never

from service.core.ground.cross_section import CrossSection
from service.core.ground.cut_edges import CutEdges, cut_edges
from service.core.ground.digging import Dug, deepest_m, dig_wall
from service.core.ground.ground import Existing, measure_ground
from service.core.ground.raised_fill import FillSection, fill_section
from service.core.ground.trench import Digging, reaches_of
from service.core.ground.wall_end import EndEarth, end_pad, end_slope
from service.core.job.graded import WallSide
from service.core.job.jurisdiction import EarthRules
from service.core.job.reinforcement import Layer
from service.core.job.section import Excavation, Section
from service.core.job.soil import Soil
from service.core.job.spec import EndKind
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
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
class Extent:
    """How far from the plan line a wall's own earthwork reaches at a station, in front (negative
    where the ground touched begins behind the line) and behind, in meters."""

    station_m: float
    front_m: float
    behind_m: float

    def on(self, side: WallSide) -> float:
        """How far it reaches on one side."""
        match side:
            case "front":
                return self.front_m
            case "behind":
                return self.behind_m
            case other:
                assert_never(other)


@dataclass(frozen=True, slots=True, kw_only=True)
class WallEarthwork:
    """Earthwork of one wall. `cut_m3` bank, `backfill_m3` and `fill_m3` compacted; `ends` are the
    sloped ends, contained in cut and backfill. `cut_slope` is run over rise. `disturbed_m2` is all
    ground cut or filled, `bare_m2` what of it is finished ground; topsoil is `stripped_m3` and
    `replaced_m3`, both in place and apart from the other volumes.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Deep:
    """From which depth on the slope of the soil's class holds, run over rise."""

    from_m: float
    class_slope: float

    def is_reached(self, depth_m: float) -> bool:
        """Whether a cut is that deep; one that close to it is."""
        return depth_m >= self.from_m - CLOSE_M


def excavate(
    layout: WallLayout,
    section: Section,
    retained: Soil,
    rules: EarthRules,
    units: UnitSet,
    topsoil: Topsoil = NO_TOPSOIL,
    *,
    layers: Sequence[Layer] = (),
) -> WallEarthwork | None:
    """Earthwork of one wall, None without existing ground.

    `rules` are those of the place. Where `layers` of reinforcement lie, the floor behind the units
    runs back to the end of the longest, measured from the face of the base course. Raises
    LayoutFaultsError with paths that start at the wall (`existing-…`, `grading-distance-needed`,
    `cut-never-meets-ground`).
    """
    ground = measure_ground(layout)
    if not ground:
        return None
    class_slope = rules.cut_slopes[retained.excavation_class]
    own_slope = section.excavation.cut_slope if section.excavation else None
    plain = _digging(section, class_slope, rules, topsoil, layers)
    deep = Deep(from_m=rules.deep_cut_m, class_slope=class_slope)
    digging, dug, basis = _dig(layout, plain, own_slope, deep, ground, units)
    earth = _add_up(layout, digging, dug, basis)
    return replace(earth, how=tuple(_how(earth, digging, dug, units)))


def _add_up(layout: WallLayout, digging: Digging, dug: Dug, basis: SlopeBasis) -> WallEarthwork:
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


def _digging(
    section: Section,
    class_slope: float,
    rules: EarthRules,
    topsoil: Topsoil,
    layers: Sequence[Layer],
) -> Digging:
    """The section's details; the soil class's slope where it gives none."""
    details = section.excavation or Excavation(working_room_m=0.0)
    return Digging(
        pad=section.leveling_pad,
        drainage=section.drainage,
        working_room_m=details.working_room_m,
        cut_slope=class_slope if details.cut_slope is None else details.cut_slope,
        topsoil=topsoil,
        grade_within_m=rules.grade_within_m,
        reaches=reaches_of(layers),
    )


def _dig(
    layout: WallLayout,
    digging: Digging,
    own_slope: float | None,
    deep: Deep,
    ground: Sequence[Existing],
    units: UnitSet,
) -> tuple[Digging, Dug, SlopeBasis]:
    """Dig at the section's slope; where that is a deep cut anywhere, at the flatter of it and the
    soil class's."""
    if own_slope is None:
        return digging, dig_wall(layout, digging, ground, units), "soil class"
    flatter = replace(digging, cut_slope=deep.class_slope)
    if deep.class_slope <= own_slope:
        return digging, dig_wall(layout, digging, ground, units), "section"
    if not deep.is_reached(deepest_m(layout, digging, ground, units)):
        dug = dig_wall(layout, digging, ground, units)
        if not deep.is_reached(dug.deepest.depth_m):
            return digging, dug, "section"
    return flatter, dig_wall(layout, flatter, ground, units), "soil class, deep cut"


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
        if extension > 0:
            pads.append(end_pad(section, existing, digging.topsoil, extension))
        if slopes_off(kind):
            slopes.append(end_slope(section, existing, digging.cut_slope, digging.topsoil))
    together = EndEarth(
        cut_m3=sum(end.cut_m3 for end in slopes),
        backfill_m3=sum(end.backfill_m3 for end in slopes),
        area_m2=sum(end.area_m2 for end in slopes),
    )
    return tuple(pads), together


def slopes_off(end: EndKind) -> bool:
    """Whether the cut ends in a slope there: nothing stands beside the end."""
    match end:
        case "open" | "finished" | "into_grade":
            return True
        case "against_structure":
            return False
        case other:
            assert_never(other)


def _left_standing(sections: Sequence[CrossSection]) -> Iterator[LeftStanding]:
    sides: tuple[WallSide, ...] = ("front", "behind")
    for side in sides:
        heights = [(s.left_m(side), s.station_m) for s in sections]
        height, station = max(heights, key=lambda pair: abs(pair[0]))
        if abs(height) > CLOSE_M:
            yield LeftStanding(side=side, station_m=station, height_m=height)


def _how(earth: WallEarthwork, digging: Digging, dug: Dug, units: UnitSet) -> Iterator[str]:
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
