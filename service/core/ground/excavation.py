"""How a wall is dug: at the section's slope, or at that of the soil's class where the cut is deep.

Rule 13.4. The same holds for several walls whose cuts are one (one_cut.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.core.ground.digging import Dug, Pen, deepest_m, dig_wall
from service.core.ground.dug_wall import DugWall
from service.core.ground.earthwork import SlopeBasis, WallEarthwork, add_up, working
from service.core.ground.ground import Existing, measure_ground
from service.core.ground.trench import Digging, reaches_of
from service.core.job.jurisdiction import EarthRules
from service.core.job.reinforcement import Layer
from service.core.job.section import Excavation, Section
from service.core.job.soil import Soil
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Deep:
    """From which depth on the slope of the soil's class holds, run over rise."""

    from_m: float
    class_slope: float

    def is_reached(self, depth_m: float) -> bool:
        """Whether a cut is that deep; one that close to it is."""
        return depth_m >= self.from_m - CLOSE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Excavated:
    """A wall's earthwork with what it was dug by: `asked` has the section's own slope, `wall` the
    one that holds."""

    earth: WallEarthwork
    asked: DugWall
    wall: DugWall
    ground: tuple[Existing, ...]
    deep: Deep
    units: UnitSet

    def flattened(self) -> Excavated:
        """The same at the slope of the soil's class, where that is flatter."""
        digging = self.wall.digging
        if self.deep.class_slope <= digging.cut_slope:
            return self
        flatter = replace(digging, cut_slope=self.deep.class_slope)
        pen = Pen(self.wall.layout, flatter, self.units)
        dug = dig_wall(pen, self.ground)
        earth = _told(pen, dug, "soil class, deep cut", self.units)
        return replace(self, earth=earth, wall=DugWall(pen, dug))


def dig_out(
    layout: WallLayout,
    section: Section,
    retained: Soil,
    rules: EarthRules,
    units: UnitSet,
    topsoil: Topsoil = NO_TOPSOIL,
    *,
    layers: Sequence[Layer] = (),
) -> Excavated | None:
    """Earthwork of one wall by itself, None without existing ground.

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
    deep = Deep(from_m=rules.deep_cut_m, class_slope=class_slope)
    asked = Pen(layout, _digging(section, class_slope, rules, topsoil, layers), units)
    pen, dug, basis = _dig(asked, own_slope, deep, ground, units)
    wall = DugWall(pen, dug)
    return Excavated(
        earth=_told(pen, dug, basis, units),
        asked=wall if pen is asked else DugWall(asked, dug),
        wall=wall,
        ground=ground,
        deep=deep,
        units=units,
    )


def _told(pen: Pen, dug: Dug, basis: SlopeBasis, units: UnitSet) -> WallEarthwork:
    """What was dug with its working in words."""
    earth = add_up(pen.layout, pen.digging, dug, basis)
    return replace(earth, how=tuple(working(earth, pen.digging, dug, units)))


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
    asked: Pen, own_slope: float | None, deep: Deep, ground: Sequence[Existing], units: UnitSet
) -> tuple[Pen, Dug, SlopeBasis]:
    """Dig at the section's slope; where that is a deep cut anywhere, at the flatter of it and the
    soil class's."""
    if own_slope is None:
        return asked, dig_wall(asked, ground), "soil class"
    if deep.class_slope <= own_slope:
        return asked, dig_wall(asked, ground), "section"
    if not deep.is_reached(deepest_m(asked, ground)):
        dug = dig_wall(asked, ground)
        if not deep.is_reached(dug.deepest.depth_m):
            return asked, dug, "section"
    flatter = Pen(asked.layout, replace(asked.digging, cut_slope=deep.class_slope), units)
    return flatter, dig_wall(flatter, ground), "soil class, deep cut"
