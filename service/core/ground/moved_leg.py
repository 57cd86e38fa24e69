"""Legs of the plan moved sideways as far as earthwork reaches: what corners take, what they add.

A column of earth at offset x stands at every station that the leg moved by x still has. So the
mitre of a corner bounds the section at each station beside it, at the offset at which the moved
leg begins or ends there. On its other side the moved leg runs on past the corner, as far as the
offset rule says.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from service.core.layout.corner import FARTHEST_M, CornerJoint
from service.core.layout.piece import Piece
from service.core.layout.plan import PlanLine

_HALVINGS = 50
_CLOSE_M = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Mitre:
    """A corner at one end of a leg, at its start if `starts`; `pieces` of the leg stand with the
    one beside the corner first. Where the moved lines meet no more, each leg ends where its
    neighbor does."""

    joint: CornerJoint
    pieces: tuple[Piece, ...]
    starts: bool
    _bounds_m: dict[float, float] = field(init=False, default_factory=dict)

    def bound_m(self, station_m: float) -> float:
        """Offset at which the mitre stands at a station of the leg: behind the plan line at an
        outside corner, in front of it at an inside one."""
        if station_m not in self._bounds_m:
            self._bounds_m[station_m] = self._find_bound_m(station_m)
        return self._bounds_m[station_m]

    def _find_bound_m(self, station_m: float) -> float:
        away = abs(station_m - self.joint.station_m)
        straight = away / math.tan(self.joint.turn_rad / 2)
        if self.joint.is_straight or self.joint.is_mitre(straight):
            return straight
        limit = math.copysign(FARTHEST_M, straight)
        return _first_taken(self.taken_m, away, limit)

    def taken_m(self, x_m: float) -> float:
        """Plan length of the leg that the leg moved by `x_m` no longer has; negative where it runs
        on past the corner."""
        scales = (piece.scale(x_m) for piece in self.pieces)
        return math.fsum(
            loss / scale if scale > 0 else piece.to_m - piece.from_m
            for piece, scale, loss in zip(self.pieces, scales, self._losses(x_m), strict=True)
        )

    def added_m(self, x_m: float) -> float:
        """How far the leg moved by `x_m` runs on past the corner."""
        return max(0.0, -self._losses(x_m)[0])

    def _losses(self, x_m: float) -> tuple[float, ...]:
        return self.joint.losses(self.joint.met_m(x_m))[self.starts]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedLeg:
    """The plan between two corners, with the mitres at its ends."""

    pieces: tuple[Piece, ...]
    mitres: tuple[Mitre, ...]

    def run_on_m(self, mitre: Mitre, x_m: float) -> float:
        """What is left of the leg, moved by `x_m`, past the corner of one of its mitres."""
        length = self.pieces[-1].to_m - self.pieces[0].from_m
        over = (other.taken_m(x_m) - length for other in self.mitres if other is not mitre)
        return max(0.0, mitre.added_m(x_m) - max((0.0, *over)))

    def used_up_m(self, mitre: Mitre) -> float:
        """Offset at which the mitre of the other end comes to the corner of this one: 0 without
        another."""
        others = (other for other in self.mitres if other is not mitre)
        return next((other.bound_m(mitre.joint.station_m) for other in others), 0.0)


def legs(plan: PlanLine) -> tuple[MovedLeg, ...]:
    """The plan cut at its corners."""
    groups: list[list[Piece]] = []
    for piece in plan.pieces:
        if piece.start_rank == 0 or not groups:
            groups.append([])
        groups[-1].append(piece)
    return tuple(_leg(tuple(group)) for group in groups)


def _leg(pieces: tuple[Piece, ...]) -> MovedLeg:
    start, end = pieces[0].start, pieces[-1].end
    mitres = [Mitre(start, pieces, starts=True)] if start else []
    mitres += [Mitre(end, pieces[::-1], starts=False)] if end else []
    return MovedLeg(pieces=pieces, mitres=tuple(mitres))


def _first_taken(taken_m: Callable[[float], float], away_m: float, limit_m: float) -> float:
    """Offset, from 0 toward a limit, at which so much is taken; the limit where it isn't. What is
    taken rises from 0. False position, the end that stays halved (Illinois method)."""
    a, low, b, high = 0.0, -away_m, limit_m, taken_m(limit_m) - away_m
    if high <= 0:
        return limit_m
    x_m = a
    for _ in range(_HALVINGS):
        x_m = (a * high - b * low) / (high - low)
        found = taken_m(x_m) - away_m
        if abs(found) < _CLOSE_M:
            return x_m
        if found < 0:
            a, low, high = x_m, found, high / 2
        else:
            b, high, low = x_m, found, low / 2
    return x_m
