"""Saved quotes of 25 lines in any number, and what else a re-pricing could be made of.

The quotes are invented; a few hundred different ones are repeated.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from types import MappingProxyType

import numpy as np
from sqlalchemy import insert

from service.catalog import Catalog, load_catalog
from service.core.job.price_list import DeliveryTerms, ItemPrice, PriceList
from service.core.job.section import Group
from service.core.job.terms import Profit, Tax, Terms
from service.core.reprice import packed_format as form
from service.core.reprice.packed import pack_inputs
from service.core.reprice.packed_columns import Ints, PackedColumns, PriceColumns
from service.core.reprice.pricing_inputs import PricingInputs, price_inputs
from service.storage import Connection, Store
from service.storage.kept_inputs import keep_inputs
from service.storage.quote_tables import QUOTE, QUOTE_REVISION
from service.storage.repricing_tables import QUOTE_PRICING
from tests.given.money import bought, crew_time, labor

LINES = 25
DIFFERENT = 200
AT_ONCE = 5_000
GROUPS: tuple[Group, ...] = ("units", "stone", "pipe", "fabric", "adhesive", "reinforcement")
TERMS = Terms(
    overhead_share=Decimal("0.10"),
    contingency=Decimal("0.05"),
    profit=Profit(basis="margin", share=Decimal("0.18")),
    tax=Tax(rate=Decimal("0.0725"), on=("material",)),
    deposit=Decimal("0.30"),
)


# What two suppliers ask to bring what their prices name.
DELIVERY = {
    name: DeliveryTerms(
        per_load=Decimal(per_load),
        load_mass_kg=9000.0,
        load_pallets=10,
        minimum_order=Decimal(600),
        below_minimum=Decimal(35),
        pallet_deposit=Decimal(18),
    )
    for name, per_load in (("Plant", 95), ("Quarry", 140))
}


def price_list(revision: int, factor: str, *, freight: bool = False) -> PriceList:
    """Two hundred materials and a crew; with `freight` two suppliers bring the materials."""
    chance = random.Random(7)  # noqa: S311
    items = {
        f"item_{n:03}": ItemPrice(
            unit_cost=(Decimal(chance.randint(50, 90_000)) / 1000 * Decimal(factor)).quantize(
                Decimal("0.000001")
            ),
            per="each",
            supplier=("Plant", "Quarry")[n % 2] if freight else None,
        )
        for n in range(200)
    }
    items["crew_hour"] = ItemPrice(unit_cost=Decimal("41.37"), per="h")
    return PriceList(
        currency="USD",
        minor_places=2,
        items=items,
        id="yard_2026",
        revision=revision,
        delivery=DELIVERY if freight else {},
    )


def catalog_with(prices: PriceList) -> Catalog:
    """The shipped catalog and one more price list."""
    catalog = load_catalog(())
    entry = replace(next(iter(catalog.price_lists.values())), core=prices)
    lists = MappingProxyType({**catalog.price_lists, "yard_2026": entry})
    return replace(catalog, price_lists=lists)


def quote_inputs(seed: int) -> PricingInputs:
    """One quote: 24 materials and a crew."""
    chance = random.Random(seed)  # noqa: S311
    chosen = sorted(chance.sample(range(200), LINES - 1))
    lines = tuple(
        replace(
            bought(
                f"item_{item:03}",
                f"{chance.randint(1, 90_000) / 100:.2f}",
                group=GROUPS[at * len(GROUPS) // (LINES - 1)],
            ),
            weight_kg=chance.uniform(5, 4000),
            packs=(chance.randint(1, 4), "pallet") if at % 4 == 0 else None,
        )
        for at, item in enumerate(chosen)
    )
    return PricingInputs(
        currency="USD",
        minor_places=2,
        lines=lines,
        labor=labor(crew_time(f"{chance.randint(100, 9000) / 100:.2f}", days="4.5", people="2")),
        terms=TERMS,
        extras=(),
        wall_names=("wall-1",),
        overrides=MappingProxyType({}),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Quotes, the prices they were made on, and those that hold now."""

    inputs: tuple[PricingInputs, ...]
    packed: tuple[bytes, ...]
    whole: tuple[bytes, ...]
    before: PriceList
    now: PriceList


def season(seed: int = 0, *, freight: bool = False) -> Season:
    """A few hundred different quotes; another seed makes others."""
    before, now = (price_list(n, by, freight=freight) for n, by in ((1, "1"), (2, "1.043")))
    inputs = tuple(quote_inputs(seed * DIFFERENT + n) for n in range(DIFFERENT))
    packed = tuple(pack_inputs(each, price_inputs(each, before)) for each in inputs)
    whole = tuple(one + keep_inputs(each) for one, each in zip(packed, inputs, strict=True))
    return Season(inputs=inputs, packed=packed, whole=whole, before=before, now=now)


def fill(store: Store, of: Season, count: int, *, document: bytes, whole: bool) -> None:
    """Keep so many quotes as the service would; with `whole` each with its own pricing inputs."""
    for first in range(0, count, AT_ONCE):
        with store.write() as connection:
            _fill(connection, of, range(first, min(first + AT_ONCE, count)), document, whole=whole)


def _fill(
    connection: Connection, of: Season, numbers: range, document: bytes, *, whole: bool
) -> None:
    kept = [n % DIFFERENT for n in numbers]
    connection.execute(insert(QUOTE), [_quote_row(n) for n in numbers])
    connection.execute(
        insert(QUOTE_REVISION),
        [
            _revision_row(n, document, of.whole[at] if whole else None)
            for n, at in zip(numbers, kept, strict=True)
        ],
    )
    connection.execute(
        insert(QUOTE_PRICING),
        [
            {"quote_id": f"q{n:09d}", "revision": 1, "packed": of.packed[at]}
            for n, at in zip(numbers, kept, strict=True)
        ],
    )


def _quote_row(number: int) -> dict[str, object]:
    return {
        "id": f"q{number:09d}",
        "number": number + 1,
        "state": "draft",
        "current_revision": 1,
        "latest_revision": 1,
        "draft_revision": 1,
        "created_at": 0,
        "updated_at": 0,
    }


def _revision_row(number: int, document: bytes, pricing: bytes | None) -> dict[str, object]:
    row: dict[str, object] = dict.fromkeys(column.name for column in QUOTE_REVISION.c)
    return row | {
        "quote_id": f"q{number:09d}",
        "revision": 1,
        "state": "draft",
        "engine_version": "1",
        "catalog_version": "0" * 64,
        "price_list": "yard_2026",
        "price_list_revision": 1,
        "digest": f"{number:064x}",
        "answer_digest": "0" * 64,
        "title_folded": "",
        "reference": f"job-{number}",
        "currency": "USD",
        "minor_places": 2,
        "total_minor": 1,
        "subtotal_minor": 1,
        "cost_minor": 1,
        "complete": True,
        "materials_only": False,
        "created_at": 0,
        "request": b'{"prices":{"price_list":"yard_2026"}}',
        "answer": document,
        "pricing": pricing,
    }


def plain_numpy(of: PackedColumns, prices: PriceColumns) -> Ints:
    """The roll-up with line spreading as one would write it for these quotes alone: no units, no
    overrides, no hire, no bounds."""
    at = np.searchsorted(prices.keys, of.lines["item"])
    product = of.lines["amount"] * prices.cost[at]
    scale = 10 ** (of.lines["places"].astype(np.int64) + 4)
    cost = (2 * product + scale) // (2 * scale)
    direct = np.add.reduceat(cost, of.start)
    overhead = (2 * direct * 10 + 100) // 200
    contingency = (2 * (direct + overhead) * 5 + 100) // 200
    whole = direct + overhead + contingency
    subtotal = whole + (2 * whole * 18 + 82) // 164
    spread = cost * subtotal[of.quote]
    cut = spread // direct[of.quote]
    rest = spread - cut * direct[of.quote]
    left = subtotal - np.add.reduceat(cut, of.start)
    ranked = np.lexsort((-rest, of.quote))
    rank = np.arange(len(ranked)) - of.start[of.quote]
    cut[ranked[rank < left[of.quote]]] += 1
    taxed = np.add.reduceat(np.where(of.lines["kind"] == 0, cut, 0), of.start)
    tax = (2 * taxed * 725 + 10_000) // 20_000
    totals: Ints = subtotal + tax
    return totals


CENT = Decimal("0.01")


def plain_decimal(inputs: PricingInputs, prices: PriceList) -> Decimal:
    """The same in a plain loop over Decimals."""
    costs = _plain_costs(inputs, prices)
    direct = sum((cost for cost, _ in costs), Decimal(0))
    subtotal = _rolled(direct)
    cents = int(subtotal * 100)
    parts = [divmod(int(cost * 100) * cents, int(direct * 100)) for cost, _ in costs]
    left = cents - sum(part for part, _ in parts)
    odd = sorted(range(len(parts)), key=lambda at: (-parts[at][1], at))[:left]
    taxed = sum(
        part + (at in odd)
        for at, ((part, _), (_, is_taxed)) in enumerate(zip(parts, costs, strict=True))
        if is_taxed
    )
    tax = (Decimal(taxed) / 100 * TERMS.tax.rate).quantize(CENT, ROUND_HALF_UP)
    return subtotal + tax


def plain_subtotal(inputs: PricingInputs, prices: PriceList) -> Decimal:
    """What it comes to before tax."""
    return _rolled(sum((cost for cost, _ in _plain_costs(inputs, prices)), Decimal(0)))


def _plain_costs(inputs: PricingInputs, prices: PriceList) -> list[tuple[Decimal, bool]]:
    """The cost of each line, and whether it is taxed."""
    costs: list[tuple[Decimal, bool]] = []
    for line in inputs.lines:
        cost = line.order * prices.items[line.item].unit_cost
        costs.append((cost.quantize(CENT, ROUND_HALF_UP), True))
    for crew in inputs.labor.crews if inputs.labor else ():
        cost = crew.paid_hours * prices.items[crew.item].unit_cost
        costs.append((cost.quantize(CENT, ROUND_HALF_UP), False))
    return costs


def _rolled(direct: Decimal) -> Decimal:
    overhead = (direct * TERMS.overhead_share).quantize(CENT, ROUND_HALF_UP)
    contingency = ((direct + overhead) * TERMS.contingency).quantize(CENT, ROUND_HALF_UP)
    whole = direct + overhead + contingency
    share = TERMS.profit.share
    return whole + (whole * share / (1 - share)).quantize(CENT, ROUND_HALF_UP)


def rows(of: Season, count: int) -> list[tuple[int, int, int, int]]:
    """Lines as rows of a table: quote, item, amount in hundredths, taxed."""
    names = {item: at for at, item in enumerate(of.now.items)}
    return [
        (quote, names[item], amount, taxed)
        for quote in range(count)
        for item, amount, taxed in _lines(of.inputs[quote % DIFFERENT])
        if item in names
    ]


def _lines(inputs: PricingInputs) -> list[tuple[str, int, int]]:
    crews = inputs.labor.crews if inputs.labor else ()
    return [
        *((line.item, int(line.order * 100), 1) for line in inputs.lines),
        *((crew.item, int(crew.paid_hours * 100), 0) for crew in crews),
    ]


def document_of(folder: Path) -> bytes:
    """An answer of a real quote, to be shared."""
    return max(folder.glob("*.response.json"), key=lambda file: file.stat().st_size).read_bytes()


PACKED_BYTES = form.HEADER.itemsize + LINES * form.LINE.itemsize
