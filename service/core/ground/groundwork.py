"""All that is dug and filled on one job: walls, graded areas, and the balance over both."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from service.core.errors import Fault, LayoutFaultsError, QuoteFaultsError
from service.core.ground.balance import Earthwork, balance
from service.core.ground.beside import beside_faults
from service.core.ground.earthwork import WallEarthwork
from service.core.ground.excavation import Asked, Excavated, asked_digging, slope_dug
from service.core.ground.grading import GradedArea
from service.core.ground.known_ground import KnownGround, ground_of
from service.core.ground.own_topsoil import take_sod_off, with_tasks
from service.core.ground.soil_class import excavation_class
from service.core.ground.tiers.joined import Joined, deep_together
from service.core.job.fact import Assumption
from service.core.job.job import Job
from service.core.job.reinforcement import WallReinforcement
from service.core.job.soil import ExcavationClass, Soil
from service.core.job.topsoil import NO_TOPSOIL
from service.core.layout.layout import WallLayout
from service.core.layout.levels import too_large_fault

# Every change of shape is a section to draw: more of them than 200 stations of a wall need take
# longer than a request may.
MOST_DUG_SIZE = 3000

_Wall = TypeVar("_Wall")
_Found = TypeVar("_Found")


@dataclass(frozen=True, slots=True, kw_only=True)
class Groundwork:
    """The balance over the job, None where nothing is dug or filled, and what it rests on."""

    earth: Earthwork | None
    assumptions: tuple[Assumption, ...] = ()


def dig(
    job: Job,
    layouts: Sequence[WallLayout],
    reinforcement: Sequence[WallReinforcement] = (),
    ground: KnownGround | None = None,
) -> Groundwork:
    """Earthwork of all walls and graded areas, balanced; walls with layers of reinforcement are
    dug as far back as these reach. `ground` is that of the job, where somebody knows it.

    Raises QuoteFaultsError with the faults of all walls, then with those of all areas.
    """
    if job.materials_only or not has_ground(job):
        return Groundwork(earth=None)
    if job.soils.retained is None:
        raise QuoteFaultsError([_soil_missing()])
    retained = _as_sloped(job, job.soils.retained)
    assumptions = _class_assumption(job.soils.retained, retained.excavation_class)
    ground = ground or ground_of(job)
    dug = _dig_walls(job, layouts, retained, reinforcement, ground)
    joined = ground.join(tuple(dug), job.tiers)
    areas = _grade(job, layouts, joined.walls, retained, ground)
    earths = [area.earth for area in areas]
    stripped = take_sod_off(joined.walls, earths, job.site_work, job.topsoil, job.units)
    topsoil = job.topsoil
    earth = balance(
        stripped.walls,
        stripped.areas,
        retained,
        job.soils.fill,
        job.truck,
        with_tasks(topsoil, job.site_work) if topsoil else None,
        job.units,
    )
    how = (line for area in areas for line in area.how)
    return Groundwork(
        earth=replace(
            earth, how=(*how, *stripped.how, *earth.how), shared_cut_m3=joined.shared_cut_m3
        ),
        assumptions=(*assumptions, *_tier_assumptions(job, joined), *_area_assumptions(areas)),
    )


def dug_slopes(
    job: Job,
    layouts: Sequence[WallLayout],
    reinforcement: Sequence[WallReinforcement],
    ground: KnownGround,
) -> Mapping[str, float]:
    """Slopes of the cuts, run over rise, by wall with existing ground; none where the ground
    can't be dug, which `dig` refuses."""
    if job.soils.retained is None:
        return {}
    retained = _as_sloped(job, job.soils.retained)
    try:
        return _slopes(job, layouts, retained, reinforcement, ground)
    except LayoutFaultsError:
        return {}


def check_dug(
    job: Job,
    layouts: Sequence[WallLayout],
    reinforcement: Sequence[WallReinforcement],
    ground: KnownGround,
) -> None:
    """Raise as `dig` for what can't be dug, without working out what it comes to where that
    decides nothing."""
    if job.materials_only or not has_ground(job):
        return
    retained, fill = job.soils.retained, job.soils.fill
    beside = any(grading.beside for grading in job.grading)
    faulty = any(isinstance(area, QuoteFaultsError) for area in ground.measured)
    if retained is None or beside or faulty or not (retained.reusable or fill):
        dig(job, layouts, reinforcement, ground)
    else:
        _slopes(job, layouts, _as_sloped(job, retained), reinforcement, ground)


def class_slope(job: Job, retained: Soil) -> float:
    """The slope of the class by which a soil of the job is cut, run over rise."""
    return job.jurisdiction.earth.cut_slopes[_as_sloped(job, retained).excavation_class]


def _as_sloped(job: Job, retained: Soil) -> Soil:
    """The retained soil with the class by which its cut is sloped."""
    sloped_as = excavation_class(retained, job.site, job.jurisdiction.earth.disturbed_class)
    return replace(retained, excavation_class=sloped_as)


def has_ground(job: Job) -> bool:
    """Existing ground is given for a wall, or an area is graded."""
    return bool(job.grading) or any(
        entry.existing_grade_m is not None or entry.existing_section
        for wall in job.walls
        for entry in wall.profile
    )


def _dig_walls(
    job: Job,
    layouts: Sequence[WallLayout],
    retained: Soil,
    reinforcement: Sequence[WallReinforcement],
    ground: KnownGround,
) -> list[Excavated]:
    asked = _asked(job, layouts, retained, reinforcement)
    found = _each(
        dict(enumerate(layouts)),
        lambda layout: ground.dig_out(layout, asked[layout.name], job.units),
    )
    deep = deep_together(list(found.values()), job.tiers)
    flat = _each(found, lambda dug: dug.flattened if dug.earth.wall in deep else dug)
    return list(flat.values())


def _slopes(
    job: Job,
    layouts: Sequence[WallLayout],
    retained: Soil,
    reinforcement: Sequence[WallReinforcement],
    ground: KnownGround,
) -> Mapping[str, float]:
    """Slopes of the cuts by wall with existing ground; cuts of tiers may be one, and go by what
    all of them come to."""
    if job.tiers:
        dug = _dig_walls(job, layouts, retained, reinforcement, ground)
        return {each.earth.wall: each.wall.digging.cut_slope for each in dug}
    asked = _asked(job, layouts, retained, reinforcement)
    found = _each(
        dict(enumerate(layouts)),
        lambda layout: slope_dug(layout, asked[layout.name], job.units, ground.dig_out),
    )
    return {layouts[index].name: slope for index, slope in found.items()}


def _asked(
    job: Job,
    layouts: Sequence[WallLayout],
    retained: Soil,
    reinforcement: Sequence[WallReinforcement],
) -> Mapping[str, Asked]:
    """How each wall is to be dug, by its name. Raises LayoutFaultsError for more than is dug."""
    if sum(layout.size for layout in layouts) > MOST_DUG_SIZE:
        raise LayoutFaultsError([replace(too_large_fault(MOST_DUG_SIZE), at=("walls",))])
    rules, topsoil = job.jurisdiction.earth, job.topsoil or NO_TOPSOIL
    layers = {each.wall: each.layers for each in reinforcement}
    return {
        layout.name: asked_digging(
            job.section, retained, rules, topsoil, layers.get(layout.name, ())
        )
        for layout in layouts
    }


def _each(
    walls: Mapping[int, _Wall], work: Callable[[_Wall], _Found | None]
) -> Mapping[int, _Found]:
    """What comes of each wall, by its place in the request. Raises LayoutFaultsError with all
    faults."""
    found: dict[int, _Found] = {}
    faults: list[Fault] = []
    for index, wall in walls.items():
        try:
            dug = work(wall)
        except LayoutFaultsError as error:
            faults += [replace(f, at=("walls", index, *f.at)) for f in error.faults]
        else:
            found |= {} if dug is None else {index: dug}
    if faults:
        raise LayoutFaultsError(faults)
    return found


def _grade(
    job: Job,
    layouts: Sequence[WallLayout],
    walls: Sequence[WallEarthwork],
    retained: Soil,
    ground: KnownGround,
) -> list[GradedArea]:
    slope = job.jurisdiction.earth.cut_slopes[retained.excavation_class]
    pad, units = job.section.leveling_pad, job.units
    areas: list[GradedArea] = []
    faults: list[Fault] = []
    for index, (grading, area) in enumerate(zip(job.grading, ground.measured, strict=True)):
        if isinstance(area, QuoteFaultsError):
            found = list(area.faults)
        else:
            found = list(beside_faults(grading, area, layouts, walls, pad, slope, units))
            areas.append(area)
        faults += [replace(fault, at=("grading", index, *fault.at)) for fault in found]
    if faults:
        raise QuoteFaultsError(faults)
    return areas


def _tier_assumptions(job: Job, joined: Joined) -> Iterator[Assumption]:
    """Where upper walls were taken to stand along lower ones, if their cuts are one."""
    one = {wall.wall for wall in joined.walls if wall.one_cut_with}
    for index, tier in enumerate(job.tiers):
        if {tier.lower, tier.upper} <= one:
            yield Assumption(
                field=f"/tiers/{index}",
                value="start opposite start",
                why=f"{tier.upper} is taken to run parallel to {tier.lower} and to begin opposite "
                "its start, for what both would dig and fill",
            )


def _area_assumptions(areas: Sequence[GradedArea]) -> Iterator[Assumption]:
    for index, area in enumerate(areas):
        for found in area.assumptions:
            yield replace(found, field=f"/grading/{index}: {found.field}")


def _class_assumption(retained: Soil, sloped_as: ExcavationClass) -> tuple[Assumption, ...]:
    if sloped_as == retained.excavation_class:
        return ()
    why = f"the ground is fill: disturbed soil is never class {retained.excavation_class}"
    field = "/soils/retained: excavation.class"
    return (Assumption(field=field, value=sloped_as, why=why),)


def _soil_missing() -> Fault:
    return Fault(
        code="field-missing",
        at=("soils", "retained"),
        message="soils.retained is needed with existing ground: its swell, shrink and weight",
        hint="a soil of the catalog",
    )
