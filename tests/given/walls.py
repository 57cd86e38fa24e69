"""Small builders for the tests: walls, systems and sections in the core's own types.

Arguments are SI; `ft` and `inch` turn what a tape reads into the nearest float of the exact
length, the same way the boundary does.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from service.core.job.material import Material
from service.core.job.reinforcement import WallReinforcement
from service.core.job.section import (
    CapAdhesive,
    Drainage,
    Embedment,
    FilterFabric,
    LevelingPad,
    Pipe,
    Section,
)
from service.core.job.spec import (
    Corner,
    Curve,
    Ends,
    LevelFrom,
    PlanPart,
    ProfileEntry,
    Station,
    Straight,
    TopRounding,
    TurnSide,
    WallSpec,
)
from service.core.job.wall_system import WallSystem, WallUnit
from service.core.layout.layout import WallLayout, lay_out
from service.core.measure import US, UnitSet
from service.core.takeoff.quantities import Quantities, QuantityLine
from service.core.takeoff.takeoff import take_off

StationLike = float | Literal["end"] | Station


def inch(value: float) -> float:
    """Inches in meters, exact before the one float."""
    return float(Decimal(repr(float(value))) * Decimal("0.0254"))


def ft(feet: float, inches: float = 0) -> float:
    """Feet and inches in meters, exact before the one float."""
    exact = Decimal(repr(float(feet))) * 12 + Decimal(repr(float(inches)))
    return float(exact * Decimal("0.0254"))


def to_inch(value_m: float) -> float:
    """Meters in inches."""
    return value_m / 0.0254


def to_ft(value_m: float) -> float:
    """Meters in feet."""
    return value_m / 0.3048


def to_ft2(value_m2: float) -> float:
    """Square meters in square feet."""
    return value_m2 / 0.3048**2


def to_yd3(value_m3: float) -> float:
    """Cubic meters in cubic yards."""
    return value_m3 / 0.9144**3


def unit(
    item: str = "block",
    *,
    face: float = inch(18),
    height: float = inch(8),
    depth: float = inch(12),
    weight_kg: float | None = None,
    void_m3: float = 0.0,
    per_pallet: int | None = None,
) -> WallUnit:
    """A unit of 18 x 8 x 12 in unless something else is asked for."""
    return WallUnit(
        item=item,
        face_length_m=face,
        height_m=height,
        depth_m=depth,
        weight_kg=weight_kg,
        void_m3=void_m3,
        per_pallet=per_pallet,
    )


CORNER_UNIT = unit("corner", face=inch(18), depth=inch(9))
CAP = unit("cap", face=inch(18), height=inch(4), depth=inch(12))


def system(
    *,
    standard: WallUnit | None = None,
    setback: float = inch(1),
    corner: WallUnit | None = None,
    cap: WallUnit | None = CAP,
    minimum_outside_radius: float | None = None,
    minimum_inside_radius: float | None = None,
) -> WallSystem:
    """Standard unit 18 x 8 x 12 in, setback 1 in, cap 4 in, no corner unit."""
    return WallSystem(
        id="blocks",
        version="1",
        title="Blocks",
        standard=standard or unit(),
        setback_m=setback,
        corner=corner,
        cap=cap,
        minimum_outside_radius_m=minimum_outside_radius,
        minimum_inside_radius_m=minimum_inside_radius,
    )


def section(
    *,
    pad_thickness: float = inch(6),
    front_extension: float = inch(6),
    rear_extension: float = inch(6),
    end_extension: float = 0.0,
    overdig: float = 0.0,
    minimum: float = inch(6),
    shares: tuple[tuple[float, float], ...] = ((0.0, 0.05),),
    shortest_base_run: float = 0.0,
    drainage_width: float = inch(12),
    starts_at: Literal["pad", "buried_course"] = "pad",
    stops_below_top: float = inch(8),
    core_fill_item: str | None = None,
    pipe: Pipe | None = None,
    filter_fabric: FilterFabric | None = None,
    cap_adhesive: CapAdhesive | None = None,
    waste: Mapping[str, str] | None = None,
) -> Section:
    """A plain pad of 6 in, 6 in before and behind, embedment 6 in or 5 %, stone 12 in wide."""
    return Section(
        id="plain",
        version="1",
        title="Plain",
        leveling_pad=LevelingPad(
            item="base_stone",
            thickness_m=pad_thickness,
            front_extension_m=front_extension,
            rear_extension_m=rear_extension,
            end_extension_m=end_extension,
            overdig_m=overdig,
        ),
        embedment=Embedment(
            minimum_m=minimum, shares=shares, shortest_base_run_m=shortest_base_run
        ),
        drainage=Drainage(
            item="drain_stone",
            width_m=drainage_width,
            starts_at=starts_at,
            stops_below_top_m=stops_below_top,
        ),
        core_fill_item=core_fill_item,
        pipe=pipe,
        filter_fabric=filter_fabric,
        cap_adhesive=cap_adhesive,
        waste=MappingProxyType({k: Decimal(v) for k, v in (waste or {}).items()}),
    )


def straight(length: float) -> Straight:
    """A straight part."""
    return Straight(length_m=length)


def curve(side: TurnSide, radius: float, degrees: float) -> Curve:
    """An arc by radius and change of direction."""
    return Curve(side=side, radius_m=radius, angle_rad=math.radians(degrees))


def quarter_circle(side: TurnSide, radius: float = ft(20)) -> tuple[PlanPart, ...]:
    """A plan of one quarter circle."""
    return (curve(side, radius, 90),)


def corner(side: TurnSide, degrees: float = 90) -> Corner:
    """A corner by its change of direction."""
    return Corner(side=side, angle_rad=math.radians(degrees))


def legs(side: TurnSide, degrees: float, *lengths: float) -> tuple[PlanPart, ...]:
    """Straight legs with the same corner between each two."""
    parts: list[PlanPart] = [straight(lengths[0])]
    for length in lengths[1:]:
        parts += [corner(side, degrees), straight(length)]
    return tuple(parts)


def entry(
    station: StationLike, top: float, front: float = 0.0, back: float | None = None
) -> ProfileEntry:
    """One profile entry; `station` in meters from the start, `"end"`, or a Station."""
    if station == "end":
        place = Station(kind="end")
    elif isinstance(station, Station):
        place = station
    else:
        place = Station(kind="at", at_m=float(station))
    return ProfileEntry(
        station=place,
        top_m=top,
        front_grade_m=front,
        back_grade_m=top if back is None else back,
    )


def after(part: int) -> Station:
    """The station at the end of a plan part, counted from 1."""
    return Station(kind="after", part=part)


def wall(
    plan: tuple[PlanPart, ...],
    profile: tuple[ProfileEntry, ...],
    *,
    name: str = "wall-1",
    ends: Ends | None = None,
    level_from: LevelFrom = "top",
    top_rounding: TopRounding = "up",
    front_slope: float = 0.0,
) -> WallSpec:
    """A wall from its plan and profile."""
    return WallSpec(
        name=name,
        plan=plan,
        profile=profile,
        ends=ends or Ends(),
        level_from=level_from,
        top_rounding=top_rounding,
        front_slope=front_slope,
    )


def level_wall(
    plan: float | tuple[PlanPart, ...] = ft(40),
    exposed: float = ft(4),
    *,
    front: float = 0.0,
    name: str = "wall-1",
    ends: Ends | None = None,
    level_from: LevelFrom = "top",
    top_rounding: TopRounding = "up",
    front_slope: float = 0.0,
) -> WallSpec:
    """A wall of one exposed height on level ground; a bare length makes a straight plan."""
    parts = plan if isinstance(plan, tuple) else (straight(plan),)
    top = front + exposed
    return wall(
        parts,
        (entry(0.0, top, front), entry("end", top, front)),
        name=name,
        ends=ends,
        level_from=level_from,
        top_rounding=top_rounding,
        front_slope=front_slope,
    )


def laid(
    spec: WallSpec,
    blocks: WallSystem | None = None,
    detail: Section | None = None,
    units: UnitSet = US,
) -> WallLayout:
    """The layout of one wall with the default system and section."""
    return lay_out(spec, blocks or system(), detail or section(), units)


def taken_off(
    *specs: WallSpec,
    blocks: WallSystem | None = None,
    detail: Section | None = None,
    materials: Mapping[str, Material] | None = None,
    units: UnitSet = US,
    reinforcement: Sequence[WallReinforcement] = (),
) -> Quantities:
    """The takeoff of some walls with the default system and section."""
    blocks, detail = blocks or system(), detail or section()
    layouts = tuple(lay_out(spec, blocks, detail, units) for spec in specs)
    return take_off(layouts, blocks, detail, materials or {}, units, reinforcement)


def line(quantities: Quantities, item: str) -> QuantityLine:
    """The one line of an item; more or fewer than one is a failure."""
    (found,) = (each for each in quantities.lines if each.item == item)
    return found


def standard_by_course(layout: WallLayout) -> list[int]:
    """Standard units of each course, from the lowest up."""
    return [sum(run.standard_units for run in course.runs) for course in layout.courses]


def corners_by_course(layout: WallLayout) -> list[int]:
    """Corner units of each course, from the lowest up."""
    return [sum(run.corner_units for run in course.runs) for course in layout.courses]


def standard_by_leg(layout: WallLayout) -> list[tuple[int, ...]]:
    """Standard units leg by leg of each course that is one run."""
    return [tuple(leg.standard_units for leg in c.runs[0].legs) for c in layout.courses]


def faces_in(layout: WallLayout) -> list[float]:
    """Face length of each course in inches, from the lowest up."""
    return [to_inch(sum(run.face_length_m for run in c.runs)) for c in layout.courses]


def cap_count(layout: WallLayout) -> int:
    """Caps of a wall."""
    return sum(run.units for run in layout.caps)


def steps_in_ft(layout: WallLayout) -> list[tuple[float, int]]:
    """Base steps as (station in feet, courses)."""
    return [(round(to_ft(step.station_m), 6), step.courses) for step in layout.steps]
