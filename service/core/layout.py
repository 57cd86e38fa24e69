"""Courses, runs, legs, units, caps and areas of one wall: contract section 4, 5 to 8."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.core.errors import Fault, LayoutFaultsError
from service.core.levels import (
    Grid,
    LevelRun,
    Stretch,
    embedment_share,
    lay_out_grid,
    lay_out_levels,
    level_runs,
)
from service.core.measure import UnitSet
from service.core.plan import PlanLine, PlanOffsetError, measure
from service.core.profile import measure_profile
from service.core.results import BaseStep, CapRun, Course, Leg, Run
from service.core.rounding import CLOSE_M, whole_units
from service.core.section import Section
from service.core.spec import WallSpec
from service.core.wall_system import WallSystem, WallUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class WallLayout:
    """One wall, laid out. Lengths in plan (m), areas in m2, stations from the plan's start."""

    spec: WallSpec
    system: WallSystem
    plan: PlanLine
    grid: Grid
    stretches: tuple[Stretch, ...]
    courses: tuple[Course, ...]
    steps: tuple[BaseStep, ...]
    caps: tuple[CapRun, ...]

    @property
    def name(self) -> str:
        """The wall's name."""
        return self.spec.name

    @property
    def length_m(self) -> float:
        """Length of the plan line."""
        return self.plan.length_m

    @property
    def lowest(self) -> int:
        """Lower joint of the lowest course."""
        return self.courses[0].joint

    def offset_m(self, joint: int) -> float:
        """How far the face of the course on this joint lies behind the plan line."""
        return self.system.setback_m * (joint - self.lowest)

    @property
    def base_runs(self) -> tuple[LevelRun, ...]:
        """Stretches with one base joint."""
        return level_runs(self.stretches, lambda stretch: stretch.base)

    @property
    def face_area_m2(self) -> float:
        """Course face length x unit height, buried courses included, caps not."""
        length = math.fsum(run.face_length_m for course in self.courses for run in course.runs)
        return length * self.grid.course_m

    @property
    def exposed_area_m2(self) -> float:
        """Area between requested top and front grade along the plan."""
        intervals = [stretch.interval for stretch in self.stretches]
        return math.fsum(
            i.length_m * (i.start.exposed_m + i.finish.exposed_m) / 2 for i in intervals
        )

    @property
    def pay_face_area_m2(self) -> float:
        """Area between built top (cap included) and top of the pad along the plan."""
        return math.fsum(
            stretch.interval.length_m * self.built_height_m(stretch) for stretch in self.stretches
        )

    @property
    def max_exposed_m(self) -> float:
        """Largest requested top minus front grade."""
        return max(
            max(s.interval.start.exposed_m, s.interval.finish.exposed_m) for s in self.stretches
        )

    @property
    def max_wall_height_m(self) -> float:
        """Largest built top minus underside of the lowest unit there."""
        return max(self.built_height_m(stretch) for stretch in self.stretches)

    @property
    def built_top_m(self) -> float:
        """Level of the highest top as built, cap included."""
        highest = max(stretch.top for stretch in self.stretches)
        return self.grid.level_m(highest) + self.system.cap_height_m

    def built_height_m(self, stretch: Stretch) -> float:
        """Built top (cap included) minus underside of the lowest unit."""
        return (stretch.top - stretch.base) * self.grid.course_m + self.system.cap_height_m


def lay_out(spec: WallSpec, system: WallSystem, section: Section, units: UnitSet) -> WallLayout:
    """Lay out one wall.

    Raises LayoutFaultsError; fault paths start at the wall (`("profile", 1, "station")`).
    """
    plan = measure(spec.plan)
    intervals = measure_profile(spec, plan, units)
    share = embedment_share(section.embedment, spec.front_slope)
    grid = lay_out_grid(spec, intervals, system, section.embedment, share)
    stretches = lay_out_levels(spec, intervals, grid, system, section.embedment, share, units)
    courses = _lay_out_courses(spec, system, plan, grid, stretches)
    return WallLayout(
        spec=spec,
        system=system,
        plan=plan,
        grid=grid,
        stretches=stretches,
        courses=courses,
        steps=_base_steps(stretches),
        caps=tuple(_cap_runs(system, plan, stretches, courses[0].joint)),
    )


def _base_steps(stretches: Sequence[Stretch]) -> tuple[BaseStep, ...]:
    runs = level_runs(stretches, lambda stretch: stretch.base)
    return tuple(
        BaseStep(station_m=run.from_m, courses=run.joint - before.joint)
        for before, run in pairwise(runs)
    )


def _lay_out_courses(
    spec: WallSpec, system: WallSystem, plan: PlanLine, grid: Grid, stretches: Sequence[Stretch]
) -> tuple[Course, ...]:
    lowest = min(stretch.base for stretch in stretches)
    highest = max(stretch.top for stretch in stretches)
    courses, faults = [], []
    for joint in range(lowest, highest):
        number = joint - lowest + 1
        offset = system.setback_m * (number - 1)
        runs = []
        for from_m, to_m in _present(stretches, joint):
            try:
                legs = tuple(_legs(spec, system, plan, number, from_m, to_m))
                runs.append(Run(from_station_m=from_m, to_station_m=to_m, legs=legs))
            except (LegUsedUpError, PlanOffsetError) as error:
                faults.append(_course_fault(number, error))
        courses.append(
            Course(
                number=number,
                joint=joint,
                offset_m=offset,
                elevation_m=grid.level_m(joint),
                runs=tuple(runs),
            )
        )
    if faults:
        raise LayoutFaultsError(faults[:1])
    return tuple(courses)


class LegUsedUpError(Exception):
    """A leg that the setback uses up; `leg` is its number in the run, counted from 1."""

    def __init__(self, leg: int) -> None:
        self.leg = leg
        super().__init__(f"leg {leg} is used up by the setback")


def _course_fault(number: int, error: LegUsedUpError | PlanOffsetError) -> Fault:
    return Fault(
        code="leg-used-up",
        at=("plan",),
        message=f"course {number}: {error}",
        hint="a longer leg or a larger radius there, a lower wall, or a system with less setback",
    )


def _present(stretches: Sequence[Stretch], joint: int) -> Iterator[tuple[float, float]]:
    """Stretches of stations where the course on a joint is present."""
    start: float | None = None
    for stretch in stretches:
        here = stretch.base <= joint < stretch.top
        if here and start is None:
            start = stretch.from_m
        if not here and start is not None:
            yield start, stretch.from_m
            start = None
    if start is not None:
        yield start, stretches[-1].to_m


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


def _legs(
    spec: WallSpec, system: WallSystem, plan: PlanLine, number: int, from_m: float, to_m: float
) -> Iterator[Leg]:
    """Count a run of course `number` leg by leg.

    `covered` is what corner units cover of a leg's face (negative where a leg runs on behind
    another), `corner_pieces` how many of them are listed with it.
    """
    stations = split_legs(plan, from_m, to_m)
    covered = [0.0] * len(stations)
    corner_pieces = [0] * len(stations)
    for leg, corner in enumerate(inner_corners(plan, from_m, to_m)):
        _turn_corner(system, plan, corner, number, leg, covered, corner_pieces)
    for leg, finished in (
        (0, _finished_start(spec, from_m)),
        (-1, _finished_end(spec, plan, to_m)),
    ):
        if finished:
            covered[leg] += system.corner_piece.face_length_m
            corner_pieces[leg] += 1
    for i, (a, b) in enumerate(stations):
        face = plan.run_length_m(a, b, system.setback_m * (number - 1))
        if face < CLOSE_M:
            raise LegUsedUpError(i + 1)
        standard = whole_units(face - covered[i], system.standard.face_length_m)
        yield Leg(
            from_station_m=a,
            to_station_m=b,
            face_length_m=face,
            standard_units=standard + (0 if system.corner else corner_pieces[i]),
            corner_units=corner_pieces[i] if system.corner else 0,
        )


def _turn_corner(
    system: WallSystem,
    plan: PlanLine,
    corner: int,
    number: int,
    leg: int,
    covered: list[float],
    corner_pieces: list[int],
) -> None:
    """Share a corner between leg `leg` and the next, turn about course by course."""
    legs = plan.legs_m
    longer_first = legs[corner] >= legs[corner + 1] - CLOSE_M
    first_leads = longer_first == (number % 2 == 1)
    leading, other = (leg, leg + 1) if first_leads else (leg + 1, leg)
    if plan.corners[corner][1].side == "inside":
        covered[leading] -= system.standard.depth_m
        return
    covered[leading] += system.corner_piece.face_length_m
    covered[other] += system.corner_piece.depth_m
    corner_pieces[leading] += 1


def _finished_start(spec: WallSpec, from_m: float) -> bool:
    return spec.ends.start == "finished" and from_m < CLOSE_M


def _finished_end(spec: WallSpec, plan: PlanLine, to_m: float) -> bool:
    return spec.ends.finish == "finished" and plan.length_m - to_m < CLOSE_M


def _cap_runs(
    system: WallSystem, plan: PlanLine, stretches: Sequence[Stretch], lowest: int
) -> Iterator[CapRun]:
    """Cap runs: one top joint each, counted leg by leg, returns at the higher side of a step."""
    if system.cap is None:
        return
    runs = level_runs(stretches, lambda stretch: stretch.top)
    for i, run in enumerate(runs):
        front = system.setback_m * (run.joint - 1 - lowest)
        lengths = [
            _cap_leg_m(plan, a, b, front, system.cap)
            for a, b in split_legs(plan, run.from_m, run.to_m)
        ]
        if i > 0 and runs[i - 1].joint < run.joint:
            lengths[0] += system.cap.depth_m
        if i + 1 < len(runs) and runs[i + 1].joint < run.joint:
            lengths[-1] += system.cap.depth_m
        yield CapRun(
            from_station_m=run.from_m,
            to_station_m=run.to_m,
            length_m=math.fsum(lengths),
            units=sum(whole_units(length, system.cap.face_length_m) for length in lengths),
        )


def _cap_leg_m(plan: PlanLine, from_m: float, to_m: float, front_m: float, cap: WallUnit) -> float:
    """The longer of a cap leg's front edge (overhang left out) and its rear edge."""
    return max(plan.run_length_m(from_m, to_m, x) for x in (front_m, front_m + cap.depth_m))
