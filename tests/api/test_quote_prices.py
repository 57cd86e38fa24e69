"""`POST /v1/quotes`: what it costs, from line to total, worked by hand from rule 15.

The wall of 40 ft costs 189 x 2.00 + 27 x 1.00 + 6.5 x 40.00 + 1.5 x 30.00 = 710.00.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from service.catalog import Catalog
from tests.given.quote_checks import AMOUNTS, assert_invariants
from tests.given.quote_requests import (
    TERMS,
    Json,
    answered,
    level_wall,
    line_of,
    prices,
    proof_request,
    quoted,
    shipped_request,
)

# Left out of a body that stands in a request: what only a file has.
FILE_KEYS = ("id", "version", "title", "note", "source")


def amounts(answer: Json, *names: str) -> tuple[str, ...]:
    """Some amounts of the price."""
    return tuple(answer["price"][name] for name in names)


def costs(answer: Json) -> dict[str, str]:
    """Cost by item, in the order of the lines."""
    return {line["item"]: line["cost"] for line in answer["price"]["lines"]}


def test_price_is_the_cost_without_terms(proof: TestClient) -> None:
    """Each line costs order x unit cost; their sum is the total, and that says what it lacks."""
    answer = quoted(proof, proof_request())
    assert costs(answer) == {
        "a_cap": "27.00",
        "block": "378.00",
        "gravel": "260.00",
        "pad_stone": "45.00",
    }
    assert amounts(answer, "direct_cost", "subtotal", "total") == ("710.00",) * 3
    zeros = amounts(answer, "overhead", "contingency", "profit", "discount", "tax", "deposit")
    assert zeros == ("0.00",) * 6
    assert answer["price"]["margin"] == "0.0000"
    assert answer["price"]["complete"] is False
    parts = {gap["part"] for gap in answer["price"]["not_priced"]}
    assert parts == {"earthwork", "labor", "terms"}
    assert_invariants(answer)


def test_price_rolls_up_with_a_markup(proof: TestClient) -> None:
    """10 % of 710 is 71, 5 % of 781 is 39.05, 20 % of 820.05 is 164.01, 7 % of 984.06 is 68.88."""
    answer = quoted(proof, proof_request(terms=TERMS))
    assert amounts(answer, "direct_cost", "overhead", "contingency") == ("710.00", "71.00", "39.05")
    assert amounts(answer, "profit", "subtotal", "tax") == ("164.01", "984.06", "68.88")
    assert amounts(answer, "total", "deposit", "margin") == ("1052.94", "315.88", "0.1667")
    # 984.06 / 710 = 1.386: 523.908, 37.422, 62.37, 360.36; the odd cent falls to .908.
    line_prices = {line["item"]: line["price"] for line in answer["price"]["lines"]}
    assert line_prices == {
        "a_cap": "37.42",
        "block": "523.91",
        "gravel": "360.36",
        "pad_stone": "62.37",
    }
    (odd,) = (how for how in line_of(answer, "block")["how"] if "remainder" in how)
    assert "0.01" in odd
    assert_invariants(answer)


def test_price_rolls_up_with_a_margin(proof: TestClient) -> None:
    """A margin of 25 % of the price is 820.05 x 0.25 / 0.75 = 273.35, not a quarter of the cost."""
    answer = quoted(proof, proof_request(terms={**TERMS, "profit": {"margin": "0.25"}}))
    assert amounts(answer, "profit", "subtotal", "margin") == ("273.35", "1093.40", "0.2500")
    assert_invariants(answer)


def test_price_discounts_and_then_reaches_the_minimum(proof: TestClient) -> None:
    """984.06 - 100 = 884.06; a minimum of 900.00 adds 15.94."""
    terms = {**TERMS, "discount": "100.00", "minimum_charge": "900.00"}
    answer = quoted(proof, proof_request(terms=terms))
    assert amounts(answer, "discount", "added_to_reach_minimum") == ("100.00", "15.94")
    # (900 - 820.05) / 900 = 0.08883
    assert amounts(answer, "subtotal", "margin") == ("900.00", "0.0888")
    assert_invariants(answer)


def test_price_takes_purchase_tax_as_a_cost(proof: TestClient) -> None:
    """7 % of 710.00 is a fee of 49.70 that is not taxed; the customer sees no tax."""
    terms = {"tax": {"rate": "0.07", "base": "purchase"}}
    answer = quoted(proof, proof_request(terms=terms))
    line = line_of(answer, "purchase_tax")
    assert (line["kind"], line["cost"], line["taxable"]) == ("fee", "49.70", False)
    assert amounts(answer, "direct_cost", "tax", "total") == ("759.70", "0.00", "759.70")
    assert answer["price"]["lines"][-1]["item"] == "purchase_tax"
    assert_invariants(answer)


def test_price_taxes_only_the_kinds_named(proof: TestClient) -> None:
    """With tax on fees alone only the fee is taxed; extras stand last, as in the request."""
    extras = [
        {"description": "Permit", "kind": "fee", "cost": "120.00"},
        {"description": "A pump for a day", "kind": "equipment", "cost": "80.50"},
    ]
    terms = {"tax": {"rate": "0.10", "on": ["fee"]}}
    answer = quoted(proof, proof_request(extras=extras, terms=terms))
    assert amounts(answer, "direct_cost", "tax") == ("910.50", "12.00")
    last = answer["price"]["lines"][-2:]
    assert [line["description"] for line in last] == ["Permit", "A pump for a day"]
    assert [(line["kind"], line["group"]) for line in last] == [
        ("fee", "extras"),
        ("equipment", "extras"),
    ]
    assert [line["taxable"] for line in last] == [True, False]
    assert answer["price"]["site_wide"] == "200.50"
    assert answer["price"]["by_wall"] == [{"wall": "wall-1", "price": "710.00"}]
    assert_invariants(answer)


@pytest.mark.parametrize("turned", [False, True])
def test_price_places_the_odd_cent_by_the_order_of_lines(proof: TestClient, turned: bool) -> None:
    """189.00 of blocks and 189.00 of fee share 377.99: the earlier line, the blocks, has the cent.

    Taxed at 1, the tax is that line's price: the same in either order of the walls.
    """
    free = {"unit_cost": "0", "per": "each"}
    stone = {"unit_cost": "0.00", "per": "yd3"}
    block = {"unit_cost": "1.00", "per": "each"}
    # 7 courses of 24 ft and of 16.5 ft: 16 + 11 units, 189 in all.
    walls = [level_wall("24 ft", name="b"), level_wall("16.5 ft", name="a")]
    asked = proof_request(
        *(walls[::-1] if turned else walls),
        prices=prices(block=block, a_cap=free, pad_stone=stone, gravel=stone),
        extras=[{"description": "Fee", "kind": "fee", "cost": "189.00"}],
        terms={"discount": "0.01", "tax": {"rate": "1", "on": ["material"]}},
    )
    answer = quoted(proof, asked)
    assert line_of(answer, "block")["price"] == "189.00"
    assert line_of(answer, "extra_1")["price"] == "188.99"
    assert amounts(answer, "subtotal", "tax", "total") == ("377.99", "189.00", "566.99")
    # 112 of 189 units are of wall b, 77 of a.
    by_wall = {part["wall"]: part["price"] for part in answer["price"]["by_wall"]}
    assert by_wall == {"a": "77.00", "b": "112.00"}
    assert_invariants(answer)


def test_price_splits_lines_over_walls_by_their_nets(proof: TestClient) -> None:
    """27 ft and 9 ft take everything 3 to 1: 645.00 are 483.75 and 161.25."""
    walls = [level_wall("27 ft", name="long"), level_wall("9 ft", name="short")]
    answer = quoted(proof, proof_request(*walls))
    assert answer["price"]["direct_cost"] == "645.00"  # 336 + 24 + 6 x 40 + 1.5 x 30
    assert answer["price"]["by_wall"] == [
        {"wall": "long", "price": "483.75"},
        {"wall": "short", "price": "161.25"},
    ]
    assert_invariants(answer)


def test_price_source_says_where_a_cost_comes_from(client: TestClient) -> None:
    """The list and its revision, and whether the request overrode it; an override has its note."""
    asked = shipped_request()
    asked["prices"]["overrides"] = {
        "terrace_8in": {"unit_cost": "7.10", "per": "each", "note": "on the yard"},
        "soil_grid": {"unit_cost": "1", "per": "each"},
    }
    answer = quoted(client, asked)
    block, cap = line_of(answer, "terrace_8in"), line_of(answer, "terrace_cap_4in")
    source = {"price_list": "demo_2026", "revision": 2}
    assert cap["price_source"] == {"item": "terrace_cap_4in", "override": False, **source}
    assert block["price_source"] == {"item": "terrace_8in", "override": True, **source}
    assert (block["unit_cost"], block["cost"]) == ("7.10", "1519.40")  # 214 x 7.10
    assert any("on the yard" in how for how in block["how"])
    assert_invariants(answer)


def test_price_source_of_inline_costs_names_no_list(proof: TestClient) -> None:
    """Costs that came with the request have neither list nor revision."""
    asked = proof_request()
    asked["prices"] = {**asked["prices"], "overrides": {"block": {"unit_cost": "3", "per": "each"}}}
    answer = quoted(proof, asked)
    assert line_of(answer, "a_cap")["price_source"] == {"item": "a_cap", "override": False}
    assert line_of(answer, "block")["price_source"] == {"item": "block", "override": True}
    assert line_of(answer, "block")["cost"] == "567.00"


def test_price_list_revision_is_latest_unless_named(client: TestClient) -> None:
    """`latest`, the number and nothing are one revision, echoed as its number."""
    answers = []
    for named in ({}, {"revision": "latest"}, {"revision": 2}):
        asked = {**shipped_request(), "prices": {"price_list": "demo_2026", **named}}
        answers.append(quoted(client, asked))
    assert answers[0] == answers[1] == answers[2]
    assert answers[0]["price_list"] == {"id": "demo_2026", "revision": 2}


def test_price_converts_units_of_one_dimension_exactly(proof: TestClient) -> None:
    """1.5 yd3 are 40.5 ft3: at 2.01 per ft3 they cost 81.405, so 81.41."""
    asked = proof_request(prices=prices(pad_stone={"unit_cost": "2.01", "per": "ft3"}))
    answer = quoted(proof, asked)
    line = line_of(answer, "pad_stone")
    assert (line["quantity"], line["per"]) == ({"value": "1.5", "unit": "yd3"}, "ft3")
    assert (line["unit_cost"], line["cost"]) == ("2.01", "81.41")
    assert any("40.5" in how for how in line["how"])


@pytest.mark.parametrize(
    ("currency", "places", "cost", "subtotal", "tax"),
    [
        # 189 x 2.5 = 472.5: half up 473; 10 % of it 47.3.
        ("JPY", 0, "473", "473", "47"),
        ("USD", 2, "472.50", "472.50", "47.25"),
        ("KWD", 3, "472.500", "472.500", "47.250"),
    ],
)
def test_price_carries_the_places_of_its_currency(
    proof: TestClient, currency: str, places: int, cost: str, subtotal: str, tax: str
) -> None:
    """Yen have no minor unit, dinars three places; unit costs keep their own."""
    free = {"unit_cost": "0", "per": "each"}
    stone = {"unit_cost": "0", "per": "yd3"}
    block = {"unit_cost": "2.5", "per": "each"}
    asked = proof_request(
        prices=prices(currency, block=block, a_cap=free, pad_stone=stone, gravel=stone),
        terms={"tax": {"rate": "0.1"}},
    )
    answer = quoted(proof, asked)
    assert answer["currency"] == currency
    assert line_of(answer, "block")["cost"] == cost
    assert line_of(answer, "block")["unit_cost"] == "2.5"
    assert amounts(answer, "subtotal", "tax") == (subtotal, tax)
    assert_invariants(answer, places=places)


def test_price_of_nothing_has_no_margin(proof: TestClient) -> None:
    """Where all costs are 0 the subtotal is 0 and the margin null."""
    free = {"unit_cost": "0", "per": "each"}
    stone = {"unit_cost": "0", "per": "yd3"}
    asked = proof_request(prices=prices(block=free, a_cap=free, pad_stone=stone, gravel=stone))
    answer = quoted(proof, asked)
    assert answer["price"]["margin"] is None
    assert answer["price"]["total"] == "0.00"
    assert_invariants(answer)


def test_price_of_nothing_still_reaches_the_minimum(proof: TestClient) -> None:
    """Where all costs are 0 the first line carries the subtotal."""
    free = {"unit_cost": "0", "per": "each"}
    stone = {"unit_cost": "0", "per": "yd3"}
    asked = proof_request(
        prices=prices(block=free, a_cap=free, pad_stone=stone, gravel=stone),
        terms={"minimum_charge": "500"},
    )
    answer = quoted(proof, asked)
    assert [line["price"] for line in answer["price"]["lines"]] == [
        "500.00",
        "0.00",
        "0.00",
        "0.00",
    ]
    assert answer["price"]["margin"] == "1.0000"
    assert_invariants(answer)


def _bare(document: Json) -> Json:
    """What a file says, without what only a file has."""
    return {key: value for key, value in document.items() if key not in FILE_KEYS}


def test_terms_and_rates_inline_are_those_of_the_file(client: TestClient) -> None:
    """The thing itself in place of its id gives the same answer; only the source of what the
    order of work allows for is not in it."""
    terms = _bare(client.get("/v1/terms/standard").json())
    rates = _bare(client.get("/v1/production-rates/small_crew").json())
    by_id = quoted(client, shipped_request(terms="standard", rates="small_crew"))
    inline = quoted(client, shipped_request(terms=terms, rates=rates))
    for answer in (by_id, inline):
        del answer["digest"]
        answer["assumptions"] = [
            {**each, "why": ""} if each["field"].startswith("/rates/order") else each
            for each in answer["assumptions"]
        ]
    assert by_id == inline


def test_conditions_multiply_the_hours_of_their_tasks(client: TestClient) -> None:
    """By hand 1.6, curved 1.15: 20.3 h of setting are 37.352, caps' 3.48 h are 4.002."""
    conditions = {"access_ease": "by_hand", "layout": "curved"}
    answer = quoted(client, shipped_request(rates="small_crew", conditions=conditions))
    hours = {task["task"]: task["hours"] for task in answer["labor"]["tasks"]}
    assert hours["set_units"] == "37.35"
    assert hours["set_caps"] == "4.00"
    assert hours["place_pad"] == "2.12"
    taken = {a["field"] for a in answer["assumptions"] if a["field"].startswith("/conditions")}
    assert taken == {
        "/conditions/ground",
        "/conditions/lift",
        "/conditions/digging",
        "/conditions/beside_building",
    }


def test_trap_31_a_wage_carries_its_burden(client: TestClient) -> None:
    """28.00 with 42 % on it costs 39.76 an hour, by the shipped rates and prices."""
    line = line_of(quoted(client, shipped_request(rates="small_crew")), "crew_hour")
    assert (line["unit_cost"], line["per"], line["kind"]) == ("39.76", "h", "labor")


def test_trap_32_an_hour_has_not_60_working_minutes(client: TestClient) -> None:
    """58.72 h and 2.25 h for each day: 3.5 days of 19.92 h, where days of 24 h would be 3.

    Of the hours 2.07 go into the strip behind the units: 186.667 ft3 at 0.3 h per yd3; 2.40 break
    the pallets of 232 pieces at 0.010333 h. Priced are 3.5 days x 8 paid hours x 3 people = 84 h.
    """
    answer = quoted(client, shipped_request(rates="small_crew"))
    assert answer["labor"]["crew_days"] == "3.5"
    line = line_of(answer, "crew_hour")
    assert line["quantity"] == {"value": "84", "unit": "h"}
    assert line["cost"] == "3339.84"  # 84 x 39.76


def test_rates_inline_price_a_wage_of_their_own(proof: TestClient) -> None:
    """18.9 h at 6.64 worked hours a day are 3 days, 24 paid hours of 28.97 x 1.4163 = 41.030211."""
    crew = {"title": "Crew", "item": "hand", "size": 1, "paid_hours_per_day": "8"}
    rates: Json = {
        "currency": "USD",
        "crews": {"one": {**crew, "worked_share": "0.83", "wage": "28.97", "burden": "0.4163"}},
        "tasks": [
            {
                "id": "set",
                "title": "Set units",
                "crew": "one",
                "measured_by": "standard_units",
                "hours": "0.1",
                "per": "each",
            }
        ],
    }
    answer = quoted(proof, proof_request(rates=rates))
    assert answer["labor"]["labor_hours"] == "18.90"
    line = line_of(answer, "hand")
    assert (line["quantity"], line["unit_cost"]) == ({"value": "24", "unit": "h"}, "41.030211")
    assert line["cost"] == "984.73"  # 24 x 41.030211 = 984.725064
    assert "price_source" not in line
    assert_invariants(answer)


@pytest.mark.parametrize(
    ("title", "said"),
    [({"title": "Lower wall"}, "Lower wall (materials only)"), ({}, "Materials only")],
    ids=["title", "none"],
)
def test_materials_only_stands_in_the_title(client: TestClient, title: Json, said: str) -> None:
    """A quote of material alone has no labor and says so in its title."""
    asked = shipped_request(materials_only=True, rates="small_crew", terms="standard", **title)
    answer = quoted(client, asked)
    assert answer["title"] == said
    assert "labor" not in answer
    # what is bought is brought: freight and pallets come with it
    assert {line["kind"] for line in answer["price"]["lines"]} == {"material", "delivery", "fee"}
    assert answer["price"]["complete"] is False


LENGTHS = st.integers(12, 1200)


@given(first=LENGTHS, more=st.integers(0, 200), side=st.sampled_from(["outside", "inside", None]))
def test_a_longer_wall_never_costs_less(
    proof_catalog: Catalog, first: int, more: int, side: str | None
) -> None:
    """Straight, or curved on 20 ft of radius: what is longer costs as much or more."""

    def total(inches: int) -> float:
        part: Json = {"kind": "straight", "length": f"{inches} in"}
        if side:
            part = {"kind": "curve", "side": side, "radius": "20 ft", "length": f"{inches} in"}
        answer = answered(proof_request(level_wall(plan=[part]), terms=TERMS), proof_catalog)
        return float(answer["price"]["total"])

    assert total(first + more) >= total(first)


def _walls(lengths: list[int], heights: list[int]) -> list[Json]:
    pairs = zip(lengths, heights, strict=True)
    return [level_wall(f"{a} in", f"{b} in", name=f"w{i}") for i, (a, b) in enumerate(pairs)]


SIZES = st.lists(st.tuples(st.integers(20, 700), st.integers(8, 60)), min_size=2, max_size=4)


@given(sizes=SIZES, turn=st.permutations(range(4)))
def test_the_order_of_walls_changes_no_cent(
    catalog: Catalog, sizes: list[tuple[int, int]], turn: list[int]
) -> None:
    """Total, tax, every line and every wall's part are the same in any order."""
    walls = _walls([length for length, _ in sizes], [height for _, height in sizes])
    turned = [walls[index] for index in turn if index < len(walls)]
    more: dict[str, Any] = {"terms": "standard", "rates": "small_crew"}
    one = answered(shipped_request(*walls, **more), catalog)["price"]
    other = answered(shipped_request(*turned, **more), catalog)["price"]
    assert {name: one[name] for name in AMOUNTS} == {name: other[name] for name in AMOUNTS}
    for names in (("item", "cost", "price"), ("item", "quantity", "taxable")):
        lines = [[line[name] for name in names] for line in one["lines"]]
        assert lines == [[line[name] for name in names] for line in other["lines"]]
    by_wall = [{part["wall"]: part["price"] for part in price["by_wall"]} for price in (one, other)]
    assert by_wall[0] == by_wall[1]


@given(
    lengths=st.lists(st.integers(20, 700), min_size=1, max_size=3),
    rate=st.integers(0, 100),
    overhead=st.integers(0, 1000),
    margin=st.integers(0, 99),
    cents=st.lists(st.integers(0, 100_000), max_size=3),
)
def test_invariants_hold_for_any_terms(
    catalog: Catalog, lengths: list[int], rate: int, overhead: int, margin: int, cents: list[int]
) -> None:
    """Whatever the walls, terms and extras: everything adds up to the cent."""
    terms = {
        "overhead": {"share": f"{overhead / 1000}", "per_crew_day": "33.33"},
        "contingency": "0.037",
        "profit": {"margin": f"{margin / 100}"},
        "tax": {"rate": f"{rate / 100}"},
        "minimum_charge": "1234.56",
        "discount": "9.99",
    }
    extras = [
        {"description": "x", "kind": "fee", "cost": f"{value // 100}.{value % 100:02}"}
        for value in cents
    ]
    walls = _walls(lengths, [47] * len(lengths))
    more = {"terms": terms, "extras": extras, "rates": "small_crew"}
    assert_invariants(answered(shipped_request(*walls, **more), catalog))
