"""The earthwork of one wall added up along its plan, by the offset rule.

Every slice of a cross-section is as long as the plan line moved to its offset: along an arc a
section counts its area and its first moment; beside a corner each station has its own section, up
to the mitre. Along the plan the prismoidal rule holds between stations, with
sections added until the shape stays the same between them (rule 13.6).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from service.core.errors import Fault, LayoutFaultsError
from service.core.ground.cross_section import CrossSection, draw_section
from service.core.ground.finished import GradingDistanceError, Outline, outline_of
from service.core.ground.ground import Existing
from service.core.ground.moved_leg import Mitre, MovedLeg, legs
from service.core.ground.prismoid import Prismoid, Sums
from service.core.ground.region import GroundShortError, clipped, weighted
from service.core.ground.span import Span, spans_of
from service.core.ground.trench import CutNeverMeetsError, Digging, TrenchStation
from service.core.job.graded import WallSide
from service.core.job.spec import Straight
from service.core.layout.corner import FARTHEST_M
from service.core.layout.layout import WallLayout
from service.core.layout.piece import Piece
from service.core.measure import UnitSet

_Drawing = TypeVar("_Drawing", CrossSection, Outline)
NOTHING: Sums = (0.0, 0.0, 0.0, 0.0, 0.0)

_FINEST = 14  # times a stretch may be halved where its shape changes
_SAME_SHARE = 1e-8  # sums that agree this well are the same
_CURVED_SHARE = 1e-6  # beside a corner at a curve


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


def dig_wall(pen: Pen, ground: Sequence[Existing]) -> Dug:
    """Add up the earthwork of the wall that a pen draws.

    Raises LayoutFaultsError (`existing-section-short`, `grading-distance-needed`,
    `cut-never-meets-ground`).
    """
    spans = pen.spans(ground)
    sums = add_up_spans(pen.layout, spans, pen)
    sections = tuple(sorted(pen.drawn, key=lambda section: section.station_m))
    return Dug(sums=sums, sections=sections, spans=tuple(span for own in spans for span in own))


def add_up_spans(layout: WallLayout, spans: Sequence[Sequence[Span]], pen: Draws) -> Sums:
    """What a pen draws, added up along the plan; `spans` piece by piece."""
    sums, first = NOTHING, 0
    for leg in legs(layout.plan):
        last = first + len(leg.pieces)
        sums = _add(sums, _leg_sums(leg, spans[first:last], pen))
        first = last
    return sums


def outlines(pen: Pen, ground: Sequence[Existing]) -> list[Outline]:
    """The outlines at the ends of the spans: on a plane no cut is deeper. Raises as `dig_wall`."""
    return [
        pen.outline(span, mark)
        for own in pen.spans(ground)
        for span in own
        for mark in (span.from_m, span.to_m)
    ]


class Draws(Protocol):
    """Draws sections of a wall."""

    @property
    def same_share(self) -> tuple[float, float]:
        """Shares by which sums may differ and still agree: on legs whose mitres are straight, and
        beside a corner at a curve."""
        ...

    def draw(self, span: Span, station_m: float) -> CrossSection:
        """The section of a span at a station."""
        ...


class Pen:
    """Draws sections of one wall and keeps them, each once; what can't be drawn becomes a fault."""

    same_share = (_SAME_SHARE, _CURVED_SHARE)

    def __init__(self, layout: WallLayout, digging: Digging, units: UnitSet) -> None:
        self.layout = layout
        self.digging = digging
        self._units = units
        self._kept: dict[TrenchStation, CrossSection] = {}

    @property
    def drawn(self) -> tuple[CrossSection, ...]:
        """Every section drawn so far, in the order in which they were."""
        return tuple(self._kept.values())

    def spans(self, ground: Sequence[Existing]) -> list[tuple[Span, ...]]:
        """The spans of the wall, piece by piece of its plan."""
        layout, digging = self.layout, self.digging
        return [tuple(spans_of(layout, digging, ground, piece)) for piece in layout.plan.pieces]

    def place(self, span: Span, station_m: float) -> TrenchStation:
        """A station of a span, with the ground there."""
        return TrenchStation(
            station_m=station_m,
            levels=span.stretch.interval.at(station_m),
            base=span.stretch.base,
            top_joint=span.stretch.top_joint,
            stone_bottom_m=span.stone_bottom_m,
            ground=span.existing.at(station_m),
            reach_m=span.reach_m,
        )

    def draw(self, span: Span, station_m: float) -> CrossSection:
        """The section of a span at a station."""
        place = self.place(span, station_m)
        section = self._kept.get(place)
        if section is None:
            section = self._kept[place] = self._drawn(span, place, draw_section)
        return section

    def outline(self, span: Span, station_m: float) -> Outline:
        """The outline of the section of a span at a station."""
        return self._drawn(span, self.place(span, station_m), outline_of)

    def _drawn(
        self,
        span: Span,
        place: TrenchStation,
        draw: Callable[[WallLayout, Digging, TrenchStation], _Drawing],
    ) -> _Drawing:
        try:
            return draw(self.layout, self.digging, place)
        except (GroundShortError, GradingDistanceError, CutNeverMeetsError) as error:
            where = self._units.show(place.station_m, "length")
            faults = _faults(error, span, where, self._units, self.digging)
            raise LayoutFaultsError(faults) from error


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


_SIDE: Mapping[WallSide, str] = {"front": "in_front", "behind": "behind"}


def _distance_fault(field: str, station: str, limit: str) -> Fault:
    return Fault(
        code="grading-distance-needed",
        at=(field,),
        message=f"at station {station} finished ground does not meet existing ground within "
        f"{limit} of the plan line",
        hint=f"state in {field} how far from the plan line the ground is to be graded",
    )


def _leg_sums(leg: MovedLeg, spans: Sequence[Sequence[Span]], pen: Draws) -> Sums:
    """One leg: its spans, and what runs on past its corners."""
    total = NOTHING
    edges: list[CrossSection] = []
    for own in spans:
        for span in own:
            first, last = pen.draw(span, span.from_m), pen.draw(span, span.to_m)
            edges += (first, last)
            total = _add(total, _SpanSums(leg, span, pen).sums(first, last))
    for mitre in leg.mitres if edges else ():
        section = edges[0] if mitre.starts else edges[-1]
        total = _add(total, _run_on(leg, mitre, section))
    return total


@dataclass(frozen=True, slots=True)
class _SpanSums:
    """A span added up by the prismoidal rule."""

    leg: MovedLeg
    span: Span
    pen: Draws

    def sums(self, first: CrossSection, last: CrossSection) -> Sums:
        """Volumes and areas between the two ends of the span."""
        whole = self._prismoid(first, last)
        return self._between(whole, whole.sums(), _FINEST)

    def _between(self, whole: Prismoid, found: Sums, halvings: int) -> Sums:
        """One prismoid where the shape stays the same; else halves, until they change nothing.
        `found` are the sums of the one."""
        if (whole.is_even and not self.span.existing.surveyed) or halvings == 0:
            return found
        before = self._prismoid(whole.first, whole.middle)
        after = self._prismoid(whole.middle, whole.last)
        first, last = before.sums(), after.sums()
        halves = _add(first, last)
        if _agree(found, halves, self.pen.same_share[not whole.is_straight]):
            return halves
        return _add(
            self._between(before, first, halvings - 1), self._between(after, last, halvings - 1)
        )

    def _prismoid(self, first: CrossSection, last: CrossSection) -> Prismoid:
        """Two sections with the one midway, as far as center and mitres leave them."""
        middle = self.pen.draw(self.span, (first.station_m + last.station_m) / 2)
        sections = first, middle, last
        low, high = _center(self.span.piece)
        lowers, uppers = [(low, low, low)], [(high, high, high)]
        for mitre in self.leg.mitres:
            if _touches(mitre, sections):
                a, b, c = (mitre.bound_m(each.station_m) for each in sections)
                (uppers if mitre.joint.side == "outside" else lowers).append((a, b, c))
        return Prismoid(
            first=first,
            middle=middle,
            last=last,
            lowers=tuple(lowers),
            uppers=tuple(uppers),
            bend=self.span.piece.scale(1.0) - 1.0,
        )


def _center(piece: Piece) -> tuple[float, float]:
    """Offsets between which a piece has length: up to the center of a curve."""
    part = piece.part
    if isinstance(part, Straight):
        return -FARTHEST_M, FARTHEST_M
    return (-FARTHEST_M, part.radius_m) if part.side == "outside" else (-part.radius_m, FARTHEST_M)


def _touches(mitre: Mitre, sections: Sequence[CrossSection]) -> bool:
    """Whether a mitre takes anything from one of some sections."""
    away = min(abs(each.station_m - mitre.joint.station_m) for each in sections)
    if mitre.joint.side == "outside":
        return mitre.taken_m(max(each.back_m for each in sections)) > away
    return mitre.taken_m(min(each.front_m for each in sections)) > away


def _run_on(leg: MovedLeg, mitre: Mitre, section: CrossSection) -> Sums:
    """What stands past a corner, with the section at the corner."""
    low, high = _center(mitre.pieces[0])
    turn = min(max(leg.used_up_m(mitre), low), high)
    found = []
    for area in section.areas:
        parts = (*clipped(area, low, min(0.0, turn)), *clipped(area, max(0.0, turn), high))
        parts += clipped(area, min(0.0, turn), max(0.0, turn))
        found.append(weighted(parts, lambda x_m: leg.run_on_m(mitre, x_m)))
    cut, backfill, fill, disturbed, bare = found
    return cut, backfill, fill, disturbed, bare


def _agree(one: Sums, other: Sums, share: float) -> bool:
    return all(abs(a - b) <= share * (1 + abs(b)) for a, b in zip(one, other, strict=True))


def _add(one: Sums, other: Sums) -> Sums:
    cut, backfill, fill, disturbed, bare = (a + b for a, b in zip(one, other, strict=True))
    return cut, backfill, fill, disturbed, bare
