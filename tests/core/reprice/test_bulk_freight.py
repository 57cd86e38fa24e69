"""Freight of many quotes at once, against freight that is worked a second way, in decimals."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, localcontext
from types import MappingProxyType

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.job.machine import Machine, Owned
from service.core.job.price_list import DeliveryTerms, ItemPrice, PriceList
from service.core.job.terms import Profit, Tax, Terms
from service.core.labor.hours import MachineTime
from service.core.price.price import Price
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import BulkPrices, reprice_packed
from service.core.reprice.packed import pack_inputs
from service.core.reprice.packed_columns import price_columns
from service.core.reprice.pricing_inputs import PricingInputs, price_inputs
from service.core.takeoff.quantities import QuantityLine
from tests.given.money import bought, labor
from tests.given.random_quotes import (
    decimals,
    delivered,
    price_lists,
    price_or_none,
    pricing_inputs,
    sellers,
)

# Loads closer than this to a whole number are whole (RULES 16.1).
CLOSE = Decimal("0.0000001")
TERMS = DeliveryTerms(
    per_load=Decimal(95),
    load_mass_kg=1000.0,
    load_pallets=4,
    minimum_order=Decimal(500),
    below_minimum=Decimal(35),
    pallet_deposit=Decimal(12),
)


def freight_of(price: Price, inputs: PricingInputs, prices: PriceList) -> Decimal:
    """Every supplier's loads, small order and deposits, in decimals alone."""
    costs = {line.item: line.cost for line in price.lines if line.kind == "material"}
    total = Decimal(0)
    for supplier, terms in prices.delivery.items():
        goods = [line for line in price.bought if _seller(line, inputs, prices) == supplier]
        if goods:
            total += sum(_sums(goods, costs, terms, prices.minor_places), Decimal(0))
    return total


def _seller(line: QuantityLine, inputs: PricingInputs, prices: PriceList) -> str | None:
    if line.stock or line.kind != "material":
        return None
    own = inputs.overrides.get(line.item)
    if own is not None and own.supplier is not None:
        return own.supplier
    return prices.items[line.item].supplier if line.item in prices.items else None


def _sums(
    goods: list[QuantityLine], costs: Mapping[str, Decimal], terms: DeliveryTerms, places: int
) -> Iterator[Decimal]:
    mass = sum((Decimal(line.weight_kg or 0) for line in goods), Decimal(0))
    pallets = sum(line.packs[0] for line in goods if line.packs and line.packs[1] == "pallet")
    loads = Decimal(1)
    if terms.load_mass_kg is not None:
        loads = max(loads, _up(mass / Decimal(terms.load_mass_kg) - CLOSE))
    if terms.load_pallets is not None:
        loads = max(loads, _up(Decimal(pallets) / terms.load_pallets))
    yield _money(loads * terms.per_load, places)
    if sum(costs[line.item] for line in goods) < terms.minimum_order:
        yield _money(terms.below_minimum, places)
    yield _money(pallets * terms.pallet_deposit, places)


def _up(count: Decimal) -> Decimal:
    return count.to_integral_value(ROUND_CEILING)


def _money(amount: Decimal, places: int) -> Decimal:
    return amount.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def delivery_cost(bulk: BulkPrices, at: int, places: int) -> Decimal:
    """What the group of deliveries costs."""
    column = form.GROUP_CODES.index("delivery")
    return Decimal(int(bulk.cost_by_group[at, column])).scaleb(-places)


@given(st.data())
def test_reprice_packed_counts_freight_as_decimals_do(data: st.DataObject) -> None:
    """What the terms of suppliers add to a list without them is their loads, small orders and
    deposits, worked in decimals from what is ordered."""
    places = data.draw(st.sampled_from([0, 2, 2, 3]))
    inputs = data.draw(pricing_inputs(places))
    prices = data.draw(price_lists(places, 2, spoiled=False, freight=True, stock=True))
    bare = replace(prices, delivery={})
    price = price_or_none(inputs, prices)
    if price is None:
        return
    packed = [pack_inputs(inputs, price)]
    with_freight = reprice_packed(packed, price_columns(prices))
    without = reprice_packed(packed, price_columns(bare))
    if with_freight.ordinary[0]:
        return
    assert not without.ordinary[0]
    with localcontext(prec=60):
        added = delivery_cost(with_freight, 0, places) - delivery_cost(without, 0, places)
        assert added == freight_of(price, inputs, prices)


@given(st.data())
def test_reprice_packed_counts_freight_the_fast_way(data: st.DataObject) -> None:
    """A quote on a list with delivery terms goes the fast way as on the same list without them,
    if no price of its own names a supplier; packed before weights were, it goes the ordinary way,
    and where nothing is to be brought it doesn't."""
    drawn = data.draw(pricing_inputs(2))
    own = {item: replace(held, supplier=None) for item, held in drawn.overrides.items()}
    inputs = replace(drawn, overrides=MappingProxyType(own))
    bare = data.draw(price_lists(2, 1, spoiled=False))
    items = {item: replace(held, supplier="Plant") for item, held in bare.items.items()}
    prices = replace(bare, items=items, delivery={"Plant": data.draw(delivered)})
    price = price_or_none(inputs, prices)
    if price is None:
        return
    packed = pack_inputs(inputs, price)
    fast = not reprice_packed([packed], price_columns(bare)).ordinary[0]
    assert reprice_packed([packed], price_columns(prices)).ordinary[0] == (not fast)
    before = reprice_packed([b"\x02" + packed[1:]], price_columns(prices))
    brought = any(line.kind == "material" and not line.stock for line in price.bought)
    assert before.ordinary[0] == (not fast or brought)


@given(sellers, decimals(1, 90, 2))
def test_reprice_packed_leaves_named_sellers_to_the_ordinary_way(
    seller: str | None, cost: Decimal
) -> None:
    """A price of its own moves goods to the supplier that it names: that quote goes the ordinary
    way, one whose price names nobody doesn't."""
    own = {"block": ItemPrice(unit_cost=cost, per="each", supplier=seller)}
    bulk = bulk_of(inputs_of(("block", 10.0, 1), overrides=own), listed("block"))
    assert bulk.ordinary[0] == (seller is not None)


def inputs_of(
    *goods: tuple[str, float, int], overrides: Mapping[str, ItemPrice] | None = None
) -> PricingInputs:
    """A quote of ten of each of some items, of a weight in kg and on so many pallets."""
    lines = tuple(
        replace(bought(item, "10"), weight_kg=mass, packs=(pallets, "pallet"))
        for item, mass, pallets in goods
    )
    return PricingInputs(
        currency="USD",
        minor_places=2,
        lines=lines,
        labor=None,
        terms=None,
        extras=(),
        wall_names=("wall-1",),
        overrides=MappingProxyType(dict(overrides or {})),
    )


def listed(*items: str, **terms: object) -> PriceList:
    """A list of items at 60 each, which one supplier brings."""
    held = {name: ItemPrice(unit_cost=Decimal(60), per="each", supplier="Plant") for name in items}
    delivery = {"Plant": replace(TERMS, **terms)}  # type: ignore[arg-type]
    return PriceList(currency="USD", minor_places=2, items=held, id="y", delivery=delivery)


def bulk_of(inputs: PricingInputs, prices: PriceList) -> BulkPrices:
    """One quote in columns."""
    return reprice_packed(
        [pack_inputs(inputs, price_inputs(inputs, prices))], price_columns(prices)
    )


def test_reprice_packed_freight_by_hand() -> None:
    """Goods of 600 that weigh 2,400.5 kg, on five pallets: three loads by weight, two by pallets,
    so three at 95; no small order; five deposits of 12: 285 + 60. On nine pallets 900 kg are three
    loads, too. Deposits of a millionth on 10,000 pallets are a cent. Goods of 600 below a minimum
    of 600.01 are a small order, at 600 they aren't."""
    bulk = bulk_of(inputs_of(("block", 2400.5, 5)), listed("block"))
    assert delivery_cost(bulk, 0, 2) == Decimal("345.00")
    stacked = bulk_of(inputs_of(("block", 900.0, 9)), listed("block"))
    assert delivery_cost(stacked, 0, 2) == Decimal(3 * 95 + 9 * 12)
    fine = listed("block", pallet_deposit=Decimal("0.000001"), load_pallets=None)
    assert delivery_cost(bulk_of(inputs_of(("block", 900.0, 10_000)), fine), 0, 2) == Decimal(
        "95.01"
    )
    small = bulk_of(
        inputs_of(("block", 900.0, 0)), listed("block", minimum_order=Decimal("600.01"))
    )
    assert delivery_cost(small, 0, 2) == Decimal(95 + 35)
    enough = bulk_of(inputs_of(("block", 900.0, 0)), listed("block", minimum_order=Decimal(600)))
    assert delivery_cost(enough, 0, 2) == Decimal(95)


def test_reprice_packed_leaves_the_edge_of_a_load_to_the_ordinary_way() -> None:
    """Three weights whose sum is a whole load and a ten-millionth of one, where a sum of floats
    decides, go the ordinary way; a hair on either side they don't. Of 50,000 loads a hair is as
    much longer as their sum is less sure."""
    edge, far = 1000.0 * (1 + 1e-7), 1000.0 * (50_000 + 1e-7)
    near = ((edge, True), (edge + 1.5e-8, False), (edge - 1.5e-8, False))
    for mass, ordinary in (*near, (far + 1e-6, True), (far + 1e-3, False)):
        parts = [("a", mass / 3, 0), ("b", mass / 3, 0), ("c", mass / 3, 0)]
        assert bulk_of(inputs_of(*parts), listed("a", "b", "c")).ordinary[0] == ordinary


def test_reprice_packed_leaves_odd_terms_to_the_ordinary_way() -> None:
    """Terms finer than a millionth, or of sums beyond the integers, go the ordinary way: from ten
    million a load, ten trillion of a minimum order."""
    inputs = inputs_of(("block", 10.0, 1))
    most = ("per_load", "10000000"), ("minimum_order", "10000000000000")
    odd = (*most, ("per_load", "0.0000001"), ("pallet_deposit", "10000000"))
    even = ("per_load", "9999999.999999"), ("minimum_order", "9999999999999.99")
    for terms, ordinary in ((odd, True), (even, False)):
        for name, amount in terms:
            prices = listed("block", **{name: Decimal(amount)})
            assert bulk_of(inputs, prices).ordinary[0] == ordinary


def test_reprice_packed_leaves_the_many_loads_to_the_ordinary_way() -> None:
    """More than 100,000 loads or pallets of one quote go the ordinary way, and its neighbors the
    fast one."""
    for pallets, ordinary in ((100_000, False), (100_001, True)):
        assert bulk_of(inputs_of(("block", 10.0, pallets)), listed("block")).ordinary[0] == ordinary
    prices = listed("block")
    many, few = (inputs_of(("block", mass, 1)) for mass in (2e8 + 500, 10.0))
    packed = [pack_inputs(each, price_inputs(each, prices)) for each in (many, few)]
    bulk = reprice_packed(packed, price_columns(prices))
    assert bulk.ordinary.tolist() == [True, False]
    assert delivery_cost(bulk, 1, 2) == Decimal(95 + 12)


@pytest.mark.parametrize(("fewer", "ordinary"), [(7, False), (6, True), (1, True)])
def test_reprice_packed_keeps_quotes_apart_that_have_too_many_lines(
    fewer: int, ordinary: bool
) -> None:
    """A quote of so many lines that those of two suppliers, three each, can't be counted among
    them goes the ordinary way, and its neighbors keep their amounts."""
    plain = listed("block", minimum_order=Decimal(0))
    items = {"block": replace(plain.items["block"], unit_cost=Decimal(6))}
    prices = replace(plain, items=items, delivery={**plain.delivery, "Quarry": TERMS})
    terms = Terms(
        profit=Profit(basis="markup", share=Decimal("0.1")), tax=Tax(rate=Decimal(1), on=("fee",))
    )
    inputs = replace(inputs_of(("block", 10.0, 1)), terms=terms)
    packed = pack_inputs(inputs, price_inputs(inputs, prices))
    header = np.frombuffer(packed, form.HEADER, count=1).copy()
    size, count = form.HEADER.itemsize, form.NO_LINE - fewer
    header["lines"] = count
    line = packed[size : size + form.LINE.itemsize]
    long = header.tobytes() + line * count + packed[size + form.LINE.itemsize :]
    bulk = reprice_packed([long, packed], price_columns(prices))
    assert bulk.ordinary.tolist() == [ordinary, False]
    assert delivery_cost(bulk, 1, 2) == Decimal(95 + 12)
    assert bulk.amounts[1, form.AMOUNTS.index("tax")] == 1320  # on the deposit with its profit


def test_reprice_packed_brings_nothing_that_the_list_does_not_name() -> None:
    """Goods of their own price that aren't in the list, between others that are, or in a list of
    nothing, are brought by nobody; stone is counted in its own group."""
    own = {"m": ItemPrice(unit_cost=Decimal(7), per="each")}
    inputs = inputs_of(("m", 10.0, 1), overrides=own)
    inputs = replace(inputs, lines=tuple(replace(each, group="stone") for each in inputs.lines))
    for prices in (listed("a", "z"), listed()):
        bulk = bulk_of(inputs, prices)
        assert not bulk.ordinary[0]
        assert delivery_cost(bulk, 0, 2) == 0
        assert bulk.cost_by_group[0, form.GROUP_CODES.index("stone")] == 7000
    stone = inputs_of(("a", 10.0, 1))
    stone = replace(stone, lines=tuple(replace(each, group="stone") for each in stone.lines))
    bulk = bulk_of(stone, listed("a"))
    assert bulk.cost_by_group[0, form.GROUP_CODES.index("stone")] == 60000
    assert delivery_cost(bulk, 0, 2) == Decimal(95 + 12)


def test_reprice_packed_brings_nothing_from_stock() -> None:
    """What comes from stock nobody brings, and it is no part of an order."""
    stocked = replace(bought("block", "10"), weight_kg=5000.0, packs=(9, "pallet"), stock=True)
    one = inputs_of(("a", 10.0, 1))
    alone, both = replace(one, lines=(stocked,)), replace(one, lines=(*one.lines, stocked))
    prices = listed("a", "block", minimum_order=Decimal(601))
    assert delivery_cost(bulk_of(alone, prices), 0, 2) == 0
    assert delivery_cost(bulk_of(both, prices), 0, 2) == Decimal(95 + 35 + 12)


@pytest.mark.parametrize(
    ("item", "asked", "tax"),
    [
        pytest.param("brought", {"pallet_deposit": 1}, 100, id="before a deposit"),
        pytest.param("z", {"pallet_deposit": 1}, 101, id="after a deposit"),
        pytest.param("q", {"below_minimum": 1, "minimum_order": 1}, 100, id="before a small order"),
        pytest.param(None, {"per_load": 1, "pallet_deposit": 1}, 100, id="loads before a deposit"),
    ],
)
def test_reprice_packed_spreads_odd_cents_in_the_order_of_names(
    item: str | None, asked: Mapping[str, int], tax: int
) -> None:
    """What is brought for 1.00 stands before a fee of 1.00 that has a later name, so that of a
    subtotal of 2.01 the odd cent falls on it, and a tax of everything on fees is 1.00."""
    terms = Terms(
        profit=Profit(basis="markup", share=Decimal("0.005")), tax=Tax(rate=Decimal(1), on=("fee",))
    )
    inputs = replace(inputs_of(("block", 1.0, 1)), labor=labor(), terms=terms)
    costs = {"block": ("0", "each"), "own_day": ("0", "day")}
    if item is not None:
        costs |= {item: ("1", "each")}
        inputs = replace(inputs, labor=replace(labor(), equipment=(time_of(item),)))
    items = {
        each: ItemPrice(unit_cost=Decimal(cost), per=per, supplier="Plant")
        for each, (cost, per) in costs.items()
    }
    sums = ("per_load", "minimum_order", "below_minimum", "pallet_deposit")
    free = {name: Decimal(asked.get(name, 0)) for name in sums}
    bulk = bulk_of(inputs, replace(listed(**free), items=items))
    amounts = dict(zip(form.AMOUNTS, bulk.amounts[0].tolist(), strict=True))
    assert (amounts["direct_cost"], amounts["subtotal"]) == (200, 201)
    assert amounts["tax"] == tax


def time_of(delivery_item: str) -> MachineTime:
    """A day of a machine that is brought once."""
    machine = Machine(
        id="one", title="One", cost=Owned(day_item="own_day"), delivery_item=delivery_item
    )
    return MachineTime(
        machine=machine,
        hours=Decimal(1),
        hours_low=Decimal(1),
        hours_high=Decimal(1),
        days=1,
        loads=Decimal(0),
        shares=(("wall-1", 1.0),),
        how=(),
    )
