"""Small builders for earthwork: soils, diggings, walls with existing ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from service.core.ground.earthwork import WallEarthwork
from service.core.ground.excavation import asked_digging, dig_out
from service.core.job.jurisdiction import EarthRules
from service.core.job.reinforcement import Layer
from service.core.job.section import Excavation, Section
from service.core.job.soil import ExcavationClass, Soil
from service.core.job.spec import Ends, PlanPart, WallSpec
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from service.core.job.wall_system import WallSystem
from service.core.measure import US, UnitSet
from tests.given.set_walls import UPRIGHT
from tests.given.walls import entry, ft, inch, laid, section, straight, system, unit, wall

BETWEEN = Ends(start="against_structure", finish="against_structure")
EARTH_RULES = EarthRules(
    cut_slopes=MappingProxyType({"A": 0.75, "B": 1.0, "C": 1.5}),
    deep_cut_m=ft(5),
    disturbed_class="B",
    grade_within_m=ft(50),
)
FT3 = 0.3048**3
PCF = 0.45359237 / FT3
# the same of 6 in units
SIX_HIGH = system(standard=unit(height=inch(6)), cap=None, setback=0.0)


def soil(
    name: str = "silty_sand",
    *,
    swell: str = "0.25",
    shrink: str = "0.10",
    class_: ExcavationClass = "C",
    reusable: bool = True,
    loose_pcf: float = 86.4,
) -> Soil:
    """108 pcf in the bank, a quarter more loose, a tenth less compacted, class C."""
    return Soil(
        id=name,
        version="1",
        title=name.replace("_", " "),
        friction_angle_rad=0.5,
        loose_kg_m3=loose_pcf * PCF,
        compacted_kg_m3=120 * PCF,
        swell=Decimal(swell),
        shrink=Decimal(shrink),
        excavation_class=class_,
        reusable=reusable,
    )


def dig_section(
    *,
    cut_slope: float | None = 1.0,
    working_room: float = 0.0,
    minimum: float = inch(6),
    shares: tuple[tuple[float, float], ...] = ((0.0, 0.05),),
    overdig: float = 0.0,
    end_extension: float = 0.0,
    starts_at: Literal["pad", "buried_course"] = "pad",
    stops_below_top: float = 0.0,
) -> Section:
    """A section with stone up to the requested top, dug at 1:1 without working room."""
    plain = section(
        minimum=minimum,
        shares=shares,
        overdig=overdig,
        end_extension=end_extension,
        starts_at=starts_at,
        stops_below_top=stops_below_top,
    )
    return replace(plain, excavation=Excavation(working_room_m=working_room, cut_slope=cut_slope))


# a section whose base is a foot deep
FOOT_DEEP = dig_section(minimum=inch(12))


def ground_wall(
    *stations: tuple[float, float, float, float],
    plan: Sequence[PlanPart] = (),
    back: float | None = None,
    section_pairs: Sequence[tuple[float, float]] = (),
    ends: Ends = BETWEEN,
    front_slope: float = 0.0,
    back_slope: float = 0.0,
    existing_slope: float = 0.0,
    graded_in_front_m: float | None = None,
    graded_behind_m: float | None = None,
) -> WallSpec:
    """A wall from (station, top, front grade, existing grade) in feet; with `section_pairs` (feet)
    the same surveyed ground at every station. `back` in feet, else the top."""
    pairs = tuple((ft(x), ft(z)) for x, z in section_pairs)
    entries = tuple(
        replace(
            entry(ft(at), ft(top), ft(front), None if back is None else ft(back)),
            existing_grade_m=None if pairs else ft(existing),
            existing_section=pairs,
        )
        for at, top, front, existing in stations
    )
    parts = tuple(plan) or (straight(ft(stations[-1][0])),)
    if plan:
        entries = (*entries[:-1], replace(entries[-1], station=entry("end", 0.0).station))
    return replace(
        wall(parts, entries, ends=ends, front_slope=front_slope),
        back_slope=back_slope,
        existing_slope=existing_slope,
        graded_in_front_m=graded_in_front_m,
        graded_behind_m=graded_behind_m,
    )


def dug(
    spec: WallSpec,
    detail: Section,
    blocks: WallSystem = UPRIGHT,
    *,
    of: Soil | None = None,
    topsoil: Topsoil = NO_TOPSOIL,
    units: UnitSet = US,
    layers: Sequence[Layer] = (),
    rules: EarthRules = EARTH_RULES,
) -> WallEarthwork:
    """The earthwork of one wall."""
    layout = laid(spec, blocks, detail, units)
    found = dig_out(layout, asked_digging(detail, of or soil(), rules, topsoil, layers), units)
    assert found is not None
    return found.earth


def to_ft3(value_m3: float) -> float:
    """Cubic meters in cubic feet."""
    return value_m3 / FT3


def per_foot(volume_m3: float, length: float = 40) -> float:
    """A volume as area of its section in ft2."""
    return to_ft3(volume_m3) / length
