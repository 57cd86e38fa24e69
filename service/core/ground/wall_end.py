"""How a cut ends beside an open end of a wall: rule 13.5.

The cut slope goes round the end over ground as it is at the end station: a wedge over the floor at
pad-top level, and a quarter of a cone at the floor's rear corner. Both are put back as they were.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import assert_never

from service.core.ground.cross_section import CrossSection
from service.core.ground.region import (
    GroundLine,
    Line,
    Polyline,
    Region,
    Trapezoid,
    clipped,
    meeting,
    moments,
)
from service.core.job.spec import EndKind
from service.core.job.topsoil import Topsoil
from service.core.quadrature import GAUSS
from service.core.rounding import CLOSE_M

_FAR_M = 10_000.0
_PANELS = 2  # over the quarter turn; exact on level ground, error under 1e-7 on a slope of 2:1


@dataclass(frozen=True, slots=True, kw_only=True)
class EndEarth:
    """Earth beside one end: cut (bank), what is put back (compacted), ground touched."""

    cut_m3: float = 0.0
    backfill_m3: float = 0.0
    area_m2: float = 0.0


def slopes_off(end: EndKind) -> bool:
    """Whether the cut ends in a slope there: nothing stands beside the end."""
    match end:
        case "open" | "finished" | "into_grade":
            return True
        case "against_structure":
            return False
        case other:
            assert_never(other)


def end_slope(
    section: CrossSection, ground: GroundLine, cut_slope: float, topsoil: Topsoil
) -> EndEarth:
    """Wedge and quarter cone at an end whose last section is `section`; `cut_slope` is run over
    rise. A vertical cut has neither.

    On level ground, H over the floor of width w: cut_slope·H²·w/2 and π·cut_slope²·H³/12.
    """
    if cut_slope <= 0:
        return EndEarth()
    strip, put_back = topsoil.strip_m, topsoil.replace_m

    def above(depth_m: float) -> float:
        """Volume between the sloped end and ground that lies `depth_m` lower."""
        return _wedge(section, ground.lowered(depth_m), cut_slope)[0] + _cone(
            section, ground, cut_slope, depth_m
        )

    area = _wedge(section, ground, cut_slope)[1] + _cone_area(section, ground, cut_slope)
    cut = above(strip)
    backfill = cut + (strip - put_back) * area if strip >= put_back else above(put_back)
    return EndEarth(cut_m3=cut, backfill_m3=backfill, area_m2=area)


def end_pad(
    section: CrossSection, ground: GroundLine, topsoil: Topsoil, length_m: float
) -> EndEarth:
    """The section carried on over the pad's end extension: dug as it is at the end, filled back
    to existing ground above the pad."""
    trench = section.trench
    outline = trench.front_m, section.cut_ends_at_m
    dug = moments(clipped(section.cut, *outline))[0]
    soil = Region()
    bottom, stripped = Line(0.0, trench.pad_top_m), ground.lowered(topsoil.strip_m)
    restored = ground.lowered(topsoil.replace_m)
    soil.add([restored], [bottom], trench.front_m, trench.floor_m)
    soil.add([Line(0.0, trench.bottom_m)], [stripped], trench.front_m, trench.rear_m)
    soil.add([bottom], [stripped], trench.rear_m, trench.floor_m)
    if section.cut_ends_at_m > trench.floor_m:
        rise = (ground.at(section.cut_ends_at_m) - trench.pad_top_m) / (
            section.cut_ends_at_m - trench.floor_m
        )
        face = Line(trench.floor_m, trench.pad_top_m, rise)
        soil.add([restored], [face], *(trench.floor_m, section.cut_ends_at_m))
        soil.add([restored, face], [stripped], *(trench.floor_m, section.cut_ends_at_m))
    return EndEarth(
        cut_m3=dug * length_m,
        backfill_m3=moments(soil.trapezoids)[0] * length_m,
        area_m2=(outline[1] - outline[0]) * length_m,
    )


def _wedge(section: CrossSection, ground: GroundLine, cut_slope: float) -> tuple[float, float]:
    """Volume and ground of the wedge over the floor: at each offset a triangle along the wall."""
    over = Region()
    trench = section.trench
    over.add([ground], [Line(0.0, trench.pad_top_m)], trench.front_m, trench.floor_m)
    volume = sum(_squares(trapezoid) for trapezoid in over.trapezoids) * cut_slope / 2
    return volume, cut_slope * moments(over.trapezoids)[0]


def _squares(trapezoid: Trapezoid) -> float:
    """Integral of the height squared."""
    x1, h1, x2, h2 = trapezoid
    return (x2 - x1) * (h1 * h1 + h1 * h2 + h2 * h2) / 3


def _cone(section: CrossSection, ground: GroundLine, cut_slope: float, depth_m: float) -> float:
    """Volume over the quarter cone, under ground that lies `depth_m` lower."""
    face = Line(0.0, section.trench.pad_top_m, 1 / cut_slope)
    total = 0.0
    for share, radial, reach in _rays(section, ground, face):
        over = Region()
        over.add([radial.lowered(depth_m)], [face], 0.0, reach)
        total += share * moments(over.trapezoids)[1]
    return total


def _cone_area(section: CrossSection, ground: GroundLine, cut_slope: float) -> float:
    face = Line(0.0, section.trench.pad_top_m, 1 / cut_slope)
    return sum(share * reach**2 / 2 for share, _, reach in _rays(section, ground, face))


def _rays(
    section: CrossSection, ground: GroundLine, face: Line
) -> list[tuple[float, GroundLine, float]]:
    """Directions from the floor's rear corner, from straight behind to along the wall: angle that
    each stands for, ground along it, and how far it is cut."""
    corner, width = section.trench.floor_m, math.pi / 2 / _PANELS
    if ground.at(corner) <= section.trench.pad_top_m + CLOSE_M:
        return []
    rays: list[tuple[float, GroundLine, float]] = []
    for panel in range(_PANELS):
        for node, weight in GAUSS:
            radial = _along(ground, corner, math.cos((panel + node) * width))
            if reach := meeting(face, radial, 0.0, _FAR_M):
                rays.append((weight * width, radial, reach))
    return rays


def _along(ground: GroundLine, corner_m: float, cosine: float) -> GroundLine:
    """Ground on a ray from the corner: where it ends, the cut behind the wall has met it."""
    if isinstance(ground, Line):
        return Line(0.0, ground.at(corner_m), ground.slope * cosine)
    marks = (corner_m, *ground.knots(corner_m, math.inf))
    distances = tuple((mark - corner_m) / cosine for mark in marks)
    return Polyline(distances, tuple(ground.at(mark) for mark in marks))
