"""`POST /v1/quotes`: what is counted and how it is said, worked by hand from rules 1 to 12."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from starlette.testclient import TestClient

from tests.given.quote_checks import assert_invariants
from tests.given.quote_requests import (
    Json,
    level_wall,
    proof_request,
    quantity_of,
    quoted,
    shipped_request,
    straight,
    units_by_course,
)

QUARTER = {"kind": "curve", "radius": "20 ft", "angle": "90 deg"}


def ft(value: str) -> Json:
    """A length as the answer says it in the US unit set."""
    return {"value": value, "unit": "ft"}


def near(measure: Json, value: float, unit: str) -> bool:
    """Whether a measure is this value, to six digits."""
    return bool(measure["unit"] == unit) and math.isclose(
        float(measure["value"]), value, rel_tol=5e-7
    )


def test_quote_counts_the_wall_of_40_ft(proof: TestClient) -> None:
    """40 ft, 4 ft exposed: top joint 44 in, seven courses down to -12 in, 27 units in each."""
    answer = quoted(proof, proof_request())
    (wall,) = answer["walls"]
    assert units_by_course(wall) == [27] * 7
    assert units_by_course(wall, "corner_units") == [0] * 7
    assert [cap["units"] for cap in wall["caps"]] == [27]
    assert near(wall["face_area"], 186.666667, "ft2")  # 7 courses x 8 in x 40 ft
    assert wall["exposed_area"] == {"value": "160", "unit": "ft2"}
    assert wall["pay_face_area"] == {"value": "200", "unit": "ft2"}  # built top 48, pad top -12
    assert (wall["max_exposed_height"], wall["max_wall_height"]) == (ft("4"), ft("5"))
    assert wall["length"] == ft("40")
    assert wall["steps"] == []
    assert near(wall["setback"], 1 / 12, "ft")
    pad = quantity_of(answer, "pad_stone")  # 24 in x 40 ft x 6 in = 40 ft3
    assert near(pad["net"], 40 / 27, "yd3")
    assert pad["order"] == {"value": "1.5", "unit": "yd3"}
    gravel = quantity_of(answer, "gravel")  # 12 in x 52 in x 40 ft: from -12 to 40 in
    assert near(gravel["net"], 520 / 81, "yd3")
    assert_invariants(answer)


def test_quote_says_each_course_by_run(proof: TestClient) -> None:
    """A course has its number, the level of its underside, and runs; one leg needs no list."""
    (wall,) = quoted(proof, proof_request())["walls"]
    run = {
        "from_station": ft("0"),
        "to_station": ft("40"),
        "face_length": ft("40"),
        "standard_units": 27,
        "corner_units": 0,
        "legs": [],
    }
    assert wall["courses"][0] == {"number": 1, "elevation": ft("-1"), "runs": [run]}
    elevations = [float(course["elevation"]["value"]) for course in wall["courses"]]
    assert [round(12 * level, 4) for level in elevations] == [-12, -4, 4, 12, 20, 28, 36]
    assert [course["number"] for course in wall["courses"]] == [1, 2, 3, 4, 5, 6, 7]
    assert wall["caps"] == [
        {"from_station": ft("0"), "to_station": ft("40"), "length": ft("40"), "units": 27}
    ]


def test_quote_counts_the_wall_of_40_ft_of_the_shipped_system(client: TestClient) -> None:
    """480 / 17 in are 29 units a course, 203 in 7. Waste 5 %: 203 x 1.05 is 214, 29 x 1.05 is 31;
    214 of 36 on a pallet are 6 pallets."""
    answer = quoted(client, shipped_request())
    block, cap = quantity_of(answer, "terrace_8in"), quantity_of(answer, "terrace_cap_4in")
    assert block["net"] == {"value": "203", "unit": "each"}
    assert block["waste"] == "0.05"
    assert block["order"] == {"value": "214", "unit": "each"}
    assert block["packs"] == {"value": "6", "unit": "pallet"}
    assert block["weight"] == {"value": "20116", "unit": "lb"}  # 214 x 94
    assert (cap["net"]["value"], cap["order"]["value"]) == ("29", "31")
    # A pad of 25 x 6 in: 1.54321 yd3 x 1.1 x 1.1 x 2700 lb = 5041.7 lb
    pad = quantity_of(answer, "base_stone")
    assert pad["order"] == {"value": "3", "unit": "ton"}
    assert pad["weight"] == {"value": "6000", "unit": "lb"}
    stone = quantity_of(answer, "drain_stone")  # 173.333 + 203 x 0.3 = 234.233 ft3 in place
    assert near(stone["net"], 234.2333333 / 27, "yd3")
    assert stone["order"] == {"value": "10.5", "unit": "yd3"}  # x 1.1 x 1.05 = 10.02
    assert quantity_of(answer, "drain_pipe")["order"] == {"value": "1", "unit": "roll"}
    assert quantity_of(answer, "outlet_pipe")["net"] == ft("4")
    fabric = quantity_of(answer, "filter_fabric")  # (52 + 12 + 12) in x 40 ft
    assert near(fabric["net"], 253.333333, "ft2")
    glue = quantity_of(answer, "cap_adhesive")  # 2 beads x 40 ft / 38 ft = 2.11
    assert glue["order"] == {"value": "3", "unit": "each"}
    assert_invariants(answer)


def test_quote_counts_an_outside_quarter_circle(proof: TestClient) -> None:
    """Course k is (240 - k) pi/2 in, 21 units each; caps by the front of the top course."""
    plan = [{**QUARTER, "side": "outside"}]
    answer = quoted(proof, proof_request(level_wall(plan=plan)))
    (wall,) = answer["walls"]
    assert units_by_course(wall) == [21] * 7
    faces = [course["runs"][0]["face_length"] for course in wall["courses"]]
    for k, face in enumerate(faces):
        assert near(face, (240 - k) * math.pi / 24, "ft")
    assert near(wall["face_area"], 1659 * math.pi / 2 * 8 / 144, "ft2")  # 2,605.95 in x 8 in
    assert [cap["units"] for cap in wall["caps"]] == [21]  # 234 pi/2 = 367.57 in
    pad = quantity_of(answer, "pad_stone")  # radii 246 to 222 in: 61.2611 ft2, 6 in thick
    assert near(pad["net"], math.pi / 4 * (246**2 - 222**2) / 144 / 2 / 27, "yd3")
    assert_invariants(answer)


def test_quote_counts_an_inside_quarter_circle(proof: TestClient) -> None:
    """Course k is (240 + k) pi/2 in: 20.94 units at the base, 21.03 and more above."""
    plan = [{**QUARTER, "side": "inside"}]
    answer = quoted(proof, proof_request(level_wall(plan=plan)))
    (wall,) = answer["walls"]
    assert units_by_course(wall) == [21, 22, 22, 22, 22, 22, 22]
    for k, course in enumerate(wall["courses"]):
        assert near(course["runs"][0]["face_length"], (240 + k) * math.pi / 24, "ft")
    # Front of the top course 246 pi/2 = 386.4, rear of the caps 258 pi/2 = 405.3 in: 23 of 18.
    assert [cap["units"] for cap in wall["caps"]] == [23]
    assert_invariants(answer)


def test_quote_counts_an_outside_corner_leg_by_leg(proof: TestClient) -> None:
    """90 deg, legs of 12 and 9 ft: each course has one corner unit, turn about by course."""
    corner = {"kind": "corner", "side": "outside", "angle": "90 deg"}
    plan = [straight("12 ft"), corner, straight("9 ft")]
    answer = quoted(proof, proof_request(level_wall(plan=plan, exposed="1 ft 2 in")))
    (wall,) = answer["walls"]
    # Joints 10, 2, -6 in: two courses. Course 1: 144 - 18 = 126 in, 7 units; 108 - 9 = 99, 6.
    # Course 2, 1 in back: 143 - 9 = 134 in, 8 units; 107 - 18 = 89 in, 5 units.
    legs = [course["runs"][0]["legs"] for course in wall["courses"]]
    assert [[leg["standard_units"] for leg in two] for two in legs] == [[7, 6], [8, 5]]
    assert [[leg["corner_units"] for leg in two] for two in legs] == [[1, 0], [0, 1]]
    assert [leg["face_length"]["value"] for leg in legs[1]] == ["11.9166667", "8.91666667"]
    assert units_by_course(wall, "corner_units") == [1, 1]
    assert_invariants(answer)


def test_quote_steps_the_base_where_the_ground_rises(proof: TestClient) -> None:
    """Front grade jumps by 16 in at 20 ft under a level top: the base steps up two courses."""
    wall: Json = {
        "plan": [straight("40 ft")],
        "profile": [
            {"station": "0 ft", "top": "4 ft", "front_grade": "0 ft"},
            {"station": "20 ft", "top": "4 ft", "front_grade": "0 ft"},
            {"station": "20 ft", "top": "4 ft", "front_grade": "16 in"},
            {"station": "end", "top": "4 ft", "front_grade": "16 in"},
        ],
    }
    answer = quoted(proof, proof_request(wall))
    (laid,) = answer["walls"]
    assert laid["steps"] == [{"station": ft("20"), "courses": 2}]
    # Base joints -12 and 4 in: two courses of 20 ft (13.3 units), five of 40 ft.
    assert units_by_course(laid) == [14, 14, 27, 27, 27, 27, 27]
    assert laid["exposed_area"]["value"] == "133.333333"  # 20 x 4 + 20 x 2 2/3
    assert_invariants(answer)


def test_quote_rounds_the_top_as_asked(proof: TestClient) -> None:
    """Base -8 in from a level of -8: tops of 48 in less 4 of cap lie at joint 40 or 48."""
    up = level_wall(level_from="base", top_rounding="up")
    down = level_wall(level_from="base", top_rounding="down")
    high = quoted(proof, proof_request(up))["walls"][0]
    low = quoted(proof, proof_request(down))["walls"][0]
    # Lowest front grade 0, embedment 6 in: one course, datum -8 in; joints ... 40, 48 in.
    assert (len(high["courses"]), high["max_wall_height"]) == (7, ft("5"))
    assert (len(low["courses"]), low["max_wall_height"]["value"]) == (6, "4.33333333")


def test_quote_takes_rod_readings(proof: TestClient) -> None:
    """A larger reading is lower: 9 ft 6 in less 5 ft 6 in is 4 ft of wall, slope included."""
    grades = (("0 ft", "0 in", "9 ft 6 in"), ("25 ft", "10 in", "8 ft 8 in"))
    last = ("end", "2 ft", "7 ft 6 in")

    def wall(index: int, top: str, back: str) -> Json:
        entries = [
            {"station": entry[0], "front_grade": entry[index], "top": top, "back_grade": back}
            for entry in (*grades, last)
        ]
        return {"name": "w", "plan": [straight("40 ft")], "profile": entries}

    level = quoted(proof, proof_request(wall(1, "4 ft", "3 ft")))
    rod = quoted(proof, proof_request(wall(2, "5 ft 6 in", "6 ft 6 in"), levels_are="rod"))
    (a,), (b,) = level["walls"], rod["walls"]
    assert units_by_course(a) == units_by_course(b)
    assert [step["courses"] for step in a["steps"]] == [step["courses"] for step in b["steps"]]
    assert len(a["steps"]) > 0
    assert a["exposed_area"] == b["exposed_area"]
    assert level["price"] == rod["price"]
    # The top reads 5.5 ft; the top course begins 12 in below it, where the rod reads 12 in more.
    assert b["courses"][-1]["elevation"] == ft("6.5")


def test_quote_answers_alike_at_any_datum(proof: TestClient) -> None:
    """The same wall 100 ft higher has the same counts, lengths and price."""

    def wall(front: str, top: str) -> Json:
        entries = [{"station": s, "front_grade": front, "top": top} for s in ("0 ft", "end")]
        return {"plan": [straight("37 ft 5 in")], "profile": entries}

    low = quoted(proof, proof_request(wall("0 ft", "3 ft 7 in")))
    high = quoted(proof, proof_request(wall("100 ft", "103 ft 7 in")))
    assert low["price"] == high["price"]
    assert low["quantities"] == high["quantities"]
    assert units_by_course(low["walls"][0]) == units_by_course(high["walls"][0])


def test_quote_agrees_in_metric_and_us(proof: TestClient) -> None:
    """The same lengths in meters count and cost the same; figures come in the set asked for."""
    us = quoted(proof, proof_request())
    wall = {
        "plan": [straight("12.192 m")],
        "profile": [
            {"station": s, "front_grade": "0 m", "exposed": {"value": "1.2192", "unit": "m"}}
            for s in ("0 m", "end")
        ],
    }
    priced = {**proof_request(wall), "units": "metric"}
    cubic = {"unit_cost": "40.00", "per": "yd3"}
    assert priced["prices"]["items"]["gravel"] == cubic
    metric = quoted(proof, priced)
    assert units_by_course(us["walls"][0]) == units_by_course(metric["walls"][0])
    assert metric["walls"][0]["length"] == {"value": "12.192", "unit": "m"}
    assert near(metric["walls"][0]["face_area"], 186.6666667 * 0.09290304, "m2")
    for item in ("block", "a_cap"):
        assert quantity_of(us, item)["order"] == quantity_of(metric, item)["order"]
    assert near(quantity_of(metric, "pad_stone")["net"], 40 * 0.3048**3, "m3")
    assert_invariants(metric)


def test_quote_agrees_in_metric_and_us_to_the_cent(client: TestClient) -> None:
    """What is bought keeps its unit whatever `units` says, so the price is the same."""
    us = quoted(client, shipped_request(rates="small_crew", terms="standard"))
    entries = [{"station": s, "front_grade": "0 m", "top": "1219.2 mm"} for s in ("0 cm", "end")]
    wall = {"plan": [straight("1219.2 cm")], "profile": entries}
    asked = shipped_request(wall, rates="small_crew", terms="standard", units="metric")
    metric = quoted(client, asked)
    for name in ("direct_cost", "subtotal", "tax", "total", "deposit", "margin"):
        assert us["price"][name] == metric["price"][name]
    assert us["labor"]["labor_hours"] == metric["labor"]["labor_hours"]
    orders = [[line["order"] for line in answer["quantities"]] for answer in (us, metric)]
    assert orders[0] == orders[1]


def test_quote_orders_stone_by_the_short_ton_in_a_metric_request(client: TestClient) -> None:
    """10 m of pad: 0.967740 m3 x 1.1 x 1.1 = 1.170965 m3 at 2700 lb/yd3 are 2.068 ton, so 2.5."""
    asked = shipped_request(level_wall("10 m", "1 m"), units="metric")
    asked["prices"]["overrides"] = {"base_stone": {"unit_cost": "41.37", "per": "ton"}}
    answer = quoted(client, asked)
    pad = quantity_of(answer, "base_stone")
    assert near(pad["net"], 0.635 * 10 * 0.1524, "m3")
    assert pad["order"] == {"value": "2.5", "unit": "ton"}
    assert near(pad["weight"], 2.5 * 907.18474, "kg")
    (line,) = (line for line in answer["price"]["lines"] if line["item"] == "base_stone")
    assert line["quantity"] == {"value": "2.5", "unit": "ton"}
    assert (line["unit_cost"], line["per"]) == ("41.37", "ton")
    assert line["cost"] == "103.43"  # 2.5 x 41.37 = 103.425, half up


@pytest.mark.parametrize("field", ["title", "reference", "issued_on", "valid_until", "labor"])
def test_quote_leaves_out_what_does_not_apply(proof: TestClient, field: str) -> None:
    """A part that was not asked for is absent, not null."""
    answer = quoted(proof, proof_request())
    assert field not in answer
    assert "earthwork" not in answer
    assert "price_list" not in answer


def test_quote_echoes_what_names_it(client: TestClient) -> None:
    """Title, reference and date come back; the terms' days make the last day of the offer."""
    head = {"title": "Driveway edge", "reference": "job-0042", "issued_on": "2027-12-15"}
    answer = quoted(client, shipped_request(terms="standard", **head))
    assert {key: answer[key] for key in head} == head
    assert answer["valid_until"] == "2028-01-14"
    assert (answer["units"], answer["currency"]) == ("us", "USD")
    assert answer["price_list"] == {"id": "demo_2026", "revision": 2}
    assert len(answer["catalog_version"]) == len(answer["digest"]) == 64


def test_quote_names_walls_by_place(proof: TestClient) -> None:
    """Walls without a name are wall-1, wall-2 by their place."""
    walls = [level_wall("20 ft"), level_wall("10 ft", name="upper"), level_wall("5 ft")]
    answer = quoted(proof, proof_request(*walls))
    assert [wall["name"] for wall in answer["walls"]] == ["wall-1", "upper", "wall-3"]
    assert [part["wall"] for part in answer["price"]["by_wall"]] == ["wall-1", "upper", "wall-3"]
    assert_invariants(answer)


def test_quote_answers_with_every_field(client: TestClient) -> None:
    """Every name of this list stands in a full answer."""
    full = shipped_request(rates="small_crew", terms="standard", title="t", issued_on="2026-05-04")
    answer = quoted(client, {**full, "reference": "r"})
    top = "digest engine_version catalog_version price_list units currency title reference"
    top += " issued_on valid_until walls quantities labor price cautions assumptions"
    assert set(top.split()) <= set(answer)
    line = "item description group net waste order how"
    assert all(set(line.split()) <= set(each) for each in answer["quantities"])
    assert {"tasks", "labor_hours", "crew_days", "equipment"} <= set(answer["labor"])
    task = "task quantity hours hours_low hours_high"
    assert all(set(task.split()) <= set(each) for each in answer["labor"]["tasks"])
    price = "lines direct_cost overhead contingency profit discount added_to_reach_minimum subtotal"
    price += " tax total margin deposit complete not_priced by_wall site_wide"
    assert set(price.split()) <= set(answer["price"])
    line = "item kind quantity unit_cost per cost price taxable price_source how"
    assert all(set(line.split()) <= set(each) for each in answer["price"]["lines"])
    assert all({"code", "severity", "text", "source"} <= set(each) for each in answer["cautions"])
    assert all(set(each) == {"field", "value", "why"} for each in answer["assumptions"])
    assert_invariants(answer)


def test_quote_gives_hours_as_bare_decimals(client: TestClient) -> None:
    """Hours have no unit; a rate of one figure has its expected value for both points, a rate of
    three lies between them."""
    labor = quoted(client, shipped_request(rates="small_crew"))["labor"]
    by_task = {task["task"]: task for task in labor["tasks"]}
    assert by_task["set_units"]["hours"] == "20.30"  # 203 x 0.1
    assert by_task["set_caps"]["hours"] == "3.48"  # 29 x 0.12
    assert by_task["place_pad"]["hours"] == "2.12"  # 1.54321 x 8.24 / 6 = 2.1193
    assert by_task["place_drain_stone"]["hours"] == "5.78"  # 6.41975 x 0.9 = 5.7778
    one_figure = by_task["lay_pipe"]
    assert one_figure["hours_low"] == one_figure["hours"] == one_figure["hours_high"]
    for task in labor["tasks"]:
        low, high = Decimal(task["hours_low"]), Decimal(task["hours_high"])
        assert low <= Decimal(task["hours"]) <= high
    hours = sum(Decimal(task["hours"]) for task in labor["tasks"])
    assert Decimal(labor["labor_hours"]) == hours
