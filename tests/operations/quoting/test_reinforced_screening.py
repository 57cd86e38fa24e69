"""Layers of reinforcement through the whole service: laid out, held against, priced.

By the association's rules (catalog/screening_bases/): 24 in apart at most, from the face of the
units 0.6 of the height, 4 ft, and 1 ft beyond the failure plane at every layer, the greatest of
them; rounded up to 6 in. Units 8 in high: a layer on the lowest course, then on every third.
Stack G1 is a row of tests/reference/gravity.toml, the reference's units are those of
tests/reference/reinforced_soil.toml: layers.
"""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from service.catalog import Catalog
from tests.given.quote_checks import assert_invariants
from tests.given.quote_requests import Json, answered, caution_codes, line_of, quantity_of
from tests.given.screened import (
    check_of,
    set_request,
    set_wall,
)
from tests.given.screening_by_hand import ByHand, plane_distance

pytestmark = pytest.mark.no_cover  # others run the same lines

TAN30 = math.tan(math.radians(30))
LONG_TERM = 3500 / (1.6 * 1.10 * 1.10)  # lb/ft
FHWA_COMPARE = {"basis": "fhwa", "reinforcement": "compare"}


def asked(how: str, *walls: Json, **more: object) -> Json:
    """A request that asks for layers in one of the ways."""
    screening = {"basis": "association", "reinforcement": how}
    return set_request(*walls, **{"screening": screening, **more})


def layers_of(found: Json, wall: int = 0) -> list[tuple[int, float]]:
    """Course and length in ft of each layer."""
    layers = found["screening"]["walls"][wall]["layers"]
    return [(layer["course"], float(layer["length"]["value"])) for layer in layers]


def layered_checks(found: Json) -> list[Json]:
    """Checks of the wall with its layers, where they are not quoted."""
    checks: list[Json] = found["screening"]["reinforcement"]["checks"]
    return checks


def layered(found: Json, check: str) -> Json:
    """One of them."""
    return check_of(found, check, among=layered_checks(found))


def behind_mass(height: float, setback_in: float = 0.75) -> float:
    """Level push on the back of the mass, lb/ft: soil on soil, friction of 30 deg on its back."""
    phi = delta = math.radians(30)
    omega = math.atan(setback_in / 8)
    root = math.sqrt(
        math.sin(phi + delta) * math.sin(phi) / (math.cos(omega - delta) * math.cos(omega))
    )
    under = math.cos(omega) ** 2 * math.cos(omega - delta) * (1 + root) ** 2
    level = math.cos(phi + omega) ** 2 / under * math.cos(delta - omega)
    return 120 * height**2 / 2 * level


def test_g2_shows_failure_layers_price_and_cautions_in_one_call(sets: Catalog) -> None:
    """4 ft of 12 in units: fails as a plain stack; two layers of 4 ft hold it for one roll.

    Top layer at 32 in: 1 ft of unit + 1.69 ft to the plane + 1 ft beyond it = 3.69 ft, under the
    least of 4 ft. 40 ft of wall: 7 strips of 4 ft in each of 2 layers, 37 strips from a roll of
    150 ft: one roll at 385.00.
    """
    found = answered(asked("compare", set_wall("4 ft")), sets)
    assert check_of(found, "overturning")["status"] == "fail"
    assert check_of(found, "overturning")["build"] == "gravity"
    assert layers_of(found) == [(1, 4.0), (4, 4.0)]
    reinforcement = found["screening"]["reinforcement"]
    assert reinforcement["item"] == "grid"
    assert reinforcement["quoted"] is False
    assert reinforcement["price_effect"]["difference"] == "385.00"
    assert reinforcement["price_effect"]["gravity_total"] == found["price"]["total"]
    assert {"engineer-gravity-fails", "permit-height"} <= set(caution_codes(found))
    assert not [line for line in found["quantities"] if line["group"] == "reinforcement"]
    assert_invariants(found)


def test_g2_layers_hold_by_hand(sets: Catalog) -> None:
    """Layers at 8 in and 32 in carry 20 in and 28 in of height; the mass weighs 1,920 lb/ft."""
    found = answered(asked("compare", set_wall("4 ft")), sets)
    level = ByHand(courses=6).level
    pulls = [
        120 * level * share * depth for share, depth in ((20 / 12, 38 / 12), (28 / 12, 14 / 12))
    ]
    assert sum(pulls) == pytest.approx(ByHand(courses=6).soil_push)
    anchored = 4 - 1 - plane_distance(32 / 12, setback_in=0.75)
    held = 2 * (16 / 12) * 120 * anchored * 0.7 * TAN30
    # units 480 lb at 0.65625 ft; soil 1,440 lb whose middle lies 1 + (3 + 0.375) / 2 ft back
    push, holding = behind_mass(4.0), 480 * 0.65625 + 1440 * 2.6875
    expected = {
        "layer_tension": (LONG_TERM / pulls[0], 1.5),
        "pullout": (held / pulls[1], 1.5),
        "base_sliding": (1920 * TAN30 / push, 1.5),
        "overturning": (holding / (push * 4 / 3), 2.0),
    }
    for name, (value, least) in expected.items():
        check = layered(found, name)
        assert float(check["value"]) == pytest.approx(value, abs=1e-3)
        assert float(check["required"]) == least
        assert (check["build"], check["status"]) == ("reinforced", "pass")
    assert layered(found, "connection")["status"] == "not_checked"
    assert layered(found, "connection")["missing"]


def test_layers_where_needed_are_quoted_at_the_price_shown(sets: Catalog) -> None:
    """200 ft: 34 strips x 2 layers of 37 to the roll are 2 rolls, 770.00 more than plain."""
    walls = [set_wall("4 ft", length="200 ft")]
    plain, shown, quoted = (
        answered(asked(how, *walls), sets) for how in ("none", "compare", "where_needed")
    )
    effect = shown["screening"]["reinforcement"]["price_effect"]
    assert effect == quoted["screening"]["reinforcement"]["price_effect"]
    assert effect["gravity_total"] == plain["price"]["total"] == shown["price"]["total"]
    assert effect["reinforced_total"] == quoted["price"]["total"]
    assert effect["difference"] == "770.00"
    assert quoted["screening"]["reinforcement"]["quoted"] is True
    assert "checks" not in quoted["screening"]["reinforcement"]
    assert quantity_of(quoted, "grid")["order"] == {"value": "2", "unit": "roll"}
    assert line_of(quoted, "grid")["cost"] == "770.00"
    checks = [check for check in quoted["checks"] if check["check"] == "pullout"]
    assert [check["build"] for check in checks] == ["reinforced"]
    assert_invariants(quoted)


def test_price_difference_of_layers_is_that_of_every_line(sets: Catalog) -> None:
    """With rates, ground and terms: rolls, digging and crew days make the difference."""
    blocks: Json = {
        "wall_system": "terrace_8in",
        "section": "plain_gravity",
        "soils": {"retained": "silty_sand"},
        "rates": "small_crew",
        "terms": "standard",
        "prices": {"price_list": "demo_2026"},
    }
    wall = set_wall("5 ft", length="120 ft", graded_behind="12 ft")
    wall["profile"][0]["existing_grade"] = "0 ft"
    wall["ends"] = {"start": "against_structure", "finish": "against_structure"}
    plain, shown, quoted = (
        answered(asked(how, wall, **blocks), sets) for how in ("none", "compare", "where_needed")
    )
    effect = shown["screening"]["reinforcement"]["price_effect"]
    costs = [
        {line["item"]: Decimal(line["cost"]) for line in found["price"]["lines"]}
        for found in (plain, quoted)
    ]
    items = costs[0].keys() | costs[1].keys()
    by_line = sum(costs[1].get(item, Decimal(0)) - costs[0].get(item, Decimal(0)) for item in items)
    direct = [Decimal(found["price"]["direct_cost"]) for found in (plain, quoted)]
    assert by_line == direct[1] - direct[0] > 0
    rolls = Decimal(quantity_of(quoted, "soil_grid")["order"]["value"])
    assert costs[1]["soil_grid"] == rolls * Decimal("385.00")
    assert Decimal(effect["difference"]) == Decimal(quoted["price"]["total"]) - Decimal(
        plain["price"]["total"]
    )
    cuts = [float(found["earthwork"]["cut"]["value"]) for found in (plain, quoted)]
    assert cuts[1] > cuts[0]
    hours = [float(found["labor"]["labor_hours"]) for found in (plain, quoted)]
    assert hours[1] > hours[0]


def test_layers_are_off_unless_asked_for(sets: Catalog) -> None:
    """Without a word no layers are shown, whatever fails."""
    found = answered(set_request(set_wall("4 ft")), sets)
    assert "reinforcement" not in found["screening"]
    assert "layers" not in found["screening"]["walls"][0]


def test_layers_where_needed_leave_out_a_wall_that_stands(sets: Catalog) -> None:
    """Stack G1 passes: no layer; `all` lays one on its lowest course all the same."""
    needed, everywhere = (
        answered(asked(how, set_wall("32 in")), sets) for how in ("where_needed", "all")
    )
    assert "reinforcement" not in needed["screening"]
    assert check_of(needed, "base_sliding")["build"] == "gravity"
    assert layers_of(everywhere) == [(1, 4.0)]


def stepped(low: str, high: str, **more: str) -> Json:
    """20 ft of one height, then 20 ft of another."""
    heights = (("0 ft", low), ("20 ft", low), ("20 ft", high), ("end", high))
    entries = [
        {"station": at, "top": top, "front_grade": "0 ft", "back_grade": top} for at, top in heights
    ]
    return set_wall(high, profile=entries, **more)


def test_layers_where_needed_lie_where_the_stack_fails(sets: Catalog) -> None:
    """32 in stands, 4 ft doesn't: layers from 20 ft to the end; the rest is still looked at."""
    found = answered(asked("where_needed", stepped("32 in", "48 in")), sets)
    layers = found["screening"]["walls"][0]["layers"]
    assert {(each["from_station"]["value"], each["to_station"]["value"]) for each in layers} == {
        ("20", "40")
    }
    plain = [check for check in found["checks"] if check["build"] == "gravity"]
    sliding = check_of(found, "base_sliding", among=plain)
    assert sliding["station"]["value"] == "0"
    assert float(sliding["value"]) == pytest.approx(1.716, abs=1e-3)


def test_a_stretch_that_layers_can_t_hold_still_fails(sets: Catalog) -> None:
    """One course has no joint to lay a sheet on: under 400 psf it fails beside a layered wall."""
    wall = stepped("8 in", "48 in", surcharge="400 psf")
    found = answered(asked("where_needed", wall), sets)
    plain = [check for check in found["checks"] if check["build"] == "gravity"]
    assert check_of(found, "base_sliding", among=plain)["status"] == "fail"


def test_layers_lie_under_a_course_of_soil(sets: Catalog) -> None:
    """4 ft of units, back grade from 8 in up to 48 in over 40 ft: an inch a foot.

    The layer on the first course (8 in) begins where 16 in of soil stand, at 8 ft; that on the
    fourth (32 in) where 40 in do, at 32 ft. Before 8 ft the wall stays a plain stack, whose worst
    section holds 16 in.
    """
    wall = set_wall("4 ft")
    wall["profile"][0]["back_grade"] = "8 in"
    found = answered(asked("where_needed", wall), sets)
    begins = {
        layer["course"]: float(layer["from_station"]["value"])
        for layer in found["screening"]["walls"][0]["layers"]
    }
    assert begins[1] == pytest.approx(8)
    assert begins[4] == pytest.approx(32)
    plain = [check for check in found["checks"] if check["build"] == "gravity"]
    sliding = check_of(found, "base_sliding", among=plain)
    assert float(sliding["station"]["value"]) == pytest.approx(8)
    hand = ByHand(courses=6, height=16 / 12).sliding
    assert float(sliding["value"]) == pytest.approx(hand, abs=1e-3)
    assert check_of(found, "pullout")["status"] == "pass"


def test_trap_8_the_top_layer_decides_the_length(sets: Catalog) -> None:
    """8 ft of the reference's units, layers at 8, 32, 56 and 80 in: 0.6 of the height is 4.8 ft.

    At 80 in the plane lies 4.138 ft behind the units: 1 + 4.138 + 1 = 6.138 ft, laid 6.5 ft.
    """
    found = answered(asked("compare", set_wall("8 ft"), wall_system="one"), sets)
    assert 2 + plane_distance(80 / 12) == pytest.approx(6.138, abs=1e-3)
    assert layers_of(found) == [(course, 6.5) for course in (1, 4, 7, 10)]


def test_trap_7_layers_are_measured_from_the_face(sets: Catalog) -> None:
    """The same layers: 6.5 ft from the face are 1.362 ft beyond the plane, 176.15 lb/ft held."""
    found = answered(asked("compare", set_wall("8 ft"), wall_system="one"), sets)
    anchored = 6.5 - 1 - plane_distance(80 / 12)
    held = 2 * (16 / 12) * 120 * anchored * 0.7 * TAN30
    pull = 120 * 0.24323 * (28 / 12) * (14 / 12)
    assert float(layered(found, "pullout")["value"]) == pytest.approx(held / pull, abs=1e-3)


def test_connection_counts_the_weight_above(sets: Catalog) -> None:
    """1,000 lb/ft + 880 lb/ft x tan 35 deg at the lowest layer, which 348.6 lb/ft pull on."""
    request = asked("compare", set_wall("8 ft"), wall_system="one", section="tested")
    pull = 120 * 0.24323 * (20 / 12) * (86 / 12)
    expected = (1000 + 880 * math.tan(math.radians(35))) / pull
    check = layered(answered(request, sets), "connection")
    assert float(check["value"]) == pytest.approx(expected, abs=1e-3)


def test_sheet_without_data_takes_the_factor_for_all(sets: Catalog) -> None:
    """3,500 / 7 = 500 lb/ft; without interaction pullout is not checked, and says so."""
    request = asked("compare", set_wall("4 ft"), section="bare_grid")
    found = answered(request, sets)
    pull = 120 * ByHand(courses=6).level * (20 / 12) * (38 / 12)
    tension = float(layered(found, "layer_tension")["value"])
    assert tension == pytest.approx(500 / pull, abs=1e-3)
    assert layered(found, "pullout")["status"] == "not_checked"
    assert "interaction" in " ".join(layered(found, "pullout")["missing"])


@pytest.mark.parametrize(
    ("height", "length"),
    [
        ("6 ft", 8.0),  # 0.7 x 6 = 4.2; the least of 8 ft
        ("8 ft", 8.0),  # 0.7 x 8 = 5.6; 80 in x tan 30 deg + 3 ft = 6.85; the least of 8 ft
        ("12 ft", 9.5),  # 0.7 x 12 = 8.4; 128 in x tan 30 deg + 3 ft = 9.158
    ],
)
def test_trap_6_highway_layers_have_the_highway_length(
    sets: Catalog, height: str, length: float
) -> None:
    """0.7 of the height, 8 ft, and the manual's plane from the toe; not 0.6, 4 ft."""
    request = set_request(set_wall(height), wall_system="one", screening=FHWA_COMPARE)
    found = answered(request, sets)
    assert {each for _, each in layers_of(found)} == {length}


def test_highway_layers_hold_by_hand(sets: Catalog) -> None:
    """8 ft, 8 ft layers, Rankine 1/3: weight at 1.00 and pushes at 1.5; strengths at 0.90."""
    request = set_request(set_wall("8 ft"), wall_system="one", screening=FHWA_COMPARE)
    found = answered(request, sets)
    weight, push = 120 * 8 * 8, 1.5 * 120 * 64 / 2 / 3
    beyond = push * 8 / 3 / weight
    pull = 1.35 * 120 * (86 / 12) * (20 / 12) / 3
    top = 1.35 * 120 * (14 / 12) * (28 / 12) / 3
    anchored = 8 - 80 / 12 * TAN30
    held = 0.67 * TAN30 * 0.8 * 120 * (16 / 12) * 2 * anchored
    expected = {
        "base_sliding": weight * TAN30 / push,
        "eccentricity": beyond / 8,
        "layer_tension": 0.9 * LONG_TERM / pull,
        "pullout": 0.9 * held / top,
    }
    for name, value in expected.items():
        assert float(layered(found, name)["value"]) == pytest.approx(value, abs=1e-3)


def test_highway_layers_under_a_slope_are_longer(sets: Catalog) -> None:
    """0.8 of the height where the ground rises behind: 12 ft x 0.8 = 9.6 ft, laid 10 ft or more.

    On level ground with a load the manual's 0.7 stays: 9.5 ft by the plane.
    """
    sloped, loaded = (
        answered(
            set_request(set_wall("12 ft", **keys), wall_system="one", screening=FHWA_COMPARE), sets
        )
        for keys in ({"back_slope": "10:1"}, {"surcharge": "20 psf"})
    )
    assert min(length for _, length in layers_of(sloped)) >= 10.0
    assert {length for _, length in layers_of(loaded)} == {9.5}
