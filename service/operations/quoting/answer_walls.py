"""Walls and earthwork of an answer. Fields stand as they print."""

from __future__ import annotations

from typing import Annotated

from msgspec import UNSET, Meta, Struct, UnsetType, field

from service.operations.answer_figures import DECIMAL, Area, Length, SoilState


class LegAnswer(Struct, frozen=True):
    """The part of a run between corners."""

    from_station: Length
    to_station: Length
    face_length: Length
    standard_units: int
    corner_units: int


class RunAnswer(Struct, frozen=True):
    """A stretch of stations where a course is present; `legs` where it turns a corner."""

    from_station: Length
    to_station: Length
    face_length: Length
    standard_units: int
    corner_units: int
    legs: tuple[LegAnswer, ...]


class CourseAnswer(Struct, frozen=True):
    """One row of units; `elevation` is its underside, a rod reading where the
    levels of the request are."""

    number: int
    elevation: Length
    runs: tuple[RunAnswer, ...]


class StepAnswer(Struct, frozen=True):
    """A step of the base: `courses` above 0 is up in the direction of travel."""

    station: Length
    courses: int


class CapAnswer(Struct, frozen=True):
    """A run of caps, returns at steps included."""

    from_station: Length
    to_station: Length
    length: Length
    units: int


class WallAnswer(Struct, frozen=True):
    """One wall as laid out; each course stands `setback` behind the one below (0: plumb)."""

    name: str
    length: Length
    face_area: Area
    exposed_area: Area
    pay_face_area: Area
    max_exposed_height: Length
    max_wall_height: Length
    courses: tuple[CourseAnswer, ...]
    steps: tuple[StepAnswer, ...]
    caps: tuple[CapAnswer, ...]
    setback: Length | UnsetType = UNSET


class SoilVolume(Struct, frozen=True):
    """A volume of soil with the state it is in."""

    value: Annotated[str, Meta(pattern=DECIMAL)]
    unit: Annotated[str, Meta(extra_json_schema={"x-units": {"us": "yd3", "metric": "m3"}})]
    state: SoilState


class EndsEarth(Struct, frozen=True):
    """The sloped ends of a wall's cut; part of its cut and of its backfill."""

    cut: SoilVolume
    backfill: SoilVolume


class WallEarth(Struct, frozen=True):
    """Earthwork of one wall. `cut_slope` is horizontal:vertical, `slope_by` what it goes by."""

    wall: str
    cut: SoilVolume
    backfill: SoilVolume
    fill: SoilVolume
    ends: EndsEarth
    cut_slope: str
    slope_by: str
    deepest_cut: Length
    deepest_station: Length
    disturbed_area: Area
    how: tuple[str, ...]


class AreaEarth(Struct, frozen=True):
    """Earthwork of one graded area."""

    name: str
    cut: SoilVolume
    fill: SoilVolume


class TopsoilAnswer(Struct, frozen=True):
    """Topsoil in place: what is over is hauled off, what is short is bought. `site_work` is what
    tasks of it take, `from_heap` what is used of what they heap, where there is any; stripped +
    from_heap + short = replaced + site_work + surplus."""

    stripped: SoilVolume
    replaced: SoilVolume
    surplus: SoilVolume
    short: SoilVolume
    site_work: SoilVolume | UnsetType = UNSET
    from_heap: SoilVolume | UnsetType = UNSET


class EarthworkAnswer(Struct, frozen=True):
    """Soil over the whole job; cut + import = backfill + fill + haul-off, each as bank volume."""

    cut: SoilVolume
    backfill: SoilVolume
    fill: SoilVolume
    reused: SoilVolume
    haul_off: SoilVolume
    import_: SoilVolume = field(name="import")
    haul_loads: int | None
    import_loads: int | None
    walls: tuple[WallEarth, ...]
    grading: tuple[AreaEarth, ...]
    how: tuple[str, ...]
    topsoil: TopsoilAnswer | UnsetType = UNSET
    shared_cut: SoilVolume | UnsetType = UNSET
