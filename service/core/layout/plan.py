"""The plan line and the offset rule, which faces, caps, pad, stone and fabric all follow.

Whatever lies at distance x behind the plan line (in front: negative) is as long as the plan
line moved toward the soil by x (rule 1.4): arcs shrink or grow, straight legs lose
or gain x·tan(angle/2) at a corner, and beside a curve the moved lines meet where they really
intersect. Beyond the center of a curve, or where a leg is used up, nothing is left (length 0).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate, islice, pairwise

from service.core.errors import Fault, LayoutFaultsError
from service.core.job.spec import Corner, PlanPart
from service.core.layout.corner import CornerJoint, LegPart
from service.core.layout.piece import Cut, Piece, positive_trapezoid
from service.core.rounding import CLOSE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A strip behind one part of the plan that ends square at corners: its edges and area."""

    near_m: float
    far_m: float
    area_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanLine:
    """The measured plan. Stations run from 0 to `length_m`; `part_ends_m` are the stations at
    the end of each part; `corners` are (station, joint); `legs_m` lengths between corners."""

    pieces: tuple[Piece, ...]
    part_ends_m: tuple[float, ...]
    corners: tuple[tuple[float, CornerJoint], ...]
    legs_m: tuple[float, ...]
    loose: bool = False

    @property
    def ending_with_neighbors(self) -> PlanLine:
        """The same plan for what may stop at a corner too tight for it (stone, fabric): where
        moved lines meet no more, a strip ends where its neighbor does."""
        return replace(self, loose=True)

    @property
    def length_m(self) -> float:
        """Length of the plan line."""
        return self.part_ends_m[-1]

    def run_length_m(self, from_m: float, to_m: float, x_m: float) -> float:
        """Length of the plan line between two stations, moved toward the soil by `x_m`."""
        return self.sheet_m2(from_m, to_m, x_m, 1.0, 1.0)

    def run_lengths_m(
        self, from_m: float, to_m: float, x_m: float, after_m: float
    ) -> Iterator[tuple[float, float]]:
        """What `run_length_m` adds up, part by part: where a part ends, and its length; of those
        alone that end beyond `after_m`."""
        cuts = self._cuts(from_m, to_m, 1.0, 1.0, after_m)
        return ((cut.to_m, max(0.0, cut.sheet(x_m))) for cut in cuts)

    def strip_area_m2(self, from_m: float, to_m: float, x1_m: float, x2_m: float) -> float:
        """Area in plan between two offsets (x1 < x2) and two stations."""
        return self.body_m3(from_m, to_m, x1_m, x2_m, 1.0, 1.0)

    def bands(self, from_m: float, to_m: float, x1_m: float, x2_m: float) -> Iterator[Band]:
        """The strip between two offsets part by part: where its near edge ends at a corner it
        ends square, whatever lies on the other side. Parts of which nothing is left are not there.
        """
        for cut in self._cuts(from_m, to_m, 1.0, 1.0):
            near, scale = cut.sheet(x1_m), cut.piece.scale(x1_m)
            if near < CLOSE_M or scale <= 0:
                continue
            far = near * cut.piece.scale(x2_m) / scale
            area = positive_trapezoid(near, far, x2_m - x1_m)
            yield Band(near_m=near, far_m=max(0.0, far), area_m2=area)

    def sheet_m2(
        self, from_m: float, to_m: float, x_m: float, from_height: float, to_height: float
    ) -> float:
        """Area of an upright sheet at an offset, its height linear between the stations.

        What a corner takes is as high as it is at the stations taken.
        """
        cuts = self._cuts(from_m, to_m, from_height, to_height)
        return math.fsum(max(0.0, cut.sheet(x_m)) for cut in cuts)

    def body_m3(
        self,
        from_m: float,
        to_m: float,
        x1_m: float,
        x2_m: float,
        from_height: float,
        to_height: float,
    ) -> float:
        """Volume between two offsets, its height linear between the stations."""
        cuts = self._cuts(from_m, to_m, from_height, to_height)
        return math.fsum(cut.body(x1_m, x2_m) for cut in cuts)

    def _cuts(
        self,
        from_m: float,
        to_m: float,
        from_height: float,
        to_height: float,
        after_m: float = -math.inf,
    ) -> Iterator[Cut]:
        slope = (to_height - from_height) / (to_m - from_m) if to_m > from_m else 0.0
        first = bisect_right(self.pieces, max(from_m, after_m), key=_end_of)
        for piece in islice(self.pieces, first, None):
            a, b = max(from_m, piece.from_m), min(to_m, piece.to_m)
            if piece.from_m >= to_m:
                return
            if b - a >= CLOSE_M:
                yield Cut(
                    piece=piece,
                    from_m=a,
                    to_m=b,
                    from_height=from_height + slope * (a - from_m),
                    to_height=from_height + slope * (b - from_m),
                    start=_reached(piece.start, from_m, to_m),
                    end=_reached(piece.end, from_m, to_m),
                    loose=self.loose,
                )


def _end_of(piece: Piece) -> float:
    return piece.to_m


def _reached(joint: CornerJoint | None, from_m: float, to_m: float) -> CornerJoint | None:
    """A corner, if it stands within a run or at its end."""
    if joint is None or not from_m - CLOSE_M < joint.station_m < to_m + CLOSE_M:
        return None
    return joint


def measure(parts: tuple[PlanPart, ...]) -> PlanLine:
    """Measure a plan: stations, corners and what they join.

    Raises LayoutFaultsError for a plan without length, a corner at an end or two in a row.
    """
    faults = tuple(_plan_faults(parts))
    if faults:
        raise LayoutFaultsError(faults)
    legs = _legs(parts)
    ends = tuple(accumulate(part.length_m for part in parts))
    joints = _joints(parts, legs, ends)
    marks = (0.0, *(joint.station_m for joint in joints), ends[-1])
    return PlanLine(
        pieces=tuple(_pieces(legs, joints)),
        part_ends_m=ends,
        corners=tuple((joint.station_m, joint) for joint in joints),
        legs_m=tuple(b - a for a, b in pairwise(marks)),
    )


def _legs(parts: tuple[PlanPart, ...]) -> list[tuple[LegPart, ...]]:
    """The parts between corners."""
    legs: list[list[LegPart]] = [[]]
    for part in parts:
        if isinstance(part, Corner):
            legs.append([])
        else:
            legs[-1].append(part)
    return [tuple(leg) for leg in legs]


def _joints(
    parts: tuple[PlanPart, ...], legs: list[tuple[LegPart, ...]], ends_m: tuple[float, ...]
) -> list[CornerJoint]:
    """Every corner with the legs beside it."""
    corners = [(i, part) for i, part in enumerate(parts) if isinstance(part, Corner)]
    return [
        CornerJoint(
            part=index + 1,
            station_m=ends_m[index],
            side=corner.side,
            angle_rad=corner.angle_rad,
            before=legs[number][::-1],
            after=legs[number + 1],
        )
        for number, (index, corner) in enumerate(corners)
    ]


def _pieces(legs: list[tuple[LegPart, ...]], joints: list[CornerJoint]) -> Iterator[Piece]:
    station = 0.0
    for number, leg in enumerate(legs):
        for place, part in enumerate(leg):
            yield Piece(
                part=part,
                from_m=station,
                to_m=station + part.length_m,
                start=joints[number - 1] if number > 0 else None,
                start_rank=place,
                end=joints[number] if number < len(joints) else None,
                end_rank=len(leg) - 1 - place,
            )
            station += part.length_m


def _plan_faults(parts: tuple[PlanPart, ...]) -> Iterator[Fault]:
    if not parts:
        yield Fault(
            code="plan-empty",
            at=("plan",),
            message="plan has no parts; give at least one straight or curve",
        )
    for index, part in enumerate(parts):
        if not isinstance(part, Corner):
            continue
        if index in (0, len(parts) - 1):
            yield Fault(
                code="corner-at-end",
                at=("plan", index),
                message=f"plan part {index + 1} is a corner at an end of the plan",
                hint="a corner joins two parts: add a straight or curve beyond it, "
                "or state the end as finished in ends",
            )
        elif isinstance(parts[index - 1], Corner):
            yield Fault(
                code="corners-in-a-row",
                at=("plan", index),
                message=f"plan parts {index} and {index + 1} are two corners in a row",
                hint="put a straight or curve between them",
            )
