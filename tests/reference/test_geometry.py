"""Geometry against geometry.toml: values that were worked out without this program."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from service.core.job.material import Material
from service.core.job.section import FilterFabric
from service.core.job.spec import PlanPart, ProfileEntry, WallSpec, curve_from_chord
from service.core.layout import plan
from service.core.layout.layout import WallLayout
from service.core.measure import UNITS
from service.core.screening.formulas.gravity import Stack
from service.core.takeoff.quantities import Quantities
from tests.given.walls import (
    cap_count,
    entry,
    ft,
    inch,
    laid,
    legs,
    line,
    quarter_circle,
    section,
    straight,
    system,
    taken_off,
    to_ft,
    to_ft2,
    to_inch,
    to_yd3,
    unit,
    wall,
)

Inputs = Mapping[str, Any]
Values = Mapping[str, float]
ROWS = tomllib.loads(Path(__file__).with_name("geometry.toml").read_text(encoding="utf-8"))["row"]
CUBIC_FOOT = 0.3048**3
# 2,700 lb for a cubic yard as it is measured: 1.35 ton
STONE = Material(
    id="drain_stone",
    version="1",
    title="Stone",
    group="stone",
    sold_per=UNITS["ton"],
    increment=Decimal("0.01"),
    loose_kg_m3=2700 * 0.45359237 / 0.9144**3,
)


def plan_of(inputs: Inputs) -> tuple[PlanPart, ...]:
    """The plan of a row: legs with right corners, a quarter circle, or a straight line."""
    if "legs_ft" in inputs:
        return legs(inputs["side"], 90, *(ft(length) for length in inputs["legs_ft"]))
    if "radius_ft" in inputs:
        return quarter_circle(inputs["side"], ft(inputs["radius_ft"]))
    if "radius" in inputs:
        return quarter_circle(inputs["side"], inch(inputs["radius"]))
    return (straight(ft(inputs.get("length_ft", 40))),)


def profile_of(inputs: Inputs) -> tuple[ProfileEntry, ...]:
    """One exposed height, a sloped top, or ground that rises in equal stretches."""
    exposed = inputs["exposed"]
    if "rises" not in inputs:
        finish = inputs.get("exposed_at_end", exposed)
        return entry(0.0, inch(exposed)), entry("end", inch(finish))
    rises = inputs["rises"]
    stretch = ft(inputs["length_ft"] / len(rises))
    return tuple(
        entry(place * stretch, inch(exposed), inch(rise))
        for index, rise in enumerate(rises)
        for place in (index, index + 1)
    )


def check_wall(inputs: Inputs) -> Values:
    """Lay out and take off the wall of a row."""
    spec = wall(plan_of(inputs), profile_of(inputs), top_rounding=inputs.get("rounding", "up"))
    blocks = system(
        standard=unit(height=inch(inputs.get("unit_height", 8)), void_m3=0.25 * CUBIC_FOOT),
        setback=inch(inputs.get("setback", 1)),
        cap=None,
    )
    detail = section(
        minimum=inch(inputs["burial"]),
        shares=((0.0, 0.0),),
        stops_below_top=0.0,
        end_extension=inch(inputs.get("end_extension", 0)),
        core_fill_item="core_stone",
        filter_fabric=FilterFabric(item="fabric", lap_m=inch(12)),
        waste={"units": "0.05"},
    )
    found = taken_off(spec, blocks=blocks, detail=detail, materials={"drain_stone": STONE})
    return laid_values(spec, laid(spec, blocks, detail)) | taken_off_values(found)


def laid_values(spec: WallSpec, found: WallLayout) -> dict[str, float]:
    """What the layout of a row gives, in the units of the names."""
    return {
        "courses": len(found.courses),
        "height": to_inch(found.max_wall_height_m),
        "buried": to_inch(spec.profile[0].front_grade_m - found.courses[0].elevation_m),
        "units": sum(run.standard_units for c in found.courses for run in c.runs),
        "face_length": to_inch(sum(run.face_length_m for c in found.courses for run in c.runs)),
        "face_area_ft2": to_ft2(found.face_area_m2),
        "exposed_area_ft2": to_ft2(found.exposed_area_m2),
        "pay_face_area_ft2": to_ft2(found.pay_face_area_m2),
    }


def taken_off_values(found: Quantities) -> dict[str, float]:
    """What the takeoff of a row gives, in the units of the names."""
    pad = line(found, "base_stone").net
    return {
        "units_with_waste": float(line(found, "block").order),
        "pad_area_ft2": to_ft2(pad / inch(6)),
        "pad_yd3": to_yd3(pad),
        "drainage_yd3": to_yd3(line(found, "drain_stone").net),
        "drainage_tons": float(line(found, "drain_stone").order),
        "core_fill_yd3": to_yd3(line(found, "core_stone").net),
        "fabric_ft2": to_ft2(line(found, "fabric").net),
    }


def check_strip(inputs: Inputs) -> Values:
    """Area of a strip beside the whole plan of a row."""
    measured = plan.measure(plan_of(inputs))
    near, far = ft(inputs["from_ft"]), ft(inputs["to_ft"])
    return {"area_ft2": to_ft2(measured.strip_area_m2(0.0, measured.length_m, near, far))}


def check_tape(inputs: Inputs) -> Values:
    """The arc that a chord and its rise make."""
    arc = curve_from_chord("outside", ft(inputs["chord_ft"]), ft(inputs["rise_ft"]))
    return {
        "radius_ft": to_ft(arc.radius_m),
        "degrees": math.degrees(arc.angle_rad),
        "arc_ft": to_ft(plan.measure((arc,)).length_m),
    }


def check_caps(inputs: Inputs) -> Values:
    """Caps of the wall of a row."""
    spec = wall(plan_of(inputs), profile_of(inputs))
    blocks = system(
        setback=inch(inputs["setback"]), cap=unit("cap", height=inch(inputs["cap_height"]))
    )
    detail = section(minimum=inch(inputs["burial"]), shares=((0.0, 0.0),))
    found = laid(spec, blocks, detail)
    return {
        "courses": len(found.courses),
        "caps": cap_count(found),
        "cap_length": to_inch(sum(run.length_m for run in found.caps)),
    }


def check_batter(inputs: Inputs) -> Mapping[str, list[float]]:
    """The lean of stacks by their setback."""
    stacks = (
        Stack(
            courses=6,
            course_height_m=inch(inputs["height"]),
            depth_m=inch(12),
            setback_m=inch(setback),
            unit_weight_n_m3=1.0,
        )
        for setback in inputs["setbacks"]
    )
    return {"degrees": [math.degrees(stack.batter_rad) for stack in stacks]}


CHECKS: Mapping[str, Callable[[Inputs], Mapping[str, Any]]] = {
    "wall": check_wall,
    "strip": check_strip,
    "tape": check_tape,
    "caps": check_caps,
    "batter": check_batter,
}


@pytest.mark.parametrize("row", ROWS, ids=[row["name"] for row in ROWS])
def test_geometry_agrees_with_the_outside_value(row: Mapping[str, Any]) -> None:
    """Every row of geometry.toml comes out within its tolerance."""
    values = CHECKS[row["check"]](row["inputs"])
    for name, expected in row["expected"].items():
        assert values[name] == pytest.approx(expected, abs=row["tolerance"]), name


def test_geometry_rows_say_where_they_come_from() -> None:
    """Each row names its source, its tolerance and how sure it is; no two share a name."""
    for row in ROWS:
        assert row["source"]
        assert row["how_sure"]
        assert row["tolerance"] > 0
    names = [row["name"] for row in ROWS]
    assert len(names) == len(dict.fromkeys(names))
