"""Plain stacks through the whole service: tests/reference/gravity.toml: stacks, a second method.

Printed ratios are rounded to the unsafe side's neighbor at four decimals: within 0.001.
"""

from __future__ import annotations

import pytest

from service.catalog import Catalog
from tests.given.quote_requests import Json, answered, caution_codes
from tests.given.screened import (
    check_of,
    set_request,
    set_wall,
    value_of,
)
from tests.given.screening_by_hand import ByHand

NEAR = 1e-3
THREE_TO_ONE = {"back_slope": "3:1"}
LOADED = {"surcharge": "100 psf"}
G5 = {
    "wall_system": "one",
    "soils": {"retained": "phi34", "foundation": "phi30", "fill": "phi34"},
}
# Stack, height, wall keys, request keys, sliding, overturning.
SETS: list[tuple[str, str, Json, Json, float, float]] = [
    ("G1", "32 in", {}, {}, 1.716, 1.985),
    ("G2", "4 ft", {}, {}, 1.144, 0.975),
    ("G3", "4 ft", THREE_TO_ONE, {}, 0.863, 0.736),
    ("G4", "4 ft", LOADED, {}, 0.807, 0.600),
    ("G5", "4 ft", {}, G5, 1.446, 1.331),
]
sets_of_the_sheet = pytest.mark.parametrize(
    ("height", "wall", "more", "sliding", "overturning"),
    [row[1:] for row in SETS],
    ids=[row[0] for row in SETS],
)


@sets_of_the_sheet
def test_checks_give_the_constructed_sets(
    sets: Catalog, height: str, wall: Json, more: Json, sliding: float, overturning: float
) -> None:
    """Sliding and overturning of G1 to G5; what is under 1.5 fails."""
    found = answered(set_request(set_wall(height, **wall), **more), sets)
    for name, ratio in (("base_sliding", sliding), ("overturning", overturning)):
        check = check_of(found, name)
        assert float(check["value"]) == pytest.approx(ratio, abs=NEAR)
        assert float(check["required"]) == 1.5
        assert check["limit"] == "min"
        assert check["status"] == ("pass" if ratio >= 1.5 else "fail")


def test_checks_in_meters_are_those_in_feet(sets: Catalog) -> None:
    """The same wall asked for in metric units: the same ratios, digit for digit."""
    metric = set_request(set_wall("1219.2 mm", length="12.192 m", surcharge="100 psf"))
    ours = set_request(set_wall("4 ft", surcharge="100 psf"))
    keys = ("check", "value", "required", "status")
    tables = [
        [[check.get(key) for key in keys] for check in answered(request, sets)["checks"]]
        for request in ({**metric, "units": "metric"}, ours)
    ]
    assert tables[0] == tables[1]


@pytest.mark.parametrize(
    ("system", "friction", "courses"),
    [
        ("three_quarter", 28, 3),
        ("three_quarter", 30, 4),
        ("three_quarter", 32, 4),
        ("one", 32, 5),
        ("three_quarter", 34, 5),
        ("three_quarter", 36, 5),
    ],
)
def test_tallest_stack_is_that_of_the_sheet(
    sets: Catalog, system: str, friction: int, courses: int
) -> None:
    """Both factors at least 1.5, on a foundation of 30 deg or the soil itself if weaker."""
    soils = {"retained": f"phi{friction}", "foundation": f"phi{min(friction, 30)}"}
    request = set_request(set_wall("4 ft"), wall_system=system, soils=soils)
    (wall,) = answered(request, sets)["screening"]["walls"]
    assert wall["tallest_gravity_courses"] == courses
    assert float(wall["tallest_gravity_height"]["value"]) == pytest.approx(courses * 8 / 12)


def test_trap_4_a_wall_under_the_permit_height_may_still_fail(sets: Catalog) -> None:
    """Stack G2 is 4 ft high from its pad: fails, and says that an engineer is needed."""
    found = answered(set_request(set_wall("4 ft")), sets)
    assert check_of(found, "base_sliding")["status"] == "fail"
    assert check_of(found, "overturning")["status"] == "fail"
    assert "engineer-gravity-fails" in caution_codes(found)


def test_trap_5_the_push_falls_with_batter(sets: Catalog) -> None:
    """At 1 in setback the wall leans 7.1 deg into the soil: 1.232 where a level back gives 1.004.

    A batter of the wrong sign pushes harder than an upright back: under 1.
    """
    found = answered(set_request(set_wall("4 ft"), wall_system="one"), sets)
    leaning = ByHand(courses=6, setback_in=1.0).sliding
    upright = ByHand(courses=6, setback_in=0.0).sliding
    assert ByHand(courses=6, setback_in=-1.0).sliding < upright < leaning
    assert value_of(found, "base_sliding") == pytest.approx(leaning, abs=NEAR)


def test_trap_1_permit_height_counts_from_the_bottom(sets: Catalog) -> None:
    """40 in exposed over one buried course of 8 in and 6 in of pad is 54 in: over 4 ft.

    32 in exposed is 46 in: not over it.
    """
    tall, low = (
        caution_codes(answered(set_request(set_wall(height), section="one_buried"), sets))
        for height in ("40 in", "32 in")
    )
    assert "permit-height" in tall
    assert "permit-height" not in low


def test_soil_height_runs_from_the_buried_course_to_the_back_grade(sets: Catalog) -> None:
    """40 in exposed over one buried course is stack G2: 4 ft of soil and six courses."""
    found = answered(set_request(set_wall("40 in"), section="one_buried"), sets)
    assert value_of(found, "base_sliding") == pytest.approx(1.144, abs=NEAR)


def test_soil_height_follows_a_back_grade_under_the_top(sets: Catalog) -> None:
    """Six courses that hold 3 ft of soil: the wall's weight as before, the push of 3 ft."""
    wall = set_wall("4 ft")
    for entry in wall["profile"]:
        entry["back_grade"] = "3 ft"
    found = answered(set_request(wall), sets)
    hand = ByHand(courses=6, height=3.0)
    assert value_of(found, "base_sliding") == pytest.approx(hand.sliding, abs=NEAR)
    assert value_of(found, "overturning") == pytest.approx(hand.overturning, abs=NEAR)


def test_bearing_is_spread_through_the_pad(sets: Catalog) -> None:
    """Stack G1: 320 lb/ft at 0.205 ft off the middle, 2:1 through 6 in of stone, no cover."""
    found = answered(set_request(set_wall("32 in")), sets)
    hand = ByHand(courses=4).bearing
    assert value_of(found, "bearing") == pytest.approx(hand, rel=1e-3)
    assert check_of(found, "bearing")["required"] in ("2", "2.0")


def test_bearing_counts_no_ground_in_front(sets: Catalog) -> None:
    """24 in over one buried course of 8 in bears as stack G1 on open ground: no depth counts."""
    found = answered(set_request(set_wall("24 in"), section="one_buried"), sets)
    assert value_of(found, "bearing") == pytest.approx(ByHand(courses=4).bearing, rel=1e-3)


def test_base_friction_is_that_of_the_weaker(sets: Catalog) -> None:
    """Pad stone counts where its section gives it and it is the weaker: 25 deg, not 40 deg."""
    weak, strong = (
        value_of(answered(set_request(set_wall("32 in"), section=name), sets), "base_sliding")
        for name in ("weak_pad", "strong_pad")
    )
    hand = ByHand(courses=4, base_friction=25).sliding
    assert weak == pytest.approx(hand, abs=NEAR)
    assert strong == pytest.approx(1.716, abs=NEAR)


def test_fhwa_checks_are_factored(sets: Catalog) -> None:
    """Stack G4: 1.5 on soil and 1.75 on load, weight at 1.00; ratios over 1, e under B/4."""
    request = set_request(set_wall("4 ft", surcharge="100 psf"), screening={"basis": "fhwa"})
    found = answered(request, sets)
    hand = ByHand(courses=6, surcharge=100, load_factor=1.5, live_factor=1.75)
    assert value_of(found, "base_sliding") == pytest.approx(hand.sliding, abs=NEAR)
    eccentricity = check_of(found, "eccentricity")
    assert float(eccentricity["value"]) == pytest.approx(hand.eccentricity, abs=NEAR)
    assert float(eccentricity["required"]) == 0.25
    assert (eccentricity["limit"], eccentricity["status"]) == ("max", "fail")


def test_trap_6_one_basis_stands_everywhere(sets: Catalog) -> None:
    """A quote on the highway basis has no figure, title or source of the other one."""
    request = set_request(set_wall("4 ft"), screening={"basis": "fhwa", "reinforcement": "compare"})
    found = answered(request, sets)
    checks = [*found["checks"], *found["screening"]["reinforcement"]["checks"]]
    assert {check["basis"] for check in checks} == {"fhwa"}
    assert found["screening"]["basis"] == "fhwa"
    assert {check["required"] for check in checks if "required" in check} <= {"1", "1/4", "0.25"}
    assert not any("Segmental Retaining Wall" in check["source"] for check in checks)


def test_cap_holds_nothing(sets: Catalog) -> None:
    """The cap is left out of the weight: six courses under a cap of 4 in hold as stack G2."""
    wall = set_wall("52 in")
    for entry in wall["profile"]:
        entry["back_grade"] = "48 in"
    found = answered(set_request(wall, wall_system="capped"), sets)
    assert value_of(found, "base_sliding") == pytest.approx(1.144, abs=NEAR)
    assert value_of(found, "overturning") == pytest.approx(0.975, abs=NEAR)


def test_checks_show_the_arithmetic_of_the_station_that_governs(sets: Catalog) -> None:
    """A wall that rises from 32 in to 4 ft is judged at its end, by the arithmetic of a level wall
    of 4 ft: stack G2."""
    low, tall = set_wall("32 in"), set_wall("4 ft")
    rising = {**tall, "profile": [low["profile"][0], tall["profile"][-1]]}
    for check in ("base_sliding", "overturning", "bearing"):
        level, found = (check_of(answered(set_request(w), sets), check) for w in (tall, rising))
        assert found["station"] == {"value": "40", "unit": "ft"}
        assert (found["value"], found["how"]) == (level["value"], level["how"])
    sliding = check_of(answered(set_request(rising), sets), "base_sliding")
    assert sliding["how"][0].startswith("6 courses, soil 4 ft over their underside")


def test_checks_under_an_even_load_go_by_the_closed_form(sets: Catalog) -> None:
    """Level ground under a load that begins at the top: the coefficient of stack G2 holds in G4,
    too, and no wedge is searched."""
    sliding = check_of(answered(set_request(set_wall("4 ft", **LOADED)), sets), "base_sliding")
    assert "Ka 0.26085" in sliding["how"][0]
