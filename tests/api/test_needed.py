"""What is stated of water is priced or named, and what the answer calls for is listed."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from tests.given.quote_requests import (
    Json,
    level_wall,
    line_of,
    proof_request,
    quoted,
    shipped_request,
)

WATER: Json = {"outlet": "daylight", "run": "40 ft", "fall": "2 %", "downspouts_above": 2}
BARE: Json = {"profit": {"markup": "0.20"}}
# catalog/sections/plain_gravity.toml, drain_pipe.outlet_length
OUTLET_FT = 4.0


def dug_wall() -> Json:
    """A wall of 40 ft, 3 ft exposed, against ground that stands 2 ft over the lower side."""
    wall = level_wall(
        exposed="3 ft", existing_slope="4:1", graded_in_front="5 ft", graded_behind="12 ft"
    )
    for entry in wall["profile"]:
        entry["existing_grade"] = "2 ft"
    return wall


def wet_job(**more: object) -> Json:
    """A dug wall with a run of 40 ft, two downspouts and a spring."""
    request = shipped_request(
        dug_wall(),
        soils={"retained": "loam"},
        water=WATER,
        site={"seen": ["spring"]},
        rates="small_crew",
        terms="standard",
    )
    return {**request, **more}


def needed(answer: Json) -> dict[str, str]:
    """What is needed and not priced, and by what it comes in."""
    return {each["what"]: each["by"] for each in answer["price"]["needed_not_priced"]}


def parts(answer: Json) -> list[str]:
    """Parts that the total leaves out."""
    return [gap["part"] for gap in answer["price"]["not_priced"]]


def net_of(answer: Json, item: str) -> float:
    """Net quantity of an item, 0 where it is not bought."""
    return sum(float(q["net"]["value"]) for q in answer["quantities"] if q["item"] == item)


def tasks(answer: Json) -> dict[str, float]:
    """Quantity by task of labor."""
    return {each["task"]: float(each["quantity"]["value"]) for each in answer["labor"]["tasks"]}


def test_shipped_terms_price_what_is_stated_of_water(client: TestClient) -> None:
    """40 ft of run and its end by site work, two downspouts at 95.00, the spring named."""
    answer = quoted(client, wet_job())
    done = tasks(answer)
    assert (done["drain_outlet_run"], done["drain_outlet_end"]) == (40.0, 1.0)
    downspouts = line_of(answer, "extra_1")
    assert downspouts["cost"] == "190.00"
    assert downspouts["description"] == "Downspout led past the wall"
    assert needed(answer)["spring"] == "/terms/brings/spring"
    assert not {"run", "downspouts"} & needed(answer).keys()
    assert (answer["price"]["complete"], parts(answer)) == (True, [])


def test_run_takes_the_place_of_one_outlets_pipe(client: TestClient) -> None:
    """Solid pipe in place is that of the run and of every outlet but one."""
    dry = quoted(client, wet_job(water={"outlet": "daylight"}))
    wet = quoted(client, wet_job())
    outlets = net_of(dry, "outlet_pipe")
    assert outlets >= OUTLET_FT
    assert net_of(wet, "outlet_pipe") == pytest.approx(40.0 + outlets - OUTLET_FT, abs=1e-6)


def test_stated_run_without_a_price_leaves_the_quote_incomplete(client: TestClient) -> None:
    """Terms that bring nothing in: the run is `drainage`, the outlets keep their pipe."""
    dry = quoted(client, wet_job(water={"outlet": "daylight"}))
    answer = quoted(client, wet_job(terms=BARE))
    assert (answer["price"]["complete"], parts(answer)) == (False, ["drainage"])
    assert {"downspouts", "spring"} <= needed(answer).keys()
    assert "run" not in needed(answer)
    assert net_of(answer, "outlet_pipe") == net_of(dry, "outlet_pipe")


@pytest.mark.parametrize(
    "more",
    [
        {"excluded": ["run"]},
        {"excluded": ["drainage"]},
        {"site_work": [{"task": "drain_outlet_run", "quantity": "35 ft"}]},
        {"extras": [{"description": "Run", "kind": "subcontract", "cost": "600", "for": "run"}]},
    ],
    ids=["excluded", "drainage", "own-task", "extra"],
)
@pytest.mark.parametrize("terms", ["standard", BARE], ids=["brings", "bare"])
def test_run_that_the_request_carries_is_not_brought_in(
    client: TestClient, more: Json, terms: object
) -> None:
    """A task of its own, an extra for it or an exclusion: nothing is added, nothing is missing."""
    answer = quoted(client, wet_job(terms=terms, **more))
    assert tasks(answer).get("drain_outlet_run", 0.0) == (35.0 if "site_work" in more else 0.0)
    assert "drain_outlet_end" not in tasks(answer)
    assert answer["price"]["complete"] is True


def test_what_is_excluded_is_named_as_left_out(client: TestClient) -> None:
    """On purpose, by the request; it is never called for as well."""
    listed = quoted(client, wet_job(excluded=["spring", "drainage"]))["price"]["needed_not_priced"]
    left_out = [each for each in listed if each["by"] == "/excluded"]
    assert [each["what"] for each in left_out] == ["spring", "drainage"]
    assert all(each["text"].startswith("Left out on purpose") for each in left_out)
    assert [each["what"] for each in listed].count("spring") == 1


def test_needs_are_those_of_cautions_without_a_sum(client: TestClient) -> None:
    """A wall of 6 ft under a path calls for permit, engineer and guard; sums or extras cover."""
    tall = level_wall(exposed="6 ft", above=[{"what": "path", "from": "1 ft"}])
    listed = needed(quoted(client, shipped_request(tall, terms="standard")))
    assert listed["permit"] == "/terms/allowances/permit-height"
    assert listed["engineering"].startswith("/terms/allowances/engineer-")
    assert listed["guard"].startswith("/terms/allowances/guard-")
    held = needed(quoted(client, shipped_request(tall, terms="with_allowances")))
    assert not {"permit", "engineering"} & held.keys()
    fence: Json = {"description": "Fence", "kind": "subcontract", "cost": "900", "for": "guard"}
    assert "guard" not in needed(quoted(client, shipped_request(tall, extras=[fence])))


def test_surface_is_needed_where_ground_is_dug_and_left_bare(client: TestClient) -> None:
    """Seed or sod among the site work covers it; where nothing is dug nothing is bare."""
    assert needed(quoted(client, wet_job()))["surface"] == "/site_work"
    seeded = wet_job(site_work=[{"task": "seed_and_blanket", "quantity": "200 ft2"}])
    assert "surface" not in needed(quoted(client, seeded))
    assert "surface" not in needed(quoted(client, shipped_request()))


def test_freight_is_needed_without_delivery_terms(proof: TestClient) -> None:
    """Inline costs say nothing of freight, and an extra for it covers it."""
    assert needed(quoted(proof, proof_request()))["freight"] == "price list: delivery"
    truck: Json = {"description": "Truck", "kind": "delivery", "cost": "90", "for": "freight"}
    assert "freight" not in needed(quoted(proof, proof_request(extras=[truck])))


def test_freight_names_the_goods_that_nobody_delivers(client: TestClient) -> None:
    """Yards bring blocks and stone; pipe, fabric and adhesive have no supplier."""
    listed = quoted(client, wet_job())["price"]["needed_not_priced"]
    (text,) = [each["text"] for each in listed if each["what"] == "freight"]
    assert text.startswith("Not included: freight of Drain pipe, 4 in")
    assert "Filter fabric" in text
    assert not any(word in text for word in ("Terrace block", "crushed stone", "fill", "the goods"))


def test_material_alone_brings_no_sum_for_a_caution(client: TestClient) -> None:
    """The permit's fee of the terms goes with the work; who buys blocks alone doesn't pay it."""
    whole = quoted(client, wet_job(terms="with_allowances"))
    assert "Building permit, by height" in descriptions(whole)
    alone = quoted(client, wet_job(terms="with_allowances", materials_only=True))
    assert "permit-height" in {each["code"] for each in alone["cautions"]}
    assert "Building permit, by height" not in descriptions(alone)


def descriptions(answer: Json) -> list[str]:
    """What the price lines say."""
    return [line["description"] for line in answer["price"]["lines"]]


def test_material_alone_lists_its_freight_only(client: TestClient) -> None:
    """Whoever buys material gets permit, guard and seed elsewhere."""
    answer = quoted(client, wet_job(materials_only=True))
    assert needed(answer).keys() <= {"freight", "pallets"}
