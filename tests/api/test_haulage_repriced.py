"""What trucks carry, priced by volume, by weight and by the load: quoted, and priced again."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

import pytest

from service.storage import Store
from tests.given.catalogs import shipped_catalog
from tests.given.list_office import ListOffice, without_stamps
from tests.given.quote_requests import Json
from tests.given.served import client_over
from tests.given.stores import ON_SQLITE

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

CARRIED = ("haul_off", "import_fill", "tip_sod", "tip_concrete")
# Every unit in turn, by volume and weight in both unit sets, and the load; then the first again.
TURNS = ("yd3", "load", "m3", "ton", "ft3", "t", "lb", "kg", "yd3")
# One yard, meter or ton of 2000 lb in SI (NIST SP 811, 2008, App. B).
SI = {"yd3": 0.9144**3, "m3": 1.0, "ton": 907.18474, "t": 1000.0}


def listed(per: str) -> Json:
    """What trucks carry, paid per one unit, dear enough for a hundredth of it to show."""
    return {item: {"unit_cost": "1234.57", "per": per} for item in CARRIED}


def request(units: str = "us", **more: object) -> Json:
    """A terrace that is backfilled with other soil than was dug, beside a slab that goes."""
    wall: Json = {
        "name": "edge",
        "plan": [{"kind": "straight", "length": "43 ft"}],
        "profile": [
            {"station": "0 ft", "top": "4 ft", "front_grade": "0 ft", "existing_grade": "3 ft"},
            {"station": "end", "top": "4 ft", "front_grade": "0 ft"},
        ],
        "graded_in_front": "3 ft",
        "graded_behind": "12 ft",
    }
    return {
        "units": units,
        "wall_system": "terrace_8in",
        "section": "plain_gravity",
        "soils": {"retained": "loam", "fill": "sand_gravel"},
        "walls": [wall],
        "site_work": [
            {"task": "strip_sod", "quantity": "517 ft2"},
            {"task": "remove_concrete", "quantity": "311 ft2"},
        ],
        "rates": "small_crew",
        "terms": "standard",
        "prices": {"price_list": "quarry"},
        **more,
    }


def derived(units: str = "us") -> Json:
    """The same, 7 ft high, by wheelbarrow, its topsoil stripped and spread by a task: courses in
    two bands of height, sod that isn't stripped again, topsoil that leaves."""
    asked = request(units, access={"distance": "60 ft", "narrowest_passage": "30 in"})
    (wall,) = asked["walls"]
    wall["profile"] = [{**entry, "top": "7 ft"} for entry in wall["profile"]]
    asked["topsoil"] = {"strip": "6 in", "replace": "2 in"}
    asked["site_work"].append({"task": "spread_topsoil", "quantity": "1 yd3"})
    return asked


@pytest.fixture
def office(store: Store) -> Iterator[ListOffice]:
    """An office over an empty store."""
    with client_over(shipped_catalog(), store) as client:
        yield ListOffice(client, "quarry")


def order(answer: Json, item: str) -> tuple[Decimal, str]:
    """How much of an item is ordered."""
    (line,) = (line for line in answer["quantities"] if line["item"] == item)
    return Decimal(line["order"]["value"]), line["order"]["unit"]


def hundredths(amount: float) -> Decimal:
    """An amount rounded up to 0.01, by exact decimals of its twelve first digits."""
    exact = Decimal(f"{amount:.12g}")
    return exact.quantize(Decimal("0.01"), rounding=ROUND_CEILING).normalize()


@ON_SQLITE
@pytest.mark.parametrize("asked", [request(), request("metric"), derived()])
def test_a_saved_quote_priced_again_is_a_fresh_quote(office: ListOffice, asked: Json) -> None:
    """Whatever units the old and the new list price by, the preview's total and the written answer
    are those of a quote that is asked for on the new list: orders, arithmetic and assumptions."""
    office.publish(listed(TURNS[0]))
    saved = office.save(asked)
    assert without_stamps(office.latest(saved)[0]) == without_stamps(office.quote(asked))
    for per in TURNS[1:]:
        office.publish(listed(per))
        office.reprice_as_fresh(saved, asked)


@ON_SQLITE
@pytest.mark.parametrize("per", ["yd3", "m3", "ton", "t"])
def test_soil_is_ordered_in_the_unit_of_its_price(office: ListOffice, per: str) -> None:
    """Soil by volume is its loose volume, by weight its mass, in the price's own unit, rounded up
    to a hundredth of it."""
    office.publish(listed(per))
    answer = office.quote(request("metric"))
    for item, part in (("haul_off", "haul_off"), ("import_fill", "import")):
        volume = float(answer["earthwork"][part]["value"])  # m3, nine digits
        (line,) = (line for line in answer["quantities"] if line["item"] == item)
        mass = float(line["weight"]["value"])  # kg, nine digits
        amount = (volume if per.endswith("3") else mass) / SI[per]
        assert order(answer, item) == (hundredths(amount), per)
        (priced,) = (line for line in answer["price"]["lines"] if line["item"] == item)
        assert (priced["quantity"]["unit"], priced["per"]) == (per, per)
        exact = hundredths(amount) * Decimal("1234.57")
        assert Decimal(priced["cost"]) == exact.quantize(Decimal("0.01"), ROUND_HALF_UP)


@ON_SQLITE
def test_soil_by_the_load_is_whole_loads(office: ListOffice) -> None:
    """A load of the truck is at most 6 yd3 and at most 7 ton; haul-off, import and what is tipped
    are counted apart.

    Sod: 517 ft2 x 0.25 ft3 = 4.787 yd3, x 1900 lb = 4.548 ton: one load. Concrete: 311 ft2 x 50 lb
    = 7.775 ton, / 2400 lb = 6.479 yd3: two loads.
    """
    office.publish(listed("load"))
    answer = office.quote(request())
    for item, tipped in (("haul_off", 0), ("import_fill", 0), ("tip_sod", 1), ("tip_concrete", 2)):
        (line,) = (line for line in answer["quantities"] if line["item"] == item)
        tons = float(line["weight"]["value"]) / 2000
        loads = max(math.ceil(tons / 7), math.ceil(float(line["net"]["value"]) / 6))
        assert order(answer, item) == (Decimal(tipped or loads), "load")
        assert not [a for a in answer["assumptions"] if item in a["field"]]


@ON_SQLITE
@pytest.mark.parametrize("per", ["yd3", "load", "ton"])
def test_weight_is_what_trucks_carry(office: ListOffice, per: str) -> None:
    """However it is paid, what leaves and what is brought weighs what lies on the trucks, not what
    the order is rounded to, and `how` says so (rule 11.4).

    Sod: 517 ft2 x 3 in = 129.25 ft3 of 1900 lb/yd3, ordered by the half yard: 5 yd3 would be
    9500 lb. Concrete: 311 ft2 x 50 lb, ordered by 0.1 ton. Soil lies loose: loam of 80 pcf leaves,
    sand and gravel of 102.7 pcf come.
    """
    office.publish(listed(per))
    answer = office.quote(request())
    loose = {
        part: float(answer["earthwork"][part]["value"]) * 27 for part in ("haul_off", "import")
    }
    carried = {
        "haul_off": loose["haul_off"] * 80,
        "import_fill": loose["import"] * 102.7,
        "tip_sod": 129.25 / 27 * 1900,
        "tip_concrete": 311 * 50.0,
    }
    for item, pounds in carried.items():
        (line,) = (line for line in answer["quantities"] if line["item"] == item)
        assert float(line["weight"]["value"]) == pytest.approx(pounds, rel=1e-8)
        words = f"weight as trucks carry it {pounds:.6g} lb (rule 11.4)"
        assert [how for how in line["how"] if how.endswith(words)], line["how"]


@ON_SQLITE
def test_loads_need_a_truck(office: ListOffice) -> None:
    """Without rates no truck says what a load is: a price by the load is refused with what is
    missing, fresh and where a saved quote would be priced again."""
    asked = request(site_work=[])
    del asked["rates"]
    office.publish(listed("yd3"))
    saved = office.save(asked)
    office.publish(listed("load"))
    refused = office.client.post("/v1/quotes", json=asked)
    codes = {(fault["code"], fault["pointer"]) for fault in refused.json()["errors"]}
    assert (refused.status_code, codes) == (422, {("truck-missing", "/rates")})
    shown = office.reprice()
    assert (shown["outcome"], shown["problem"]["code"]) == ("failed", "truck-missing")
    assert office.client.get(f"{saved}/revisions/latest").json()["revision"] == 1
