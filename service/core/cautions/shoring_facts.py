"""Whether the slope of a deep cut is its protection, or shoring has to be (rule 13.19)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.core.ground.cut_edges import CutEdges
from service.core.ground.earthwork import WallEarthwork
from service.core.job.fact import Fact, Facts
from service.core.job.graded import WallSide
from service.core.job.jurisdiction import EarthRules
from service.core.job.site import Site
from service.core.job.soil import ExcavationClass
from service.core.job.spec import WallSpec
from service.core.measure import UnitSet, number
from service.core.rounding import CLOSE_M, CLOSE_SHARE


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """What the slope of a cut may not reach, and how far from the plan line it stands."""

    what: str
    distance_m: float
    side: WallSide = "behind"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRules:
    """The class that the ground is cut as, and what the place says of its slope and depth."""

    soil_class: ExcavationClass
    earth: EarthRules

    @property
    def slope(self) -> float:
        """The steepest slope that the class allows, run over rise."""
        return self.earth.cut_slopes[self.soil_class]

    def is_deep(self, height_m: float) -> bool:
        """Whether a cut or an edge is as high as the depth that needs protection."""
        return height_m >= self.earth.deep_cut_m - CLOSE_M


def shoring_fact(
    depth: Fact,
    earth: WallEarthwork | None,
    spec: WallSpec,
    site: Site | None,
    rules: CutRules,
    units: UnitSet,
) -> Facts:
    """Fact of one wall: 1 where its cut needs protection and the quoted slope is none. A wall
    whose ground nobody measured has no quoted slope."""
    if not rules.is_deep(depth.value):
        return {"cut_not_sloped": Fact(value=0.0)}
    if earth is None:
        words = ["Existing ground is not given, so no slope of the cut is quoted."]
    else:
        words = [*_steep(earth, rules, units), *_reached(earth, spec, site, units)]
    return {"cut_not_sloped": Fact(value=float(bool(words)), words=" ".join(words))}


def sloped_words(earth: WallEarthwork | None, shoring: Facts, depth: Fact, rules: CutRules) -> str:
    """What protects a deep cut whose slope is quoted and enough; else nothing."""
    if earth is None or shoring["cut_not_sloped"].value or not rules.is_deep(depth.value):
        return ""
    return f" The quoted slope of {number(earth.cut_slope, 6)}:1 is the protection."


def _steep(earth: WallEarthwork, rules: CutRules, units: UnitSet) -> Iterator[str]:
    """The highest edge that is steeper than the class allows: the front of the trench, which is
    upright, and the face behind its floor."""
    slope = f"class {rules.soil_class} may stand no steeper than {number(rules.slope, 6)}:1."
    front = max(earth.edges, key=lambda edge: edge.front_edge_m)
    if rules.slope > 0 and rules.is_deep(front.front_edge_m):
        yield (
            f"The front of the trench is upright, {units.show(front.front_edge_m, 'length')} high "
            f"at station {units.show(front.station_m, 'length')}; {slope}"
        )
    face = max(earth.edges, key=lambda edge: edge.face_m)
    steeper = earth.cut_slope < rules.slope * (1 - CLOSE_SHARE)
    if steeper and rules.is_deep(face.face_m):
        yield (
            f"The face behind stands at {number(earth.cut_slope, 6)}:1, "
            f"{units.show(face.face_m, 'length')} high at station "
            f"{units.show(face.station_m, 'length')}; {slope}"
        )


def _reached(
    earth: WallEarthwork, spec: WallSpec, site: Site | None, units: UnitSet
) -> Iterator[str]:
    """What the cut would reach on its side of the wall."""
    for kept in _kept(spec, site):
        reach_m, station_m = _farthest(earth.edges, kept.side)
        if reach_m >= kept.distance_m - CLOSE_M:
            away = units.show(kept.distance_m, "length")
            side = "behind" if kept.side == "behind" else "in front of"
            yield (
                f"{kept.what}, {away} {side} the plan line, is reached by the cut, which ends "
                f"{units.show(reach_m, 'length')} from it at station "
                f"{units.show(station_m, 'length')}."
            )


def _farthest(edges: Sequence[CutEdges], side: WallSide) -> tuple[float, float]:
    """How far the cut reaches at most, and the first station where it does."""
    edge = max(edges, key=lambda edge: edge.reach.on(side))
    return edge.reach.on(side), edge.station_m


def _kept(spec: WallSpec, site: Site | None) -> Iterator[_Kept]:
    """Property line, buildings, trees and surfaces, as far as they are stated."""
    for load in spec.above:
        if "building" in load.near:
            yield _Kept(what=load.title, distance_m=load.from_m)
    if site is None:
        return
    if site.line_distance_m is not None:
        yield _Kept(what="The property line", distance_m=site.line_distance_m, side=site.line_side)
    for tree in site.trees:
        yield _Kept(what="A tree", distance_m=tree.distance_m, side=tree.side)
    for surface in site.to_keep:
        yield _Kept(what=surface.what, distance_m=surface.distance_m, side=surface.side)
