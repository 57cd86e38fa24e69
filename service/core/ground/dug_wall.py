"""What one wall digs and fills across its plan line at any station, beyond its ends too."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, field, replace

from service.core.ground.columns import HeightRow, less, moved, stacked
from service.core.ground.cross_section import CrossSection
from service.core.ground.digging import Dug, Pen
from service.core.ground.finished import finished_behind
from service.core.ground.region import SAME_M, GroundLine, Polyline, Region, Trapezoid
from service.core.ground.span import Span
from service.core.ground.trench import Digging, Trench
from service.core.ground.wall_end import slopes_off
from service.core.layout.layout import WallLayout

_RINGS = 16  # marks over the quarter cone at an end: chords err by less than 0.1 % of it
FAR_M = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Slice:
    """Heights over offsets from the plan line: what is cut, put back and filled, what of finished
    ground behind the wall lies over existing ground (`raised`), ground touched, bare ground.

    `edge_m` is the front of the trench, `built_m` how far back units and stone reach; the wall
    claims what lies between `edge_m` and `until_m`. `section` is None beyond the ends.
    """

    cut: HeightRow
    backfill: HeightRow
    disturbed: HeightRow
    bare: HeightRow
    edge_m: float
    front_m: float
    built_m: float
    until_m: float
    fill: HeightRow = ()
    raised: HeightRow = ()
    section: CrossSection | None = None

    def moved(self, by_m: float) -> Slice:
        """The same as seen from a plan line that lies so much in front."""
        return replace(
            self,
            cut=moved(self.cut, by_m),
            backfill=moved(self.backfill, by_m),
            fill=moved(self.fill, by_m),
            raised=moved(self.raised, by_m),
            disturbed=moved(self.disturbed, by_m),
            bare=moved(self.bare, by_m),
            edge_m=self.edge_m + by_m,
            front_m=self.front_m + by_m,
            built_m=self.built_m + by_m,
            until_m=self.until_m + by_m,
        )


@dataclass(frozen=True, slots=True, eq=False)
class DugWall:
    """A wall as it was dug, to be asked for a slice at any station."""

    pen: Pen
    dug: Dug
    reach: tuple[float, float] = field(init=False)
    deepest_m: float = field(init=False)
    _kept: dict[float, Slice | None] = field(init=False, default_factory=dict)
    _ends: dict[bool, tuple[CrossSection, GroundLine, bool]] = field(
        init=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        """How far from the plan line it reaches at most, in front and behind, and how deep."""
        sections = self.dug.sections
        front, back = min(s.front_m for s in sections), max(s.back_m for s in sections)
        object.__setattr__(self, "reach", (front, back))
        object.__setattr__(self, "deepest_m", max(s.depth_m for s in sections))

    @property
    def layout(self) -> WallLayout:
        """The wall as it was laid out."""
        return self.pen.layout

    @property
    def digging(self) -> Digging:
        """How it was dug."""
        return self.pen.digging

    @property
    def length_m(self) -> float:
        """Length of the plan line."""
        return self.layout.length_m

    @property
    def turning(self) -> tuple[CrossSection, ...]:
        """The sections at both ends of every span: between them levels are linear."""
        ends = {mark for span in self.dug.spans for mark in (span.from_m, span.to_m)}
        return tuple(section for section in self.dug.sections if section.station_m in ends)

    def slice_at(self, station_m: float) -> Slice | None:
        """The slice at a station; None where nothing of the wall is left."""
        if station_m not in self._kept:
            inside = 0.0 <= station_m <= self.length_m
            self._kept[station_m] = self._within(station_m) if inside else self._past(station_m)
        return self._kept[station_m]

    def section_at(self, station_m: float) -> CrossSection:
        """The cross-section at a station of the plan."""
        span = self._span_at(station_m)
        return self.pen.draw(span, min(max(station_m, span.from_m), span.to_m))

    def ground_at(self, station_m: float) -> GroundLine:
        """Existing ground across a station of the plan."""
        return self._span_at(station_m).existing.at(station_m)

    def _span_at(self, station_m: float) -> Span:
        spans = self.dug.spans
        place = bisect_right(spans, station_m, key=lambda span: span.to_m)
        return spans[min(place, len(spans) - 1)]

    def _within(self, station_m: float) -> Slice:
        section = self.section_at(station_m)
        return slice_of(section, self._raised(section, station_m))

    def _raised(self, section: CrossSection, station_m: float) -> HeightRow:
        """Finished ground behind, as far as it lies over existing ground."""
        place = self.pen.place(self._span_at(station_m), station_m)
        within = self.digging.grade_within_m
        found = finished_behind(self.layout, section.cut_ends_at_m, place, within)
        stop = found.end_m if found.met_m is None else found.met_m
        region = Region()
        region.add([found.line], [place.ground], found.line.x_m, stop)
        return stacked(region.trapezoids)

    def reach_m(self, at_start: bool) -> float:
        """How far beyond an end the wall's earthwork reaches."""
        extension = self.digging.pad.end_extension_m
        section, ground, slopes = self._end(at_start)
        if not slopes:
            return extension
        first, last = section.trench.front_m, section.cut_ends_at_m
        highest = max(ground.at(x) for x in (first, *ground.knots(first, last), last))
        return extension + self.digging.cut_slope * max(0.0, highest - section.trench.pad_top_m)

    def _end(self, at_start: bool) -> tuple[CrossSection, GroundLine, bool]:
        """The last section at an end, the ground there, and whether the cut slopes off."""
        if at_start not in self._ends:
            station = 0.0 if at_start else self.length_m
            ends = self.layout.spec.ends
            self._ends[at_start] = (
                self.section_at(station),
                self.ground_at(station),
                slopes_off(ends.start if at_start else ends.finish),
            )
        return self._ends[at_start]

    def _past(self, station_m: float) -> Slice | None:
        """NearWall an end: the pad's extension, then the sloped end."""
        at_start = station_m < 0.0
        away = -station_m if at_start else station_m - self.length_m
        extension = self.digging.pad.end_extension_m
        section, ground, _ = self._end(at_start)
        if away < extension:
            return _extended(section)
        if away >= self.reach_m(at_start):
            return None
        return self._sloped(section, ground, away - extension)

    def _sloped(self, section: CrossSection, ground: GroundLine, away_m: float) -> Slice | None:
        """Wedge over the floor and quarter of a cone behind it, at a distance from the end."""
        topsoil, trench, end = self.digging.topsoil, section.trench, section.cut_ends_at_m
        last = max(end, trench.floor_m + SAME_M)
        face = _sloped_face(trench, last, away_m, self.digging.cut_slope)
        depths = dict.fromkeys((0.0, topsoil.strip_m, topsoil.replace_m))
        over = {depth: _over(ground.lowered(depth), face, trench.front_m, end) for depth in depths}
        touched = tuple((a, 1.0, b, 1.0) for a, _, b, _ in over[0.0])
        if not touched:
            return None
        rows = {depth: stacked(trapezoids) for depth, trapezoids in over.items()}
        return Slice(
            cut=rows[topsoil.strip_m],
            backfill=rows[topsoil.replace_m],
            disturbed=touched,
            bare=touched,
            edge_m=trench.front_m,
            front_m=trench.front_m,
            built_m=trench.front_m,
            until_m=end,
        )


def _sloped_face(trench: Trench, last_m: float, away_m: float, slope: float) -> Polyline:
    """The face of a sloped end across the wall, up to where the cut ends behind it."""
    rings = (
        trench.floor_m + (last_m - trench.floor_m) * (1 - math.cos(math.pi * i / 2 / _RINGS))
        for i in range(_RINGS + 1)
    )
    offsets = (trench.front_m, *rings)
    return Polyline(
        offsets,
        tuple(
            trench.pad_top_m + math.hypot(max(0.0, x - trench.floor_m), away_m) / slope
            for x in offsets
        ),
    )


def _over(ground: GroundLine, face: Polyline, from_m: float, to_m: float) -> list[Trapezoid]:
    """Ground over a face between two offsets."""
    region = Region()
    region.add([ground], [face], from_m, to_m)
    return region.trapezoids


def slice_of(section: CrossSection, raised: HeightRow = ()) -> Slice:
    """A section of the plan as a slice; behind it the wall claims all."""
    return Slice(
        cut=stacked(section.cut),
        backfill=stacked(section.backfill),
        fill=stacked(section.fill),
        raised=raised,
        disturbed=stacked(section.disturbed),
        bare=stacked(section.bare),
        edge_m=section.trench.front_m,
        front_m=section.front_m,
        built_m=section.built_m,
        until_m=FAR_M,
        section=section,
    )


def _extended(section: CrossSection) -> Slice:
    """The trench carried on past an end, filled back over the pad."""
    trench, end = section.trench, section.cut_ends_at_m
    cut = tuple(
        each for each in stacked(section.cut) if trench.front_m <= (each[0] + each[2]) / 2 <= end
    )
    thick = trench.pad_top_m - trench.bottom_m
    touched = ((trench.front_m, 1.0, max(end, trench.floor_m), 1.0),)
    return Slice(
        cut=cut,
        backfill=less(cut, ((trench.front_m, thick, trench.rear_m, thick),)),
        disturbed=touched,
        bare=touched,
        edge_m=trench.front_m,
        front_m=trench.front_m,
        built_m=trench.front_m,
        until_m=end,
    )
