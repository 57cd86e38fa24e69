"""The earthwork of one wall added up along its plan, by the offset rule.

Every slice of a cross-section is as long as the plan line moved to its offset: along an arc a
section counts its area and its first moment, at a corner what the trims cut off or add has the
height that the section has there. Along the plan the prismoidal rule holds between stations, with
sections added until the shape stays the same between them (rule 13.6).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from service.core.errors import Fault, LayoutFaultsError
from service.core.ground.cross_section import CrossSection, draw_section
from service.core.ground.finished import GradingDistanceError
from service.core.ground.ground import Existing
from service.core.ground.moved_leg import MovedLeg, end_loss_m, legs, start_loss_m
from service.core.ground.region import GroundShortError, clipped, moments, weighted
from service.core.ground.span import Span, spans_of
from service.core.ground.trench import CutNeverMeetsError, Digging, TrenchStation
from service.core.ground.volume import prismoidal
from service.core.job.graded import WallSide
from service.core.job.spec import Straight
from service.core.layout.corner import PlanOffsetError
from service.core.layout.layout import WallLayout
from service.core.layout.plan import Piece
from service.core.measure import UnitSet

Sums = tuple[float, float, float, float, float]  # cut, backfill, fill, disturbed, bare
NOTHING: Sums = (0.0, 0.0, 0.0, 0.0, 0.0)

_FINEST = 14  # times a stretch may be halved where its shape changes
_SAME_SHARE = 1e-8  # sums that agree this well are the same


@dataclass(frozen=True, slots=True, kw_only=True)
class Dug:
    """Sums over the wall (m3, m2), ends left out, and every section drawn, by station."""

    sums: Sums
    sections: tuple[CrossSection, ...]
    spans: tuple[Span, ...]

    @property
    def deepest(self) -> CrossSection:
        """The section at which the cut is deepest; the first of several."""
        return max(self.sections, key=lambda section: section.depth_m)


def dig_wall(
    layout: WallLayout, digging: Digging, ground: Sequence[Existing], units: UnitSet
) -> Dug:
    """Add up the earthwork of a wall.

    Raises LayoutFaultsError (`existing-section-short`, `grading-distance-needed`,
    `cut-never-meets-ground`, `leg-used-up`).
    """
    pen = Pen(layout, digging, units)
    sums: Sums = NOTHING
    spans: list[Span] = []
    for leg in legs(layout.plan):
        by_piece = [tuple(spans_of(layout, digging, ground, piece)) for piece in leg.pieces]
        spans += [span for own in by_piece for span in own]
        try:
            sums = _add(sums, _leg_sums(leg, by_piece, pen))
        except PlanOffsetError as error:
            raise LayoutFaultsError([_used_up(error)]) from error
    sections = tuple(sorted(pen.drawn, key=lambda section: section.station_m))
    return Dug(sums=sums, sections=sections, spans=tuple(spans))


def deepest_m(
    layout: WallLayout, digging: Digging, ground: Sequence[Existing], units: UnitSet
) -> float:
    """Deepest cut at the ends of the spans: on a plane nowhere deeper. Raises as `dig_wall`."""
    pen = Pen(layout, digging, units)
    for piece in layout.plan.pieces:
        for span in spans_of(layout, digging, ground, piece):
            pen.draw(span, span.from_m)
            pen.draw(span, span.to_m)
    return max(section.depth_m for section in pen.drawn)


class Pen:
    """Draws sections of one wall and keeps them; what can't be drawn becomes a fault."""

    def __init__(self, layout: WallLayout, digging: Digging, units: UnitSet) -> None:
        self._layout = layout
        self._digging = digging
        self._units = units
        self.drawn: list[CrossSection] = []

    def draw(self, span: Span, station_m: float) -> CrossSection:
        """The section of a span at a station."""
        place = TrenchStation(
            station_m=station_m,
            levels=span.stretch.interval.at(station_m),
            base=span.stretch.base,
            top_joint=span.stretch.top_joint,
            stone_bottom_m=span.stone_bottom_m,
            ground=span.existing.at(station_m),
            reach_m=span.reach_m,
        )
        try:
            section = draw_section(self._layout, self._digging, place)
        except (GroundShortError, GradingDistanceError, CutNeverMeetsError) as error:
            where = self._units.show(station_m, "length")
            faults = _faults(error, span, where, self._units, self._digging)
            raise LayoutFaultsError(faults) from error
        self.drawn.append(section)
        return section


def _faults(
    error: Exception, span: Span, station: str, units: UnitSet, digging: Digging
) -> list[Fault]:
    """What stopped a section, in the caller's words."""
    if isinstance(error, GroundShortError):
        offset = units.show(error.offset_m, "length")
        return [
            Fault(
                code="existing-section-short",
                at=("profile", span.existing.entry, "existing_section"),
                message=f"at station {station} existing ground is needed at offset {offset} or "
                "beyond, past the last pair",
                hint="more pairs on that side, or a stated distance of grading",
            )
        ]
    if isinstance(error, GradingDistanceError):
        limit = units.show(digging.grade_within_m, "length")
        return [_distance_fault(f"graded_{_SIDE[side]}", station, limit) for side in error.sides]
    return [
        Fault(
            code="cut-never-meets-ground",
            at=("existing_slope",),
            message=f"at station {station} the cut slope never meets existing ground: the ground "
            "rises as steeply as the cut",
            hint="a section with a steeper cut slope, or surveyed ground as existing_section",
        )
    ]


def _used_up(error: PlanOffsetError) -> Fault:
    return Fault(
        code="leg-used-up",
        at=("plan",),
        message=f"earthwork: {error}",
        hint="a longer leg or a larger radius there, or less grading",
    )


_SIDE: Mapping[WallSide, str] = {"front": "in_front", "behind": "behind"}


def _distance_fault(field: str, station: str, limit: str) -> Fault:
    return Fault(
        code="grading-distance-needed",
        at=(field,),
        message=f"at station {station} finished ground does not meet existing ground within "
        f"{limit} of the plan line",
        hint=f"state in {field} how far from the plan line the ground is to be graded",
    )


def _leg_sums(leg: MovedLeg, spans: Sequence[Sequence[Span]], pen: Pen) -> Sums:
    """One leg: its spans, and what its corners cut off or add."""
    total = NOTHING
    for piece, own in zip(leg.pieces, spans, strict=True):
        edges: list[CrossSection] = []
        for span in own:
            first, last = pen.draw(span, span.from_m), pen.draw(span, span.to_m)
            edges += (first, last)
            total = _add(total, _Prism(leg, span, pen).sums(first, last))
        if edges and piece.start:
            total = _add(total, _lost(leg, edges[0], piece, start_loss_m))
        if edges and piece.end:
            total = _add(total, _lost(leg, edges[-1], piece, end_loss_m))
    cut, backfill, fill, disturbed, bare = (max(0.0, value) for value in total)
    return cut, backfill, fill, disturbed, bare


@dataclass(frozen=True, slots=True)
class _Prism:
    """A span added up by the prismoidal rule."""

    leg: MovedLeg
    span: Span
    pen: Pen

    def sums(self, first: CrossSection, last: CrossSection) -> Sums:
        """Volumes and areas between the two ends of the span."""
        return self._between(first, self._draw_between(first, last), last, _FINEST)

    def _between(
        self, first: CrossSection, middle: CrossSection, last: CrossSection, halvings: int
    ) -> Sums:
        """One prismoid where the shape stays the same; else halves, until they change nothing."""
        whole = self._prismoid(first, middle, last)
        same = first.shape == middle.shape == last.shape
        if (same and not self.span.existing.surveyed) or halvings == 0:
            return whole
        before, after = self._draw_between(first, middle), self._draw_between(middle, last)
        halves = _add(self._prismoid(first, before, middle), self._prismoid(middle, after, last))
        if _agree(whole, halves):
            return halves
        return _add(
            self._between(first, before, middle, halvings - 1),
            self._between(middle, after, last, halvings - 1),
        )

    def _draw_between(self, first: CrossSection, last: CrossSection) -> CrossSection:
        return self.pen.draw(self.span, (first.station_m + last.station_m) / 2)

    def _prismoid(self, first: CrossSection, middle: CrossSection, last: CrossSection) -> Sums:
        length = last.station_m - first.station_m
        columns = zip(*(self._count(each) for each in (first, middle, last)), strict=True)
        cut, backfill, fill, disturbed, bare = (prismoidal(length, *column) for column in columns)
        return cut, backfill, fill, disturbed, bare

    def _count(self, section: CrossSection) -> Sums:
        """Areas of a section, each slice by the length it has there per length of plan line."""
        low, high = self.leg.low_m, self.leg.high_m
        part = self.span.piece.part
        bend = 0.0
        if not isinstance(part, Straight):
            bend = -1 / part.radius_m if part.side == "outside" else 1 / part.radius_m
            low, high = (
                (low, min(high, part.radius_m)) if bend < 0 else (max(low, -part.radius_m), high)
            )
        found = section.totals
        if not (low <= section.front_m and section.back_m <= high):
            found = tuple(moments(clipped(area, low, high)) for area in section.areas)
        cut, backfill, fill, disturbed, bare = (area + bend * first for area, first in found)
        return cut, backfill, fill, disturbed, bare


def _lost(
    leg: MovedLeg, section: CrossSection, piece: Piece, loss_m: Callable[[Piece, float], float]
) -> Sums:
    """What a corner takes from a piece (negative) or adds to it, at the piece's section there."""
    joint = piece.start if loss_m is start_loss_m else piece.end
    mitre = joint is not None and all(joint.is_mitre(x) for x in (leg.low_m, leg.high_m))
    found = []
    for trapezoids in section.areas:
        kept = clipped(trapezoids, leg.low_m, leg.high_m)
        if mitre:
            found.append(-loss_m(piece, 1.0) * moments(kept)[1])
        else:
            found.append(-weighted(kept, lambda x: loss_m(piece, x)))
    cut, backfill, fill, disturbed, bare = found
    return cut, backfill, fill, disturbed, bare


def _agree(one: Sums, other: Sums) -> bool:
    return all(abs(a - b) <= _SAME_SHARE * (1 + abs(b)) for a, b in zip(one, other, strict=True))


def _add(one: Sums, other: Sums) -> Sums:
    cut, backfill, fill, disturbed, bare = (a + b for a, b in zip(one, other, strict=True))
    return cut, backfill, fill, disturbed, bare
