"""Courses, runs, legs, units, caps and areas of one wall: rules 5 to 8."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.core.errors import Fault, LayoutFaultsError
from service.core.job.section import Embedment, Section
from service.core.job.spec import WallSpec
from service.core.job.wall_system import WallSystem
from service.core.layout.caps import lay_out_caps
from service.core.layout.corner import PlanOffsetError
from service.core.layout.courses import BaseStep, CapRun, Course, Run
from service.core.layout.legs import LegUsedUpError, count_legs
from service.core.layout.levels import (
    MOST_SIZE,
    STRETCH_SIZE,
    Grid,
    LevelRun,
    Stretch,
    embedment_share,
    lay_out_grid,
    lay_out_levels,
    level_runs,
    too_large_fault,
)
from service.core.layout.plan import PlanLine, measure
from service.core.layout.profile import Interval, level_faults, measure_profile
from service.core.measure import UnitSet


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
    def size(self) -> int:
        """How much work the wall is: plan parts x courses, and its steps."""
        return len(self.plan.pieces) * len(self.courses) + STRETCH_SIZE * len(self.stretches)

    @property
    def length_m(self) -> float:
        """Length of the plan line."""
        return self.plan.length_m

    @property
    def lowest(self) -> int:
        """Lower joint of the lowest course."""
        return self.courses[0].joint

    @property
    def most_courses(self) -> int:
        """Courses above each other at one place, at most."""
        return max(stretch.top_joint - stretch.base for stretch in self.stretches)

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
        highest = max(stretch.top_joint for stretch in self.stretches)
        return self.grid.level_m(highest) + self.system.cap_height_m

    def built_height_m(self, stretch: Stretch) -> float:
        """Built top (cap included) minus underside of the lowest unit."""
        return (stretch.top_joint - stretch.base) * self.grid.course_m + self.system.cap_height_m


def lay_out(spec: WallSpec, system: WallSystem, section: Section, units: UnitSet) -> WallLayout:
    """Lay out one wall.

    Raises LayoutFaultsError; fault paths start at the wall (`("profile", 1, "station")`).
    """
    return lay_out_embedded(spec, system, section.embedment, units)


def lay_out_embedded(
    spec: WallSpec, system: WallSystem, embedment: Embedment, units: UnitSet
) -> WallLayout:
    """The same by no more than what it depends on, so that it can be kept."""
    plan, intervals, share = _read_spec(spec, embedment, units)
    grid = lay_out_grid(spec, intervals, system, embedment, share)
    stretches = lay_out_levels(spec, intervals, grid, system, embedment, share, units)
    joints = max(s.top_joint for s in stretches) - min(s.base for s in stretches)
    if len(plan.pieces) * joints > MOST_SIZE:
        raise LayoutFaultsError([too_large_fault()])
    courses = _lay_out_courses(spec, system, plan, grid, stretches, units)
    return WallLayout(
        spec=spec,
        system=system,
        plan=plan,
        grid=grid,
        stretches=stretches,
        courses=courses,
        steps=_base_steps(stretches),
        caps=lay_out_caps(system, plan, stretches, courses[0].joint),
    )


def _read_spec(
    spec: WallSpec, embedment: Embedment, units: UnitSet
) -> tuple[PlanLine, tuple[Interval, ...], float]:
    """Plan, profile and share of embedment; the faults of all three at once."""
    faults: list[Fault] = []
    share, plan, intervals = math.nan, None, None
    try:
        share = embedment_share(embedment, spec.front_slope)
    except LayoutFaultsError as error:
        faults += error.faults
    try:
        plan = measure(spec.plan)
        intervals = measure_profile(spec, plan, units)
    except LayoutFaultsError as error:
        faults += error.faults
    if plan is None:
        faults += level_faults(spec.profile, units)
    if faults or plan is None or intervals is None:
        raise LayoutFaultsError(faults)
    return plan, intervals, share


def _base_steps(stretches: Sequence[Stretch]) -> tuple[BaseStep, ...]:
    runs = level_runs(stretches, lambda stretch: stretch.base)
    return tuple(
        BaseStep(station_m=run.from_m, courses=run.joint - before.joint)
        for before, run in pairwise(runs)
    )


def _lay_out_courses(
    spec: WallSpec,
    system: WallSystem,
    plan: PlanLine,
    grid: Grid,
    stretches: Sequence[Stretch],
    units: UnitSet,
) -> tuple[Course, ...]:
    lowest = min(stretch.base for stretch in stretches)
    highest = max(stretch.top_joint for stretch in stretches)
    courses, faults = [], []
    for joint in range(lowest, highest):
        number = joint - lowest + 1
        offset = system.setback_m * (number - 1)
        runs = []
        for from_m, to_m in _present(stretches, joint):
            try:
                legs = tuple(count_legs(spec, system, plan, number, from_m, to_m))
                ends = (legs[0].from_station_m, legs[-1].to_station_m)
                runs.append(Run(from_station_m=ends[0], to_station_m=ends[1], legs=legs))
            except (LegUsedUpError, PlanOffsetError) as error:
                faults.append(_course_fault(number, error, units))
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


def _course_fault(number: int, error: LegUsedUpError | PlanOffsetError, units: UnitSet) -> Fault:
    where = str(error)
    if isinstance(error, LegUsedUpError):
        from_, to = (units.show(station, "length") for station in (error.from_m, error.to_m))
        where = f"the leg at plan part {error.part}, stations {from_} to {to}, is used up"
    return Fault(
        code="leg-used-up",
        at=("plan",),
        message=f"course {number}: {where}",
        hint="a longer leg or a larger radius there, a lower wall, or a system with less setback",
    )


def _present(stretches: Sequence[Stretch], joint: int) -> Iterator[tuple[float, float]]:
    """Stretches of stations where the course on a joint is present."""
    start: float | None = None
    for stretch in stretches:
        here = stretch.base <= joint < stretch.top_joint
        if here and start is None:
            start = stretch.from_m
        if not here and start is not None:
            yield start, stretch.from_m
            start = None
    if start is not None:
        yield start, stretches[-1].to_m
