"""Units that are cut: the ends of legs, mitres, and curves too tight for whole units (rule 6.8)."""

from __future__ import annotations

import math
from collections.abc import Iterator

from service.core.job.spec import Curve
from service.core.layout.courses import Course, Run
from service.core.layout.layout import WallLayout
from service.core.layout.legs import inner_corners
from service.core.rounding import CLOSE_M, whole_units

CUTS_OF_A_MITRE = 2
SQUARE_RAD = math.pi / 2
CLOSE_RAD = 1e-9


def count_cuts(layout: WallLayout) -> int:
    """Cuts of all courses and caps of a wall."""
    return sum(_of_run(layout, course, run) for course, run in _runs(layout)) + sum(
        CUTS_OF_A_MITRE * len(inner_corners(layout.plan, cap.from_station_m, cap.to_station_m))
        for cap in layout.caps
    )


def _runs(layout: WallLayout) -> Iterator[tuple[Course, Run]]:
    return ((course, run) for course in layout.courses for run in course.runs)


def _of_run(layout: WallLayout, course: Course, run: Run) -> int:
    """The ends of its legs, two units at each corner that isn't square, those of tight curves."""
    corners = inner_corners(layout.plan, run.from_station_m, run.to_station_m)
    turns = (layout.plan.corners[corner][1].angle_rad for corner in corners)
    oblique = sum(abs(turn - SQUARE_RAD) > CLOSE_RAD for turn in turns)
    legs = sum(leg.cuts for leg in run.legs)
    return legs + CUTS_OF_A_MITRE * oblique + _of_curves(layout, course, run)


def _of_curves(layout: WallLayout, course: Course, run: Run) -> int:
    """Every unit on a curve whose face here is tighter than the system's minimum."""
    count = 0
    for piece in layout.plan.pieces:
        if isinstance(piece.part, Curve) and _is_tight(layout, piece.part, course.offset_m):
            low, high = max(piece.from_m, run.from_station_m), min(piece.to_m, run.to_station_m)
            length = layout.plan.run_length_m(low, high, course.offset_m)
            count += whole_units(length, layout.system.standard.face_length_m)
    return count


def _is_tight(layout: WallLayout, curve: Curve, offset_m: float) -> bool:
    """The face at this offset is tighter than what the system's whole units can follow."""
    system, outside = layout.system, curve.side == "outside"
    minimum = system.minimum_outside_radius_m if outside else system.minimum_inside_radius_m
    radius = curve.radius_m + (-offset_m if outside else offset_m)
    return minimum is not None and radius < minimum - CLOSE_M
