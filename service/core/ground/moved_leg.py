"""Legs of the plan moved sideways as far as earthwork reaches: what corners take, what is left."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from service.core.layout.corner import PlanOffsetError
from service.core.layout.plan import Piece, PlanLine

_FARTHEST_M = 100.0  # no earthwork of a wall reaches farther from its plan line
_HALVINGS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedLeg:
    """The plan between two corners. Beyond `low_m` and `high_m` nothing of it is left."""

    pieces: tuple[Piece, ...]
    low_m: float
    high_m: float


def legs(plan: PlanLine) -> tuple[MovedLeg, ...]:
    """The plan cut at its corners."""
    groups: list[list[Piece]] = []
    for piece in plan.pieces:
        if piece.start_rank == 0 or not groups:
            groups.append([])
        groups[-1].append(piece)
    return tuple(
        MovedLeg(pieces=tuple(group), low_m=_reach(group, -1.0), high_m=_reach(group, 1.0))
        for group in groups
    )


def _reach(pieces: Sequence[Piece], way: float) -> float:
    """How far a leg can be moved to one side before nothing of it is left."""
    if all(piece.start is None and piece.end is None for piece in pieces):
        return way * math.inf
    low, high = 0.0, _FARTHEST_M
    if _left_m(pieces, way * high) > 0:
        return way * math.inf
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _left_m(pieces, way * middle) > 0 else (low, middle)
    return way * low


def _left_m(pieces: Sequence[Piece], x_m: float) -> float:
    """Length of a moved leg; -1 where its lines don't meet its neighbors'."""
    try:
        return sum(
            max(0.0, piece.scale(x_m)) * (piece.to_m - piece.from_m)
            - start_loss_m(piece, x_m)
            - end_loss_m(piece, x_m)
            for piece in pieces
        )
    except PlanOffsetError:
        return -1.0


def start_loss_m(piece: Piece, x_m: float) -> float:
    """What a moved piece loses at the corner its leg begins at."""
    return piece.start.losses(x_m)[1][piece.start_rank] if piece.start else 0.0


def end_loss_m(piece: Piece, x_m: float) -> float:
    """What a moved piece loses at the corner its leg ends at."""
    return piece.end.losses(x_m)[0][piece.end_rank] if piece.end else 0.0
