"""Where a wall is cut through, and how meters of it come onto the sheet."""

from __future__ import annotations

from dataclasses import dataclass

from service.core.built import Built
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.layout.profile import Levels
from service.documents.drawings.canvas import Point
from service.documents.drawings.scale import MM_PER_M, round_scale

WIDTH_MM = 180.0
LEGEND_MM = 62.0
TOP_MM = 12.0
_TALLEST_MM = 110.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What is cut through: the stretch, its levels, and how meters come onto the sheet."""

    layout: WallLayout
    stretch: Stretch
    station_m: float
    levels: Levels
    left_m: float
    high_m: float
    scale: float

    def at(self, offset_m: float, level_m: float) -> Point:
        """An offset from the plan line, toward the soil, and a level, on the sheet."""
        per_m = MM_PER_M / self.scale
        return 4 + (offset_m - self.left_m) * per_m, TOP_MM + (self.high_m - level_m) * per_m

    @property
    def base_m(self) -> float:
        """Underside of the base course there."""
        return self.layout.grid.level_m(self.stretch.base)

    @property
    def top_m(self) -> float:
        """Top of the courses there, cap not counted."""
        return self.layout.grid.level_m(self.stretch.top_joint)

    def face_m(self, joint: int) -> float:
        """Face of the course on a joint, behind the plan line."""
        return self.layout.offset_m(joint)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFace:
    """The face of the cut behind a wall: from its floor to where it meets the ground, as offsets
    from the plan line and levels; ground behind is graded up to `graded_m`."""

    floor: Point
    end: Point
    graded_m: float


def cut_face(quote: Built, layout: WallLayout, station_m: float) -> CutFace | None:
    """The face of the cut at the section nearest to a station; None where no ground was given."""
    for wall in quote.earthwork.walls if quote.earthwork else ():
        if wall.wall == layout.name:
            pairs = zip(wall.edges, wall.extents, strict=True)
            edges, extent = min(pairs, key=lambda pair: abs(pair[0].station_m - station_m))
            stretch = next(s for s in layout.stretches if edges.station_m <= s.to_m + 1e-9)
            behind, low = edges.reach.behind_m, layout.grid.level_m(stretch.base)
            return CutFace(
                floor=(behind - wall.cut_slope * edges.face_m, low),
                end=(behind, low + edges.face_m),
                graded_m=extent.behind_m,
            )
    return None


def place_cut(quote: Built, layout: WallLayout) -> tuple[Cut, float]:
    """The highest stretch, at the end where it shows most, and how far back is drawn."""
    stretch = max(
        layout.stretches,
        key=lambda s: (
            s.top_joint - s.base,
            max(s.interval.start.exposed_m, s.interval.finish.exposed_m),
        ),
    )
    ends = ((stretch.from_m, stretch.interval.start), (stretch.to_m, stretch.interval.finish))
    station, levels = max(ends, key=lambda end: end[1].exposed_m)
    height = layout.built_height_m(stretch)
    depth = layout.system.standard.depth_m
    reach = max((layer_reach_m(quote, layout)), quote.job.section.drainage.width_m + depth)
    face = cut_face(quote, layout, station)
    far = max(reach * 1.2, height * 1.3, depth * 3, face.end[0] + 0.5 if face else 0.0)
    left = -max(0.6 * height, 0.5)
    high = max(layout.built_top_m, levels.back_m + far * max(0.0, layout.spec.back_slope))
    high = max(high, face.end[1] if face else high) + 0.4
    wide = WIDTH_MM - LEGEND_MM - 8
    low = layout.grid.level_m(stretch.base) - 0.6
    least = max((far - left) * MM_PER_M / wide, (high - low) * MM_PER_M / _TALLEST_MM)
    cut = Cut(
        layout=layout,
        stretch=stretch,
        station_m=station,
        levels=levels,
        left_m=left,
        high_m=high,
        scale=round_scale(least),
    )
    return cut, far


def layer_reach_m(quote: Built, layout: WallLayout) -> float:
    """How far layers reach behind the face; 0 without any in the quote."""
    held = quote.screening.reinforcement if quote.reinforced else ()
    return max((each.reach_m for each in held if each.wall == layout.name), default=0.0)


def lowest_m(quote: Built, cut: Cut) -> float:
    """The lowest level that is drawn."""
    pad = quote.job.section.leveling_pad
    return min(cut.base_m - pad.thickness_m - pad.overdig_m, cut.levels.front_m) - 0.25
