"""Traps that change money, on the bulk path (the ordinary path has its own tests of them)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from types import MappingProxyType

from service.core.job.machine import Hired, Machine
from service.core.job.price_list import ItemPrice, PriceList
from service.core.job.terms import Terms
from service.core.labor.hours import Labor, MachineTime
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import reprice_packed
from service.core.reprice.packed import pack_inputs
from service.core.reprice.packed_columns import price_columns
from service.core.reprice.pricing_inputs import PricingInputs, price_inputs
from service.core.takeoff.quantities import QuantityLine
from tests.given.from_stock import pipe_of_stock
from tests.given.money import bought, crew_time, labor, margin, markup, prices, tax


def amounts(
    now: PriceList,
    *lines: QuantityLine,
    terms: Terms | None = None,
    work: Labor | None = None,
) -> dict[str, Decimal]:
    """The roll-up of some lines at new prices, by the bulk path alone; they were packed at twice
    these prices."""
    inputs = PricingInputs(
        currency="USD",
        minor_places=2,
        lines=lines,
        labor=work,
        terms=terms,
        extras=(),
        wall_names=("wall-1",),
        overrides=MappingProxyType({}),
    )
    doubled = prices(
        {item: (f"{2 * held.unit_cost:f}", held.per) for item, held in now.items.items()}
    )
    packed = pack_inputs(inputs, price_inputs(inputs, doubled))
    bulk = reprice_packed([packed], price_columns(now))
    assert not bulk.ordinary[0]
    found = zip(form.AMOUNTS, bulk.amounts[0].tolist(), strict=True)
    return {name: Decimal(amount).scaleb(-2) for name, amount in found}


def test_waste_is_added_once() -> None:
    """Trap 27: an order of 42 pieces holds its waste already; it is paid as it stands."""
    found = amounts(prices({"block": ("2.00", "each")}), bought("block", "42"))
    assert found["direct_cost"] == Decimal("84.00")


def test_packs_are_paid_whole() -> None:
    """Trap 28: 2 pallets are 2 x 210.00, or their 80 pieces at 2.75 each."""
    line = bought("block", "2", "pallet", pack=("40", "each"))
    assert amounts(prices({"block": ("210.00", "pack")}), line)["total"] == Decimal("420.00")
    assert amounts(prices({"block": ("2.75", "each")}), line)["total"] == Decimal("220.00")


def test_markup_is_not_margin() -> None:
    """Trap 29: 35 % of 1000.00 as markup makes 1350.00, as margin 1538.46."""
    now = prices({"block": ("10.00", "each")})
    for profit, total in ((markup("0.35"), "1350.00"), (margin("0.35"), "1538.46")):
        found = amounts(now, bought("block", "100"), terms=Terms(profit=profit))
        assert found["total"] == Decimal(total)


def test_overhead_is_on_cost() -> None:
    """Trap 30: 10 % overhead of 1000.00 is 100.00, whatever the price comes to."""
    of = Terms(overhead_share=Decimal("0.10"), profit=markup("0.50"))
    found = amounts(prices({"block": ("10.00", "each")}), bought("block", "100"), terms=of)
    assert (found["overhead"], found["total"]) == (Decimal("100.00"), Decimal("1650.00"))


def test_labor_is_paid_with_its_burden() -> None:
    """Trap 31: hours of a wage of 28.97 that costs 41.03 with its burden are paid at 41.03."""
    work = labor(crew_time("10", hour_cost="41.03"))
    found = amounts(prices({"block": ("1.00", "each")}), work=work)
    assert found["direct_cost"] == Decimal("410.30")


def test_lines_are_rounded_and_totals_are_their_sums() -> None:
    """Trap 35: three lines of 0.502 are 0.50 each and 1.50 together, not 1.51; tax is rounded
    once, on their sum."""
    now = prices({f"item_{n}": ("0.502", "each") for n in range(3)})
    lines = [bought(f"item_{n}") for n in range(3)]
    found = amounts(now, *lines, terms=Terms(tax=tax("0.07")))
    assert found["direct_cost"] == Decimal("1.50")
    assert (found["tax"], found["total"]) == (Decimal("0.11"), Decimal("1.61"))


def test_conversion_is_within_the_product() -> None:
    """A price per yard of 2.00 for 10 ft is 6.67, not 10 x 0.67."""
    found = amounts(prices({"pipe": ("2.00", "yd")}), bought("pipe", "10", "ft", group="pipe"))
    assert found["direct_cost"] == Decimal("6.67")


def test_sums_beyond_the_bounds_go_the_ordinary_way() -> None:
    """Amounts that no 64 bits hold are never computed wrongly: the ordinary calculation has
    them."""
    inputs = PricingInputs(
        currency="USD",
        minor_places=2,
        lines=(bought("block", "999999999999"),),
        labor=None,
        terms=Terms(contingency=Decimal("0.123456"), profit=margin("0.999999")),
        extras=(),
        wall_names=("wall-1",),
        overrides=MappingProxyType({}),
    )
    now = prices({"block": ("999999999.999999", "each")})
    packed = pack_inputs(inputs, price_inputs(inputs, prices({"block": ("0.01", "each")})))
    assert reprice_packed([packed], price_columns(now)).ordinary[0]


def test_products_near_the_bounds_of_64_bits_are_exact() -> None:
    """1.840000001 mm at 500.00 a yard is 500 x 1.840000001 / 914.4 = 1.0061, so 1.01; in whole
    numbers 1840000001 x 500000000 x 5 / (10^13 x 4572): twice the first product and the second
    together pass 2^63."""
    now = prices({"pipe": ("500.00", "yd")})
    found = amounts(now, bought("pipe", "1.840000001", "mm", group="pipe"))
    assert found["direct_cost"] == Decimal("1.01")


def test_divisors_beyond_64_bits_are_exact() -> None:
    """1.000000001 kg at a millionth a ton costs nothing; in whole numbers the divisor is
    10^13 x 45359237, more than 2^64."""
    now = prices({"stone": ("0.000001", "ton")})
    found = amounts(now, bought("stone", "1.000000001", "kg", group="stone"))
    assert found["direct_cost"] == Decimal("0.00")


def hire(days: int) -> Labor:
    """A machine that is hired for some days; a week covers five."""
    hired = Hired(day_item="digger_day", week_item="digger_week", week_days=5)
    time = MachineTime(
        machine=Machine(id="one", title="One", cost=hired),
        hours=Decimal(8),
        hours_low=Decimal(8),
        hours_high=Decimal(8),
        days=days,
        loads=Decimal(0),
        shares=(("wall-1", 1.0),),
        how=(),
    )
    return replace(labor(), equipment=(time,))


def test_prices_for_one_quote_are_kept_on_the_lines_that_stand() -> None:
    """A machine is hired for a day and for no week: of four prices that the caller set, those of
    the day and of the two items are kept, though nothing of these is ordered."""
    now = prices(
        {
            "block": ("2.00", "each"),
            "cap": ("3.00", "each"),
            "digger_day": ("250.00", "day"),
            "digger_week": ("900.00", "each"),
        }
    )
    inputs = PricingInputs(
        currency="USD",
        minor_places=2,
        lines=(bought("block", "0"), bought("cap", "0")),
        labor=hire(1),
        terms=None,
        extras=(),
        wall_names=("wall-1",),
        overrides=MappingProxyType(dict(now.items)),
    )
    price = price_inputs(inputs, now)
    bulk = reprice_packed([pack_inputs(inputs, price)], price_columns(now))
    assert not bulk.ordinary[0]
    assert bulk.kept_overrides.tolist() == [3]
    assert sum(line.override for line in price.lines) == 3


def test_a_hire_whose_days_pass_64_bits_is_the_week() -> None:
    """Four days at 2^62 - 1 millionths each are 4 less than 2^64 of them, which 64 bits would hold
    for less than nothing: the week at 100.00 is cheaper."""
    now = prices({"digger_day": ("4611686018427.387903", "day"), "digger_week": ("100.00", "each")})
    found = amounts(now, work=hire(4))
    assert found["direct_cost"] == Decimal("100.00")


def ordinary(now: PriceList, line: QuantityLine, own: ItemPrice | None = None) -> bool:
    """Whether a quote of one line goes the ordinary way on a list; bought it is 2 rolls."""
    inputs = PricingInputs(
        currency="USD",
        minor_places=2,
        lines=(line,),
        labor=None,
        terms=None,
        extras=(),
        wall_names=("wall-1",),
        overrides=MappingProxyType({"pipe": own} if own else {}),
    )
    packed = pack_inputs(inputs, price_inputs(inputs, now))
    return bool(reprice_packed([packed], price_columns(now)).ordinary[0])


def test_stock_of_a_list_goes_the_ordinary_way() -> None:
    """What a list has in stock is charged by what is used, which isn't packed; also where the
    quote has a price of its own. A list that has nothing in stock goes the fast way."""
    line = pipe_of_stock()
    bare = prices({"pipe": ("2.00", "ft")})
    held = replace(bare, items={"pipe": replace(bare.items["pipe"], stock=True)})
    own = ItemPrice(unit_cost=Decimal(3), per="ft")
    assert not ordinary(bare, line)
    assert not ordinary(bare, line, own)
    assert ordinary(held, line)
    assert ordinary(held, line, own)
