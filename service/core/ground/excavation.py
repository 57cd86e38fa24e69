"""How a wall is dug: at the section's slope, or at that of the soil's class where the cut is deep.

Rule 13.4. The same holds for several walls whose cuts are one (one_cut.py).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from service.core.ground.digging import Dug, Pen, dig_wall, outlines
from service.core.ground.dug_wall import DugWall
from service.core.ground.earthwork import SlopeBasis, WallEarthwork, add_up, working
from service.core.ground.finished import Outline
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


@dataclass(frozen=True, eq=False, kw_only=True)
class Excavated:
    """A wall's earthwork with what it was dug by: `asked` has the section's own slope, `wall` the
    one that holds."""

    earth: WallEarthwork
    asked: DugWall
    wall: DugWall
    ground: tuple[Existing, ...]
    deep: Deep
    units: UnitSet

    @cached_property
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How a wall is to be dug: `digging` at the slope that is asked for, which is the section's
    `own_slope` or, where it has none, that of the soil's class."""

    digging: Digging
    own_slope: float | None
    deep: Deep


DigOut = Callable[[WallLayout, Asked, UnitSet], Excavated | None]


def asked_digging(
    section: Section,
    retained: Soil,
    rules: EarthRules,
    topsoil: Topsoil = NO_TOPSOIL,
    layers: Sequence[Layer] = (),
) -> Asked:
    """How a section asks for it in a soil, by the rules of the place. Where `layers` of
    reinforcement lie, the floor behind the units runs back to the end of the longest, measured
    from the face of the base course."""
    details = section.excavation or Excavation(working_room_m=0.0)
    class_slope, own_slope = rules.cut_slopes[retained.excavation_class], details.cut_slope
    digging = Digging(
        pad=section.leveling_pad,
        drainage=section.drainage,
        working_room_m=details.working_room_m,
        cut_slope=class_slope if own_slope is None else own_slope,
        topsoil=topsoil,
        grade_within_m=rules.grade_within_m,
        reaches=reaches_of(layers),
    )
    deep = Deep(from_m=rules.deep_cut_m, class_slope=class_slope)
    return Asked(digging=digging, own_slope=own_slope, deep=deep)


def dig_out(layout: WallLayout, asked: Asked, units: UnitSet) -> Excavated | None:
    """Earthwork of one wall by itself, None without existing ground: the same for the same.

    Raises LayoutFaultsError with paths that start at the wall (`existing-…`,
    `grading-distance-needed`, `cut-never-meets-ground`).
    """
    ground = measure_ground(layout)
    if not ground:
        return None
    plain = Pen(layout, asked.digging, units)
    pen, dug, basis = _dig(plain, asked, ground, units)
    wall = DugWall(pen, dug)
    return Excavated(
        earth=_told(pen, dug, basis, units),
        asked=wall if pen is plain else DugWall(plain, dug),
        wall=wall,
        ground=ground,
        deep=asked.deep,
        units=units,
    )


def slope_dug(layout: WallLayout, asked: Asked, units: UnitSet, dig: DigOut) -> float | None:
    """The slope at which a wall by itself is cut, run over rise; None without existing ground.
    What that comes to is worked out, by `dig`, only where the slope can't be told without it.

    Within a span levels and planes of ground are linear, and so is the gap between a plane and
    what meets it: no section is deeper than those at the ends of its span, and where one can't be
    drawn, one of them can't either. That isn't said of surveyed ground, nor where a cut reaches
    farther than finished ground is looked for. Raises as `dig_out`.
    """
    ground = measure_ground(layout)
    if not ground:
        return None
    pen = Pen(layout, asked.digging, units)
    surveyed = ground[0].surveyed  # as is all of it
    found = [] if surveyed else outlines(pen, ground)
    deep = asked.deep
    if asked.digging.cut_slope < deep.class_slope and _are_deep(found, deep):
        pen = Pen(layout, replace(asked.digging, cut_slope=deep.class_slope), units)
        found = outlines(pen, ground)
    if surveyed or any(each.cut_end_m > pen.digging.grade_within_m for each in found):
        dug = dig(layout, asked, units)
        return dug.wall.digging.cut_slope if dug else None
    return pen.digging.cut_slope


def _are_deep(found: Sequence[Outline], deep: Deep) -> bool:
    return any(deep.is_reached(each.depth_m) for each in found)


def _told(pen: Pen, dug: Dug, basis: SlopeBasis, units: UnitSet) -> WallEarthwork:
    """What was dug with its working in words."""
    earth = add_up(pen.layout, pen.digging, dug, basis)
    return replace(earth, how=tuple(working(earth, pen.digging, dug, units)))


def _dig(
    plain: Pen, asked: Asked, ground: Sequence[Existing], units: UnitSet
) -> tuple[Pen, Dug, SlopeBasis]:
    """Dig at the section's slope; where that is a deep cut anywhere, at the flatter of it and the
    soil class's."""
    deep = asked.deep
    if asked.own_slope is None:
        return plain, dig_wall(plain, ground), "soil class"
    if deep.class_slope <= asked.own_slope:
        return plain, dig_wall(plain, ground), "section"
    if not _are_deep(outlines(plain, ground), deep):
        dug = dig_wall(plain, ground)
        if not deep.is_reached(dug.deepest.depth_m):
            return plain, dug, "section"
    flatter = Pen(plain.layout, replace(plain.digging, cut_slope=deep.class_slope), units)
    return flatter, dig_wall(flatter, ground), "soil class, deep cut"
