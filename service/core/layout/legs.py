"""The units of a run, counted leg by leg: rule 6."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from itertools import pairwise

from service.core.job.spec import WallSpec
from service.core.job.wall_system import WallSystem
from service.core.layout.courses import Leg
from service.core.layout.plan import PlanLine
from service.core.rounding import CLOSE_M, whole_units


class LegUsedUpError(Exception):
    """A leg that the setback uses up: its first plan part, counted from 1, and its stations."""

    def __init__(self, part: int, from_m: float, to_m: float) -> None:
        self.part = part
        self.from_m = from_m
        self.to_m = to_m
        super().__init__(f"the leg from plan part {part} on is used up by the setback")


def inner_corners(plan: PlanLine, from_m: float, to_m: float) -> list[int]:
    """Numbers (from 0) of the corners that lie within a run."""
    return [
        index
        for index, (station, _) in enumerate(plan.corners)
        if from_m + CLOSE_M < station < to_m - CLOSE_M
    ]


def split_legs(plan: PlanLine, from_m: float, to_m: float) -> list[tuple[float, float]]:
    """The stations of a run cut at its corners."""
    marks = [from_m, *(plan.corners[i][0] for i in inner_corners(plan, from_m, to_m)), to_m]
    return list(pairwise(marks))


def count_legs(
    spec: WallSpec, system: WallSystem, plan: PlanLine, number: int, from_m: float, to_m: float
) -> Iterator[Leg]:
    """Count a run of course `number` leg by leg.

    `covered` is what corner units cover of a leg's face at its start and at its end (negative where
    a leg runs on behind another), `corner_pieces` how many of them are listed with it.
    """
    offset_m = system.setback_m * (number - 1)
    from_m, to_m = _without_stubs(plan, from_m, to_m, offset_m)
    stations = split_legs(plan, from_m, to_m)
    covered = [[0.0, 0.0] for _ in stations]
    corner_pieces = [0] * len(stations)
    for leg, corner in enumerate(inner_corners(plan, from_m, to_m)):
        _turn_corner(system, plan, corner, number, leg, covered, corner_pieces)
    for end, finished in enumerate(
        (_finished_start(spec, from_m), _finished_end(spec, plan, to_m))
    ):
        if finished:
            covered[-end][end] += system.corner_piece.face_length_m
            corner_pieces[-end] += 1
    for i, (a, b) in enumerate(stations):
        face = plan.run_length_m(a, b, offset_m)
        if face < CLOSE_M:
            raise LegUsedUpError(_part_at(plan, a), a, b)
        left = face - sum(covered[i])
        standard = whole_units(left, system.standard.face_length_m)
        yield Leg(
            from_station_m=a,
            to_station_m=b,
            face_length_m=face,
            standard_units=standard + (0 if system.corner else corner_pieces[i]),
            corner_units=corner_pieces[i] if system.corner else 0,
            cuts=_end_cuts(left - standard * system.standard.face_length_m, number),
            covers_m=(covered[i][0], covered[i][1]),
        )


def _part_at(plan: PlanLine, station_m: float) -> int:
    """Number of the plan part that begins or goes on at a station, counted from 1."""
    return bisect_right(plan.part_ends_m, station_m + CLOSE_M) + 1


def _end_cuts(over_m: float, number: int) -> int:
    """Cuts of a leg that its units miss or overrun by so much: one; where they fill it, one in
    every second course, whose bond begins with a half (rule 6.8)."""
    return 1 if abs(over_m) > CLOSE_M else 1 - number % 2


def _without_stubs(
    plan: PlanLine, from_m: float, to_m: float, offset_m: float
) -> tuple[float, float]:
    """A run that a step ends so close behind a corner that the moved corner lies beyond the step
    ends at the corner: nothing of it is left on the other side."""
    legs = split_legs(plan, from_m, to_m)
    if len(legs) > 1 and from_m >= CLOSE_M and plan.run_length_m(*legs[0], offset_m) < CLOSE_M:
        from_m = legs[0][1]
    stepped = plan.length_m - to_m >= CLOSE_M
    if len(legs) > 1 and stepped and plan.run_length_m(*legs[-1], offset_m) < CLOSE_M:
        to_m = legs[-1][0]
    return from_m, to_m


def _turn_corner(
    system: WallSystem,
    plan: PlanLine,
    corner: int,
    number: int,
    leg: int,
    covered: list[list[float]],
    corner_pieces: list[int],
) -> None:
    """Share a corner between leg `leg` and the next, turn about course by course."""
    legs = plan.legs_m
    longer_first = legs[corner] >= legs[corner + 1] - CLOSE_M
    first_leads = longer_first == (number % 2 == 1)
    leading, other = (leg, leg + 1) if first_leads else (leg + 1, leg)
    # The first of the two legs ends at the corner, the second one starts there.
    if plan.corners[corner][1].side == "inside":
        covered[leading][leg + 1 - leading] -= system.standard.depth_m
        return
    covered[leading][leg + 1 - leading] += system.corner_piece.face_length_m
    covered[other][leg + 1 - other] += system.corner_piece.depth_m
    corner_pieces[leading] += 1


def _finished_start(spec: WallSpec, from_m: float) -> bool:
    return spec.ends.start == "finished" and from_m < CLOSE_M


def _finished_end(spec: WallSpec, plan: PlanLine, to_m: float) -> bool:
    return spec.ends.finish == "finished" and plan.length_m - to_m < CLOSE_M
