"""Re-pricing worked a second way: whole fractions from the quantities that answers print.

The costs of the new list, freight by supplier, tax on purchases, the roll-up of rules 15.1 to
15.9 and the figures of an item are worked here from the printed answer alone; the service works
them from what it kept. 300 quotes at random, and not one cent apart.
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any
from unittest.mock import MagicMock

import pytest

from service.catalog import Catalog
from service.core.job.price_list import DeliveryTerms, ItemPrice, PriceList
from service.core.reprice.packed_columns import PriceColumns, price_columns
from service.core.reprice.repriced import reprice_ordinary
from service.core.rounding import EXACT
from service.operations.repricing import repricing, repricing_items
from service.operations.repricing.repricing_summary import LARGEST_CHANGES
from service.storage.saved_quotes import find_revision
from tests.given.quote_requests import Json, level_wall, shipped_request
from tests.given.repricings import draft_of, items_of, save
from tests.given.repricings import run as run_of
from tests.given.stores import Clock, sqlite_store

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

# A preview, and a write that is a large one.
FEW, QUOTES = 120, 300
FLOOR = "0.12"
LIST = "demo_2026"
# A pound is this many kilograms, exactly (NIST SP 811, appendix B.8).
KG_PER_LB = Fraction("0.45359237")
BOUGHT_NOWHERE = ("delivery_", "small_order_", "pallets_")


def dearer(catalog: Catalog, chance: random.Random, *, freight: bool) -> Catalog:
    """The shipped catalog with the next revision of its list: every cost times a factor of its
    own; other freight, minimum orders and deposits, or none."""
    entry = catalog.price_lists[LIST]
    items = {item: _dearer(price, chance) for item, price in entry.core.items.items()}
    brought = entry.core.delivery if freight else {}
    delivery = {name: _other(terms, chance) for name, terms in brought.items()}
    return _listed(
        catalog,
        revision=(entry.core.revision or 0) + 1,
        items=MappingProxyType(items),
        delivery=MappingProxyType(delivery),
    )


def _listed(catalog: Catalog, **changed: Any) -> Catalog:  # noqa: ANN401
    """The catalog with its list changed."""
    entry = catalog.price_lists[LIST]
    core = replace(entry.core, **changed)
    lists = {**catalog.price_lists, LIST: replace(entry, core=core, digest="other")}
    return replace(catalog, price_lists=MappingProxyType(lists))


def _dearer(price: ItemPrice, chance: random.Random) -> ItemPrice:
    percent = chance.randint(85, 140)
    return replace(price, unit_cost=EXACT.multiply(price.unit_cost, _cents(percent)))


def _other(terms: DeliveryTerms, chance: random.Random) -> DeliveryTerms:
    return replace(
        terms,
        per_load=_cents(chance.randint(5_000, 30_000)),
        minimum_order=_cents(chance.randint(10_000, 90_000)),
        below_minimum=_cents(chance.randint(1_000, 9_000)),
        pallet_deposit=_cents(chance.randint(0, 3_000)),
    )


def _cents(count: int) -> Any:  # noqa: ANN401  a Decimal
    return EXACT.divide(EXACT.create_decimal(count), EXACT.create_decimal(100))


def asked(chance: random.Random, number: int) -> Json:
    """A wall of material, bought and marked up in one of the ways that terms know."""
    base = chance.choice(("price", "purchase"))
    profit = chance.choice(({"markup": "0.35"}, {"margin": "0.22"}, {"margin": "0.1234"}))
    terms: Json = {
        "overhead": f"0.{chance.randint(0, 25):02d}",
        "contingency": f"0.{chance.randint(0, 9):02d}",
        "profit": profit,
        "tax": {
            "rate": chance.choice(("0.0725", "0.06", "0.08875")),
            "on": chance.choice((["material"], ["material", "delivery"], ["material", "fee"])),
            "base": base,
        },
        "deposit": "0.30",
        "currency": "USD",
    }
    if chance.random() < 0.5:
        terms["discount"] = f"{chance.randint(1, 9_000) / 100:.2f}"
    if chance.random() < 0.3:
        terms["minimum_charge"] = f"{chance.randint(1_000, 9_000)}.00"
    wall = level_wall(f"{chance.randint(12, 90)} ft", f"{chance.randint(1, 4)} ft")
    return shipped_request(wall, reference=f"job-{number}", materials_only=True, terms=terms)


def half_up(amount: Fraction, places: int = 2) -> Fraction:
    """To the minor unit; halves go away from zero."""
    scaled = abs(amount) * 10**places
    count = math.floor(scaled + Fraction(1, 2))
    return Fraction(count if amount >= 0 else -count, 10**places)


def freight(answer: Json, costs: Mapping[str, Fraction], prices: PriceList) -> list[Json]:
    """Loads, small orders and deposits of each supplier, from printed weights and pallets."""
    lines = []
    for supplier, terms in sorted(prices.delivery.items()):
        goods = [
            line
            for line in answer["quantities"]
            if line["item"] in prices.items and prices.items[line["item"]].supplier == supplier
        ]
        if not goods:
            continue
        mass = sum((Fraction(g["weight"]["value"]) for g in goods if "weight" in g), Fraction(0))
        pallets = sum(
            int(g["packs"]["value"])
            for g in goods
            if "packs" in g and g["packs"]["unit"] == "pallet"
        )
        loads = 1
        if terms.load_mass_kg is not None:
            most = half_up(Fraction(terms.load_mass_kg) / KG_PER_LB, 3)
            loads = max(loads, math.ceil(mass / most))
        if terms.load_pallets is not None:
            loads = max(loads, math.ceil(Fraction(pallets, terms.load_pallets)))
        lines.append(("delivery", loads * Fraction(terms.per_load)))
        if sum(costs[g["item"]] for g in goods) < Fraction(terms.minimum_order):
            lines.append(("fee", Fraction(terms.below_minimum)))
        if pallets and terms.pallet_deposit:
            lines.append(("fee", pallets * Fraction(terms.pallet_deposit)))
    return [{"kind": kind, "cost": half_up(cost)} for kind, cost in lines]


def costs_of(answer: Json, prices: PriceList, tax: Json) -> list[Json]:
    """The cost lines on a list: printed quantities times its costs, freight, tax on purchases."""
    lines = []
    for line in answer["price"]["lines"]:
        if line["item"].startswith(BOUGHT_NOWHERE) or line["item"] == "purchase_tax":
            continue
        unit_cost = Fraction(prices.items[line["item"]].unit_cost)
        cost = half_up(Fraction(line["quantity"]["value"]) * unit_cost)
        lines.append({"kind": line["kind"], "cost": cost, "item": line["item"]})
    by_item = {line["item"]: line["cost"] for line in lines}
    lines += freight(answer, by_item, prices)
    if tax["base"] == "purchase":
        base = sum((each["cost"] for each in lines if each["kind"] in tax["on"]), Fraction(0))
        lines.append({"kind": "fee", "cost": half_up(Fraction(tax["rate"]) * base)})
    return lines


def taxed(lines: list[Json], subtotal: Fraction, tax: Json) -> Fraction:
    """The tax on a subtotal that is spread over lines by cost, odd cents by largest remainder."""
    if tax["base"] == "purchase":
        return Fraction(0)
    whole = sum((line["cost"] for line in lines), Fraction(0))
    exact = [subtotal * line["cost"] / whole * 100 for line in lines]
    parts = [math.floor(each) for each in exact]
    left = int(subtotal * 100) - sum(parts)
    order = sorted(range(len(parts)), key=lambda at: (parts[at] - exact[at], at))
    for at in order[:left]:
        parts[at] += 1
    on = [part for part, line in zip(parts, lines, strict=True) if line["kind"] in tax["on"]]
    return half_up(Fraction(tax["rate"]) * Fraction(sum(on), 100))


def rolled(lines: list[Json], terms: Json) -> dict[str, Fraction]:
    """The roll-up of some cost lines (rules 15.2 to 15.9)."""
    direct = sum((line["cost"] for line in lines), Fraction(0))
    overhead = half_up(direct * Fraction(terms["overhead"]))
    cost = direct + overhead + half_up((direct + overhead) * Fraction(terms["contingency"]))
    profit = terms["profit"]
    if "markup" in profit:
        gain = half_up(cost * Fraction(profit["markup"]))
    else:
        share = Fraction(profit["margin"])
        gain = half_up(cost * share / (1 - share))
    before = cost + gain - Fraction(terms.get("discount", "0"))
    subtotal = max(before, Fraction(terms.get("minimum_charge", "0")))
    total = subtotal + taxed(lines, subtotal, terms["tax"])
    return {"cost": cost, "subtotal": subtotal, "total": total}


def expected(answer: Json, prices: PriceList, terms: Json) -> dict[str, str]:
    """What an item says, from the printed answer."""
    lines = costs_of(answer, prices, terms["tax"])
    new = rolled(lines, terms)
    old = {name: Fraction(answer["price"][name]) for name in ("subtotal", "total", "margin")}
    old_cost = sum(
        (Fraction(answer["price"][name]) for name in ("direct_cost", "overhead", "contingency")),
        Fraction(0),
    )
    held = half_up(new["cost"] / (1 - old["margin"]))
    return {
        "new_subtotal": _text(new["subtotal"], 2),
        "new_total": _text(new["total"], 2),
        "new_margin": _text(half_up((new["subtotal"] - new["cost"]) / new["subtotal"], 4), 4),
        "margin_at_old_price": _text(
            half_up((old["subtotal"] - new["cost"]) / old["subtotal"], 4), 4
        ),
        "price_to_hold_margin": _text(held, 2),
        "total_to_hold_margin": _text(held + taxed(lines, held, terms["tax"]), 2),
        "lost": _text(new["cost"] - old_cost, 2),
    }


def _text(amount: Fraction, places: int) -> str:
    count = int(amount * 10**places)
    sign, count = ("-" if count < 0 else ""), abs(count)
    return f"{sign}{count // 10**places}.{count % 10**places:0{places}d}"


def one_by_one(prices: PriceList) -> PriceColumns:
    """Columns that hold no item, so that every quote goes the ordinary way."""
    return price_columns(replace(prices, items={}))


@pytest.mark.parametrize("freight", [True, False], ids=["freight", "no freight"])
@pytest.mark.parametrize("columns", [price_columns, one_by_one], ids=["at once", "one by one"])
def test_repricing_agrees_with_a_second_method(
    catalog: Catalog,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    columns: Callable[[PriceList], PriceColumns],
    *,
    freight: bool,
) -> None:
    """120 quotes with and without freight, with minimum charges, discounts, margins and tax on
    purchases: every figure of every item, those under the floor, and the sums of the run; in
    columns and in the ordinary way, and in columns none goes the ordinary way."""
    ordinary = MagicMock(side_effect=reprice_ordinary)
    monkeypatch.setattr(repricing, "price_columns", columns)
    monkeypatch.setattr(repricing_items, "reprice_ordinary", ordinary)
    chance = random.Random(20260504)  # noqa: S311  repeatable
    before = catalog if freight else _listed(catalog, delivery=MappingProxyType({}))
    after = dearer(before, chance, freight=freight)
    requests = {f"job-{n}": asked(chance, n) for n in range(FEW)}
    with sqlite_store(tmp_path, Clock()) as store:
        for request in requests.values():
            save(store, draft_of(before, request))
        run = run_of(store, after, price_list=LIST, margin_floor=FLOOR)
        items = items_of(store, run.id)
        answers = {}
        with store.read() as connection:
            for item in items:
                saved = find_revision(connection, item["id"], 1)
                assert saved is not None
                answers[item["reference"]] = json.loads(saved.answer)
    assert (run.counts.done, run.counts.failed) == (FEW, 0)
    assert ordinary.call_count == (FEW if columns is one_by_one else 0)
    prices, under = after.price_lists[LIST].core, 0
    for item in items:
        terms = requests[item["reference"]]["terms"]
        figures = expected(answers[item["reference"]], prices, terms)
        assert {name: item[name] for name in figures} == figures, item["reference"]
        below = Fraction(figures["margin_at_old_price"]) < Fraction(FLOOR)
        assert item["under_margin"] is below
        under += below
    assert 0 < under < FEW
    assert run.counts.under_margin == under
    assert Fraction(run.summary.new_total) == sum(Fraction(i["new_total"]) for i in items)
    assert len(run.summary.largest_changes) == LARGEST_CHANGES


def test_written_repricing_agrees_with_a_second_method(catalog: Catalog, tmp_path: Path) -> None:
    """300 drafts with freight that a run writes at once: the totals that it tells, and those of
    the answers that are made after, are what a second method finds."""
    chance = random.Random(20260505)  # noqa: S311  repeatable
    after = dearer(catalog, chance, freight=True)
    prices = after.price_lists[LIST].core
    requests = [asked(chance, n) for n in range(QUOTES)]
    with sqlite_store(tmp_path, Clock()) as store:
        ids = [save(store, draft_of(catalog, request)) for request in requests]
        preview = run_of(store, after, price_list=LIST)
        run = run_of(store, after, mode="write", preview=preview.id)
        assert (run.counts.done, run.counts.failed) == (QUOTES, 0)
        items = {item["id"]: item for item in items_of(store, run.id)}
        with store.read() as connection:
            for quote_id, request in zip(ids, requests, strict=True):
                old, new = (find_revision(connection, quote_id, n) for n in (1, 2))
                assert old is not None
                assert new is not None
                figures = expected(json.loads(old.answer), prices, request["terms"])
                price = json.loads(new.answer)["price"]
                assert items[quote_id]["new_total"] == figures["new_total"] == price["total"]
                assert price["margin"] == figures["new_margin"]
