"""Fill of a lower wall under the pad of an upper one: rule 13.16."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.core.ground.cross_section import CrossSection
from service.core.ground.dug_wall import DugWall, Slice
from service.core.ground.region import GroundLine, Trapezoid, clipped
from service.core.ground.shared_cut import Beside
from service.core.rounding import CLOSE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class PadFill:
    """The greatest height of fill under a pad, and its station; 0 where it stands on ground that
    is left as it was."""

    height_m: float = 0.0
    station_m: float = 0.0


def fill_under_pad(wall: DugWall, others: Sequence[Beside]) -> PadFill:
    """How much of a lower wall's fill the pad stands on, at the sections drawn."""
    below = [other for other in others if not other.above]
    found = PadFill()
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
            found = PadFill(height_m=height, station_m=section.station_m)
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
