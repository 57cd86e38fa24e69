"""What a check says of itself: passed, on which default, or not checked, and for want of what."""

from __future__ import annotations

import pytest

from service.catalog import Catalog
from tests.given.quote_requests import Json, answered, caution_codes, caution_of, level_wall
from tests.given.screened import (
    STATED,
    check_of,
    set_request,
    set_wall,
    value_of,
    without,
)

CHECKS = (
    "base_sliding",
    "overturning",
    "eccentricity",
    "bearing",
    "interface_shear",
    "hinge_height",
    "layer_tension",
    "pullout",
    "connection",
    "tier_independence",
    "overall_slope",
    "water_pressure",
)
STATICS = ("base_sliding", "overturning", "bearing")
PHI30 = {"retained": "phi30", "foundation": "phi30", "fill": "phi30"}


def low(**more: object) -> Json:
    """Stack G1 (tests/reference/gravity.toml: G1), which passes."""
    return {**set_wall("32 in"), **more}


def missing_of(found: Json, check: str) -> str:
    """What a check that wasn't made lacks."""
    entry = check_of(found, check)
    assert entry["status"] == "not_checked"
    assert "value" not in entry
    assert "assumed" not in entry
    assert entry["missing"]
    return " ".join(entry["missing"])


def test_checks_carry_every_field(sets: Catalog) -> None:
    """Every entry has a known check, wall, limit, basis, status and source; ratios are bare."""
    checks = answered(set_request(low()), sets)["checks"]
    assert len(checks) > 1
    for entry in checks:
        assert entry["check"] in CHECKS
        assert entry["wall"] == "wall-1"
        assert entry["limit"] == ("max" if entry["check"] == "eccentricity" else "min")
        assert entry["basis"] == "association"
        assert entry["source"]
        assert ("value" in entry) <= ("station" in entry and "required" in entry)


def test_checks_pass_where_everything_was_said(sets: Catalog) -> None:
    """Soils, slopes and load given: a plain pass that rests on no default."""
    found = answered(set_request(low()), sets)
    for check in STATICS:
        entry = check_of(found, check)
        assert entry["status"] == "pass"
        assert "assumed" not in entry
        assert "missing" not in entry


@pytest.mark.parametrize(
    ("key", "rests"),
    [
        ("back_slope", STATICS),
        ("surcharge", STATICS),
        ("front_slope", ("bearing",)),
    ],
)
def test_checks_pass_as_assumed_name_the_default_of_a_wall(
    sets: Catalog, key: str, rests: tuple[str, ...]
) -> None:
    """A slope or load that was left out is named by its pointer, where the check rests on it."""
    found = answered(set_request(low(), without(low(name="second"), key)), sets)
    for check in STATICS:
        said, left = check_of(found, check), check_of(found, check, "second")
        assert said["status"] == "pass"
        assert left["value"] == said["value"]
        assert left["status"] == ("pass_as_assumed" if check in rests else "pass")
        assert left.get("assumed", []) == ([f"/walls/1/{key}"] if check in rests else [])


def test_checks_pass_as_assumed_name_every_default(sets: Catalog) -> None:
    """Nothing said of slope and load: both are named, in one entry."""
    found = answered(set_request(without(low(), *STATED)), sets)
    assert sorted(check_of(found, "overturning")["assumed"]) == [
        "/walls/0/back_slope",
        "/walls/0/surcharge",
    ]
    assert sorted(check_of(found, "bearing")["assumed"]) == [
        "/walls/0/back_slope",
        "/walls/0/front_slope",
        "/walls/0/surcharge",
    ]


def test_checks_pass_as_assumed_name_the_soil_under_the_wall(sets: Catalog) -> None:
    """The foundation is taken to be the retained soil: sliding and bearing rest on that."""
    found = answered(set_request(low(), soils={"retained": "phi30", "fill": "phi30"}), sets)
    for check in ("base_sliding", "bearing"):
        entry = check_of(found, check)
        assert entry["status"] == "pass_as_assumed"
        assert entry["assumed"] == ["/soils/foundation"]
    assert check_of(found, "overturning")["status"] == "pass"


def test_failed_checks_stay_failed_on_defaults(sets: Catalog) -> None:
    """A default never turns a fail into anything else."""
    found = answered(set_request(without(set_wall("4 ft"), *STATED)), sets)
    assert [check_of(found, check)["status"] for check in STATICS] == ["fail"] * 3


def test_checks_without_soil_are_not_made(sets: Catalog) -> None:
    """No retained soil: nothing passes, the soil is what is missing, and a caution says so."""
    request = without(set_request(low()), "soils")
    found = answered(request, sets)
    for check in STATICS:
        assert "soils" in missing_of(found, check)
    assert "not-screened" in caution_codes(found)
    assert "tallest_gravity_courses" not in found["screening"]["walls"][0]


def test_checks_without_in_place_weight_are_not_made(sets: Catalog) -> None:
    """The system's file gives no weight in place: that is what is missing."""
    found = answered(set_request(low(), wall_system="bare"), sets)
    for check in STATICS:
        assert "in_place" in missing_of(found, check)
    assert "not-screened" in caution_codes(found)


def test_shear_between_courses_needs_the_systems_data(sets: Catalog) -> None:
    """No interface in the file: not checked. With 800 lb/ft + W tan 30 deg it is.

    Stack G2 over its first course: 40 in of soil, 5 courses of 400 lb/ft against
    242.281 x (40/48)^2 = 168.25 lb/ft: (800 + 230.94) / 168.25 = 6.127. At the top of the pad it
    isn't a joint between units.
    """
    without_data, with_data = (
        answered(set_request(set_wall("4 ft"), wall_system=name), sets)
        for name in ("three_quarter", "sheared")
    )
    assert "interface" in missing_of(without_data, "interface_shear")
    entry = check_of(with_data, "interface_shear")
    assert entry["status"] == "pass"
    assert float(entry["value"]) == pytest.approx(6.127, abs=2e-3)
    assert float(entry["required"]) == 1.5


def test_hinge_height_is_depth_over_batter(sets: Catalog) -> None:
    """12 in over 3/4 in per 8 in: 10.667 ft, 2.667 times the 4 ft of courses that stand."""
    assert value_of(answered(set_request(set_wall("4 ft")), sets), "hinge_height") == pytest.approx(
        10.6667 / 4, abs=1e-3
    )


def test_bearing_on_falling_ground_is_not_checked(sets: Catalog) -> None:
    """Ground that falls away in front bears less, by no formula here."""
    found = answered(set_request(low(front_slope="3:1")), sets)
    assert "falls away in front" in missing_of(found, "bearing")
    assert check_of(found, "base_sliding")["status"] == "pass"


def test_bearing_that_fails_on_level_ground_fails_on_a_slope(sets: Catalog) -> None:
    """Stack G2 overturns: no slope in front makes its bearing an open question."""
    for slope in ("level", "3:1"):
        found = answered(set_request(set_wall("4 ft", front_slope=slope)), sets)
        assert check_of(found, "bearing")["status"] == "fail"


@pytest.mark.parametrize("slope", ["31 deg", "45 deg", "1:1"])
def test_back_slope_over_the_friction_angle_fails(sets: Catalog, slope: str) -> None:
    """A slope of the soil's friction angle doesn't stand by itself."""
    found = answered(set_request(set_wall("16 in", back_slope=slope)), sets)
    for check in STATICS:
        assert check_of(found, check)["status"] == "fail"


def test_back_slope_of_the_friction_angle_is_screened(sets: Catalog) -> None:
    """30 deg on soil of 30 deg is the limit: the formula still holds."""
    found = answered(set_request(set_wall("8 in", back_slope="30 deg")), sets)
    assert "value" in check_of(found, "base_sliding")


@pytest.mark.parametrize("water", [None, {}, {"seen": ["wet_ground"]}])
def test_water_pressure_without_an_outlet_is_not_checked(sets: Catalog, water: Json | None) -> None:
    """Nothing said of an outlet: named, with what is missing."""
    request = without(set_request(low()), "water")
    found = answered(request if water is None else {**request, "water": water}, sets)
    assert "outlet" in missing_of(found, "water_pressure")


def test_water_pressure_without_any_outlet_fails(sets: Catalog) -> None:
    """The caller says that water has no way out."""
    found = answered(set_request(low(), water={"outlet": "none"}), sets)
    assert check_of(found, "water_pressure")["status"] == "fail"


def test_water_pressure_never_passes_silently(sets: Catalog) -> None:
    """With an outlet the check rests on a wall that drains: no plain pass."""
    entry = check_of(answered(set_request(low()), sets), "water_pressure")
    assert entry["status"] == "pass_as_assumed"
    assert entry["assumed"]


SLOPES = {
    "steep in front": ({"front_slope": "2:1"}, {}),
    "steep behind": ({"back_slope": "2:1"}, {}),
    "fill seen": ({}, {"site": {"seen": ["fill"]}}),
    "wet ground": ({}, {"water": {"outlet": "daylight", "seen": ["wet_ground"]}}),
    "clay under it": ({}, {"soils": {**PHI30, "foundation": "clay"}}),
}


@pytest.mark.parametrize(("wall", "more"), SLOPES.values(), ids=SLOPES)
def test_overall_slope_is_never_computed(sets: Catalog, wall: Json, more: Json) -> None:
    """Always named as not checked; a high caution where ground is steep, filled or soft."""
    plain = answered(set_request(low()), sets)
    assert "engineer" in missing_of(plain, "overall_slope")
    assert "overall-slope" not in caution_codes(plain)
    found = answered(set_request(low(**wall), **more), sets)
    missing_of(found, "overall_slope")
    assert caution_of(found, "overall-slope")["severity"] == "high"


def test_overall_slope_of_tiers_is_a_high_caution(sets: Catalog) -> None:
    """Tiers can slide together, each wall of them is named."""
    tiers = [{"lower": "a", "upper": "b", "offset": "20 ft"}]
    found = answered(set_request(low(name="a"), low(name="b"), tiers=tiers), sets)
    caution = caution_of(found, "overall-slope")
    assert (caution["walls"], caution["severity"]) == (["a", "b"], "high")
    for name in ("a", "b"):
        assert check_of(found, "overall_slope", name)["status"] == "not_checked"


@pytest.mark.parametrize(("grade", "filled"), [("-7 in", True), ("-6 in", False)])
def test_overall_slope_of_a_wall_on_fill_is_a_high_caution(
    sets: Catalog, grade: str, filled: bool
) -> None:
    """A pad whose bottom, 6 in under the front grade, lies over existing ground is on fill."""
    wall = low(graded_behind="12 ft", graded_in_front="6 ft")
    wall["profile"][0]["existing_grade"] = grade
    found = answered(set_request(wall), sets)
    assert ("overall-slope" in caution_codes(found)) is filled


def test_checks_name_every_wall(sets: Catalog) -> None:
    """Each wall has its entries under its own name, whatever its height."""
    found = answered(set_request(low(name="low"), set_wall("4 ft", name="tall")), sets)
    for check in ("base_sliding", "overturning", "overall_slope", "water_pressure"):
        assert check_of(found, check, "low")
        assert check_of(found, check, "tall")
    assert check_of(found, "base_sliding", "low")["status"] == "pass"
    assert check_of(found, "base_sliding", "tall")["status"] == "fail"


def test_checks_govern_at_the_tallest_station(sets: Catalog) -> None:
    """16 in, then 4 ft at 20 ft, then 32 in: stack G2 is found where it stands."""
    heights = (("0 ft", "16 in"), ("20 ft", "48 in"), ("end", "32 in"))
    entries = [
        {"station": at, "top": top, "front_grade": "0 ft", "back_grade": top} for at, top in heights
    ]
    found = answered(set_request(set_wall("4 ft", profile=entries)), sets)
    sliding = check_of(found, "base_sliding")
    assert sliding["station"] == {"value": "20", "unit": "ft"}
    assert float(sliding["value"]) == pytest.approx(1.144, abs=1e-3)


def test_checks_of_a_proof_wall_without_more_are_all_named(sets: Catalog) -> None:
    """The least request: nothing passes silently, whatever is missing."""
    request = without(set_request(level_wall()), "soils", "water")
    found = answered(request, sets)
    assert {entry["status"] for entry in found["checks"]} == {"not_checked"}
