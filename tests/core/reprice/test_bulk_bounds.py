"""Where the integers of the roll-up end, on both sides, what is spread, and quotes beside each
other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.job.machine import Hired
from service.core.job.price_list import PriceList
from service.core.job.terms import Kind, Tax, Terms
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import reprice_packed
from service.core.reprice.packed import pack_inputs
from service.core.reprice.packed_columns import price_columns
from service.core.reprice.pricing_inputs import PricingInputs, price_inputs
from service.core.reprice.repriced import reprice_ordinary, repriced_each
from service.core.rounding import EXACT
from tests.core.reprice.test_bulk_freight import bulk_of, delivery_cost, listed
from tests.core.reprice.test_bulk_freight import inputs_of as goods_of
from tests.core.reprice.test_bulk_traps import hire
from tests.core.reprice.test_packed_limits import inputs_of
from tests.given.money import bought, crew_time, extra, labor, markup, prices, tax

NOTHING = prices({})
# A share whose numerator is 2^30: times as many cents it is 2^60.
LARGE = Decimal(2**43).scaleb(-13)
# By ten thousand this many cents are just below 2^60.
MOST_CENTS = 2**60 // 10_000


def sums(*cents: int, terms: Terms | None = None) -> PricingInputs:
    """A quote of sums as they stand."""
    costs = (f"{Decimal(each).scaleb(-2):f}" for each in cents)
    return inputs_of(extras=tuple(extra(cost) for cost in costs), terms=terms)


def is_ordinary(inputs: PricingInputs, now: PriceList = NOTHING) -> bool:
    """Whether a quote goes the ordinary way; what goes the fast one comes to the same there."""
    packed = pack_inputs(inputs, price_inputs(inputs, now))
    (found,) = repriced_each(reprice_packed([packed], price_columns(now)))
    assert found is None or found == reprice_ordinary(inputs, packed, now)
    return found is None


def test_a_share_of_2_60_goes_the_ordinary_way() -> None:
    """2^30 cents by a share of 2^30 / 5^13 go the ordinary way, a cent less the fast one."""
    terms = Terms(contingency=LARGE)
    assert is_ordinary(sums(2**30, terms=terms))
    assert not is_ordinary(sums(2**30 - 1, terms=terms))


def test_a_share_and_a_sum_of_2_60_go_the_ordinary_way() -> None:
    """2^29 cents by 2^30 / 5^13 are 2^59 of these parts, and 5,000,000.00 for days are more than
    that; 4,000,000.00 are less."""
    for per_day, ordinary in ((5_000_000, True), (4_000_000, False)):
        terms = Terms(overhead_share=LARGE, overhead_per_crew_day=Decimal(per_day))
        job = replace(sums(2**29, terms=terms), labor=replace(labor(), crew_days=Decimal(1)))
        assert is_ordinary(job) is ordinary


def test_a_share_by_2_60_goes_the_ordinary_way() -> None:
    """A share that is divided by 2^60 goes the ordinary way, one by 2^53 x 5^3 the fast one."""
    for whole, ordinary in ((2**60, True), (2**53 * 5**3, False)):
        terms = Terms(contingency=EXACT.divide(Decimal(1), Decimal(whole)))
        assert is_ordinary(sums(100, terms=terms)) is ordinary


def test_cost_and_margin_by_ten_thousand_stay_below_2_60() -> None:
    """A cost of 1,152,921,504,606.84, or that much over a cost, goes the fast way, and a cent more
    the ordinary one."""
    goods = inputs_of(bought("a"), bought("b"))
    for more, ordinary in ((0, False), (1, True)):
        half, least = (Decimal(cents).scaleb(-2) for cents in (MOST_CENTS // 2, MOST_CENTS + more))
        costs = {"a": (f"{half:f}", "each"), "b": (f"{least - half:f}", "each")}
        assert is_ordinary(goods, prices(costs)) is ordinary
        assert is_ordinary(sums(0, terms=Terms(minimum_charge=least))) is ordinary


@pytest.mark.parametrize(
    ("taxed", "ordinary"),
    [
        (tax("0.08", "material"), True),
        (tax("0.08"), False),
        (tax("0", "material"), False),
        (Tax(rate=Decimal("0.08"), on=()), False),
        (replace(tax("0.08", "material"), base="purchase"), False),
    ],
)
def test_only_what_is_spread_is_held_to_the_bound_of_spreading(taxed: Tax, ordinary: bool) -> None:
    """20,000,000.00 of cost by as much of price pass 2^61, which matters to a tax on some kinds of
    the price alone."""
    assert is_ordinary(sums(2 * 10**9, terms=Terms(tax=taxed))) is ordinary


def test_a_spread_of_2_61_goes_the_fast_way() -> None:
    """2^30 cents of cost by 2^31 of price, and no cent more."""
    terms = Terms(profit=markup("1"), tax=tax("0.08", "material"))
    for cents, ordinary in ((2**30, False), (2**30 + 1, True)):
        assert is_ordinary(sums(cents, terms=terms)) is ordinary


def neighbors() -> list[PricingInputs]:
    """Quotes of all sorts: of stone alone, of one line and of many, mostly taxed or mostly not,
    with prices of their own and hired machines, and two that can't be packed."""
    roll = bought("d", "2", "roll", pack=("50", "ft"), group="pipe")
    goods = [bought("a"), bought("b"), bought("c", group="stone"), roll]
    part = Terms(profit=markup("0.105"), tax=tax("1", "material"))
    rest = replace(part, tax=tax("1", "fee", "labor"))
    paid = replace(part, tax=replace(part.tax, base="purchase"))
    irregular = inputs_of(bought("a"), extras=(extra("12.345"),))
    own = {"b": prices({"b": ("7.77", "each")}).items["b"]}
    fees = (extra("3.33"), extra("0.01"))
    work = replace(hire(7), crews=(crew_time("10", hour_cost="31.11"),))
    (time,) = hire(3).equipment
    cost = Hired(day_item="digger_day", week_item=None, week_days=5)
    by_day = replace(hire(3), equipment=(replace(time, machine=replace(time.machine, cost=cost)),))
    return [
        inputs_of(goods[2], terms=part),
        inputs_of(*goods, terms=part, extras=fees, overrides=own, work=work),
        irregular,
        inputs_of(*goods, terms=rest, extras=fees[:1], work=by_day),
        inputs_of(goods[1], terms=part, overrides=own),
        inputs_of(*goods[1:], terms=paid, extras=fees, work=work),
        inputs_of(*goods[:2], terms=Terms(profit=markup("0.105"), tax=tax("0.0825"))),
        inputs_of(*goods, terms=part, extras=fees, overrides=own, work=by_day),
        irregular,
    ]


@pytest.mark.parametrize("turned", [False, True])
def test_quotes_beside_each_other_are_priced_as_each_alone(turned: bool) -> None:
    """Each of them comes to what the ordinary way makes of it, in whatever order they stand."""
    costs = {"a": "1.01", "b": "2.03", "c": "3.07", "digger_week": "900.01"}
    by_piece = {item: (cost, "each") for item, cost in costs.items()}
    now = prices({**by_piece, "d": ("5.11", "ft"), "digger_day": ("250.03", "day")})
    asked = neighbors()[::-1] if turned else neighbors()
    plain = inputs_of(bought("a"))
    packed = []
    for each in asked:
        irregular = each.extras and each.extras[0].cost == Decimal("12.345")
        packed.append(pack_inputs(each, price_inputs(plain if irregular else each, now)))
    dearer = {item: replace(held, unit_cost=held.unit_cost * 2) for item, held in now.items.items()}
    later = replace(now, items=dearer)
    found = list(repriced_each(reprice_packed(packed, price_columns(later))))
    assert [each is None for each in found] == [
        len(each.lines) == 1 and not each.terms for each in asked
    ]
    for one, inputs, kept in zip(found, asked, packed, strict=True):
        assert one is None or one == reprice_ordinary(inputs, kept, later)


@pytest.mark.parametrize(("brought", "between"), [(False, 12), (True, 129)])
def test_groups_are_told_apart_over_quotes_without_lines(*, brought: bool, between: int) -> None:
    """A quote of stone, many that can't be packed, and one of units, which is as many groups
    further back as there are quotes of thirteen groups between: its lines are its own, where
    nobody brings them and where freight (group 10) comes last in the first one."""
    irregular = inputs_of(bought("a"), extras=(extra("12.345"),))
    stone, units = inputs_of(bought("c", group="stone")), inputs_of(bought("a"))
    now = listed("a", "c")
    now = now if brought else replace(now, delivery={})
    price = price_inputs(units, now)
    packed = [pack_inputs(each, price) for each in (stone, *[irregular] * between, units)]
    bulk = reprice_packed(packed, price_columns(now))
    none = [0] * (between + 1)
    assert bulk.cost_by_group[:, form.GROUP_CODES.index("stone")].tolist() == [6000, *none]
    assert bulk.cost_by_group[:, form.GROUP_CODES.index("units")].tolist() == [*none, 6000]


@pytest.mark.parametrize(
    ("least", "kind", "cents"),
    [
        ("6.02", "fee", 201),
        ("6.02", "material", 401),
        ("6.00", "fee", 200),
    ],
)
def test_an_odd_cent_falls_on_the_largest_remainder(least: str, kind: Kind, cents: int) -> None:
    """6.02 over 3.00 and 1.00 of material and a fee of 2.00 is 3.01, 1.00 1/3 and 2.00 2/3: the odd
    cent falls on the fee, not on the dearest line. What is taxed is taxed once more."""
    terms = Terms(minimum_charge=Decimal(least), tax=tax("1", kind))
    inputs = inputs_of(bought("a"), bought("b"), extras=(extra("2.00"),), terms=terms)
    now = prices({"a": ("3.00", "each"), "b": ("1.00", "each")})
    assert not is_ordinary(inputs, now)
    bulk = reprice_packed([pack_inputs(inputs, price_inputs(inputs, now))], price_columns(now))
    assert bulk.amounts[0, form.AMOUNTS.index("tax")] == cents


def test_one_line_carries_all_that_is_spread() -> None:
    """A fee of 7.00 alone is taxed with 7.00, by itself and beside goods that aren't taxed."""
    terms = Terms(tax=tax("1", "fee"))
    now = prices({"a": ("3.00", "each"), "b": ("1.00", "each")})
    fee, goods = sums(700, terms=terms), inputs_of(bought("a"), bought("b"), terms=terms)
    packed = [pack_inputs(each, price_inputs(each, now)) for each in (fee, goods, goods)]
    for many in (1, 3):
        bulk = reprice_packed(packed[:many], price_columns(now))
        assert bulk.amounts[:, form.AMOUNTS.index("tax")].tolist() == [700, 0, 0][:many]


def test_overhead_is_held_in_parts_of_its_share_and_its_days() -> None:
    """50 % of 10.00, and 0.01 a day for a fifth of a day: 5.002, so 5.00; without a crew the days
    cost nothing."""
    terms = Terms(overhead_share=Decimal("0.5"), overhead_per_crew_day=Decimal("0.01"))
    alone = sums(1000, terms=replace(terms, overhead_per_crew_day=Decimal(100)))
    short = replace(sums(1000, terms=terms), labor=replace(labor(), crew_days=Decimal("0.2")))
    for inputs in (alone, short):
        packed = pack_inputs(inputs, price_inputs(inputs, NOTHING))
        bulk = reprice_packed([packed], price_columns(NOTHING))
        assert bulk.amounts[0, form.AMOUNTS.index("overhead")] == 500


def test_fuel_of_two_machines_is_one_line() -> None:
    """8 h and 4 h of fuel at 4.00 are 48.00, beside two weeks of what is hired."""
    (first,) = hire(5).equipment
    machine = replace(first.machine, fuel_item="fuel")
    times = (replace(first, machine=machine), replace(first, machine=machine, hours=Decimal(4)))
    now = prices({"digger_day": ("250", "day"), "digger_week": ("900", "each"), "fuel": ("4", "h")})
    inputs = inputs_of(work=replace(labor(), equipment=times))
    assert not is_ordinary(inputs, now)
    assert price_inputs(inputs, now).total == Decimal(1848)


def test_freight_that_is_free_stays_so_and_a_minimum_is_rounded_up() -> None:
    """Ten thousand pallets without a deposit leave none. Goods of 600.00 are below 600.005."""
    free = listed("block", pallet_deposit=Decimal(0), load_pallets=None)
    assert delivery_cost(bulk_of(goods_of(("block", 900.0, 10_000)), free), 0, 2) == Decimal(95)
    small = listed("block", minimum_order=Decimal("600.005"))
    assert delivery_cost(bulk_of(goods_of(("block", 900.0, 0)), small), 0, 2) == Decimal(95 + 35)


def test_keys_that_begin_alike_are_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of three keys that share their first bits each is found, and no fourth one."""
    keys: Mapping[str, int] = {"block": 1, "cap": 2, "pipe": 3, "stone": 4}
    monkeypatch.setattr(form, "item_key", keys.__getitem__)
    now = prices({item: (f"{key}.00", "each") for item, key in keys.items() if item != "stone"})
    for item in now.items:
        assert not is_ordinary(inputs_of(bought(item)), now)
    stone = inputs_of(bought("stone"))
    packed = pack_inputs(stone, price_inputs(stone, prices({"stone": ("1", "each")})))
    assert reprice_packed([packed], price_columns(now)).ordinary[0]
