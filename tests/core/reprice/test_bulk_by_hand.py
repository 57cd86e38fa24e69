"""The roll-up of packed quotes by hand, and what the old margin means at the new cost."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from service.core.job.machine import Hired, Machine, Owned
from service.core.job.price_list import ItemPrice, PriceList
from service.core.job.terms import Terms
from service.core.labor.hours import Labor
from service.core.measure import UNITS
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import reprice_packed
from service.core.reprice.packed import pack_inputs
from service.core.reprice.packed_columns import price_columns, read_columns
from service.core.reprice.packed_header import packed_again, packed_size
from service.core.reprice.pricing_inputs import PricingInputs, price_inputs
from service.core.reprice.repriced import Repriced, margin_at, reprice_ordinary, repriced_each
from service.core.takeoff.haulage import Haulage, Loads
from service.core.takeoff.quantities import QuantityLine
from tests.core.reprice.test_bulk_traps import hire
from tests.core.reprice.test_packed_limits import inputs_of
from tests.given.from_stock import pipe_of_stock
from tests.given.money import bought, crew_time, extra, labor, markup, prices, tax

BEFORE = prices({"block": ("5.00", "each")})
NOW = prices({"block": ("7.00", "each")})
# 10 % of cost and 20.00 for a day of the crew, 5 %, 20 % and 8 % of what falls on material.
TERMS = Terms(
    overhead_share=Decimal("0.10"),
    overhead_per_crew_day=Decimal(20),
    contingency=Decimal("0.05"),
    profit=markup("0.20"),
    tax=tax("0.08", "material"),
    discount=Decimal("23.80"),
    minimum_charge=Decimal(1200),
    deposit=Decimal("0.25"),
)
WORK = labor(crew_time("10", days="1.5", hour_cost="30.00"))
JOB = inputs_of(bought("block", "100"), work=WORK, terms=TERMS)


def both_ways(inputs: PricingInputs, before: PriceList, now: PriceList) -> Repriced:
    """A quote at new prices, by columns and by the ordinary way, which agree."""
    packed = pack_inputs(inputs, price_inputs(inputs, before))
    (found,) = repriced_each(reprice_packed([packed], price_columns(now)))
    assert found is not None
    assert found == reprice_ordinary(inputs, packed, now)
    return found


def is_ordinary(inputs: PricingInputs, now: PriceList, before: PriceList | None = None) -> bool:
    """Whether a quote goes the ordinary way at new prices."""
    packed = pack_inputs(inputs, price_inputs(inputs, before or now))
    return bool(reprice_packed([packed], price_columns(now)).ordinary[0])


def total(*lines: QuantityLine, now: PriceList, work: Labor | None = None) -> int:
    """What lines and work come to at new prices, in cents."""
    return both_ways(inputs_of(*lines, work=work), now, now).new_total


def test_roll_up_by_hand() -> None:
    """100 blocks at 7.00 and 10 h at 30.00 are 1000.00. Overhead 100 + 30, contingency 5 % of
    1130, profit 20 % of 1186.50, less 23.80: 1400.00. Seven tenths of it are material: 8 % of
    980.00 is 78.40; a quarter of 1478.40 is the deposit. At 5.00 it was 800.00, + 110, 45.50,
    191.10, - 23.80, and 77.20 to reach 1200.00, 5 / 8 of it material."""
    found = both_ways(JOB, BEFORE, NOW)
    new = (100_000, 13_000, 5_650, 23_730, 2_380, 0, 140_000, 7_840, 147_840, 36_960)
    old = (80_000, 11_000, 4_550, 19_110, 2_380, 7_720, 120_000, 6_000, 126_000, 31_500)
    assert (found.new, found.old) == (new, old)
    assert [found.new_by_group[form.GROUP_CODES.index(of)] for of in ("units", "labor")] == [
        70_000,
        30_000,
    ]


def test_margins_by_hand() -> None:
    """Of 1400.00 the new cost of 1186.50 leaves 15.25 %, of the old 1200.00 it leaves 1.125 %; of
    those the old cost of 955.50 left 20.375 %, told as 20.38 %. That over the new cost is 1186.50 /
    0.7962 = 1490.20, and with 8 % of the 1043.14 for material 1573.65."""
    found = both_ways(JOB, BEFORE, NOW)
    assert (found.old_margin, found.new_margin, found.margin_at_old_price) == (2038, 1525, 113)
    assert found.lost == 118_650 - 95_550
    assert (found.price_to_hold_margin, found.total_to_hold_margin) == (149_020, 157_365)
    under = [found.under(floor) for floor in (None, Fraction(113, 10_000), Fraction(114, 10_000))]
    assert under == [False, False, True]
    assert not replace(found, margin_at_old_price=None).under(Fraction(1, 2))


def test_margins_at_their_edges() -> None:
    """A cent that costs a cent has a margin of 0; what was free has none to hold, and what gets
    free is held at 0, also where all of a price is taxed once more. An old price of 5.00 for what
    costs 8.00 leaves -60 %."""
    cent, free, dear = (prices({"block": (cost, "each")}) for cost in ("0.01", "0", "8.00"))
    one = inputs_of(bought("block"), terms=Terms(tax=tax("1")))
    found = both_ways(one, cent, free)
    assert (found.old_margin, found.price_to_hold_margin, found.total_to_hold_margin) == (0, 0, 0)
    assert both_ways(one, free, cent).new_margin == 0
    assert both_ways(one, free, cent).price_to_hold_margin is None
    held = reprice_packed([pack_inputs(one, price_inputs(one, free))], price_columns(cent))
    assert held.price_to_hold_margin.tolist() == held.total_to_hold_margin.tolist() == [-1]
    assert both_ways(one, BEFORE, dear).margin_at_old_price == -6000
    assert (margin_at(0, 5), margin_at(1, 1), margin_at(500, 800)) == (None, 0, -6000)


def test_tax_on_what_is_bought_is_a_cost() -> None:
    """8 % of 700.00 of material are 56.00 among the fees, whatever else stands beside it; the
    price is not taxed. A tax on no kind is none, at any rate."""
    paid = replace(tax("0.08", "material"), base="purchase")
    job = replace(JOB, terms=Terms(tax=paid), extras=(extra("12.34"), extra("0.01")))
    found = both_ways(job, BEFORE, NOW)
    assert found.new[0] == found.new_total == 70_000 + 30_000 + 5_600 + 1_235
    assert found.new_by_group[form.GROUP_CODES.index("fees")] == 5_600
    assert found.kept_overrides == 0
    whole = replace(job, terms=Terms(tax=replace(paid, rate=Decimal(1))))
    assert both_ways(whole, BEFORE, NOW).new[0] == 2 * 70_000 + 30_000 + 1_235
    all_kinds = replace(tax("1"), base="purchase")
    assert both_ways(replace(JOB, terms=Terms(tax=all_kinds)), BEFORE, NOW).new[0] == 200_000
    none = replace(tax("1"), on=())
    assert both_ways(replace(JOB, terms=Terms(tax=none)), BEFORE, NOW).new_total == 100_000


@pytest.mark.parametrize(
    ("days", "day", "week", "cents"),
    [
        (1, "250", "900", 25_000),
        (3, "250", "900", 75_000),
        (4, "250", "900", 90_000),
        (5, "250", "900", 90_000),
        (6, "1000", "900", 180_000),
        (7, "250", "900", 140_000),
        (9, "250", "900", 180_000),
    ],
)
@pytest.mark.parametrize("names", [("digger_day", "digger_week"), ("z_day", "a_week")])
def test_hire_is_the_cheapest_mix(
    names: tuple[str, str], days: int, day: str, week: str, cents: int
) -> None:
    """A week covers five days: four days and more are a week, seven are a week and two days, nine
    are two weeks; where a day costs more than a week, six are two weeks."""
    (time,) = hire(days).equipment
    cost = Hired(day_item=names[0], week_item=names[1], week_days=5)
    work = replace(labor(), equipment=(replace(time, machine=replace(time.machine, cost=cost)),))
    now = prices({names[0]: (day, "day"), names[1]: (week, "each")})
    assert total(now=now, work=work) == cents


def test_hire_by_the_day_alone_and_where_both_cost_the_same() -> None:
    """Seven days without a rate by the week are 1750.00. Five days at 180.00 cost as much as a week
    at 900.00: they are days, and the price of the week that the caller set is on no line."""
    (time,) = hire(7).equipment
    alone = replace(time.machine, cost=Hired(day_item="digger_day", week_item=None, week_days=5))
    work = replace(labor(), equipment=(replace(time, machine=alone),))
    now = prices({"digger_day": ("250", "day"), "digger_week": ("900", "each")})
    assert total(now=now, work=work) == 175_000
    own = {"digger_week": now.items["digger_week"]}
    even = prices({"digger_day": ("180", "day")})
    found = both_ways(inputs_of(work=hire(5), overrides=own), even, even)
    assert (found.new_total, found.kept_overrides) == (90_000, 0)


@pytest.mark.parametrize(
    ("content", "unit", "cost", "per", "cents"),
    [
        ("50", "ft", "3.00", "yd", 10_000),  # 100 ft are 33.33 yd
        ("20", "yd", "0.50", "ft", 6_000),  # 40 yd are 120 ft
        ("50", "ft", "0.70", "ft", 7_000),
        ("50", "ft", "9.00", "pack", 1_800),
        ("50", "ft", "9.00", "roll", 1_800),
    ],
)
def test_packs_are_paid_by_what_is_in_them(
    content: str, unit: str, cost: str, per: str, cents: int
) -> None:
    """Two rolls by the roll, or by their length in its own unit or another one, in whatever order
    both are kept."""
    now, size = prices({"pipe": (cost, per)}), form.OTHER.itemsize
    inputs = inputs_of(bought("pipe", "2", "roll", pack=(content, unit), group="pipe"))
    assert both_ways(inputs, now, now).new_total == cents
    packed = pack_inputs(inputs, price_inputs(inputs, now))
    turned = packed[: -2 * size] + packed[-size:] + packed[-2 * size : -size]
    (found,) = repriced_each(reprice_packed([turned], price_columns(now)))
    assert found is not None
    assert found.new_total == cents


@pytest.mark.parametrize(
    ("per", "cents"), [("m3", 1_000), ("kg", 900_000), ("t", 900), ("load", 200), ("ft", None)]
)
def test_soil_is_paid_by_volume_weight_or_load(per: str, cents: int | None) -> None:
    """10 m3 that weigh 9,000 kg in two loads, at 1.00 each; nothing of it is paid by length."""
    carried = Haulage(
        volume_m3=10.0,
        mass_kg=9000.0,
        loads=Loads(count=2),
        sold=UNITS["m3"],
        settled=True,
        increment=Decimal("0.01"),
        how=(),
    )
    line = replace(bought("soil", "10", "m3", group="earth"), haulage=carried)
    asked = inputs_of(line)
    packed = pack_inputs(asked, price_inputs(asked, prices({"soil": ("2.00", "m3")})))
    (found,) = repriced_each(reprice_packed([packed], price_columns(prices({"soil": ("1", per)}))))
    assert (found.new_total if found else None) == cents


def machine_of(cost: Owned, loads: str = "0", **items: str) -> Labor:
    """Eight hours of a machine of one's own on two days."""
    (time,) = hire(2).equipment
    machine = Machine(id="one", title="One", cost=cost, **items)  # type: ignore[arg-type]
    return replace(labor(), equipment=(replace(time, machine=machine, loads=Decimal(loads)),))


def test_own_machines_are_paid_by_hour_day_load_and_fuel() -> None:
    """8 h at 30.00, or 2 days at 200.00, or 3 loads at 50.00; 8 h of fuel at 4.00, each way at
    90.00."""
    for per, cost, cents in (("h", "30", 24_000), ("day", "200", 40_000), ("load", "50", 15_000)):
        now = prices({"own": (cost, per)})
        assert total(now=now, work=machine_of(Owned(item="own"), "3")) == cents
    costs = {"own_day": ("200", "day"), "fuel": ("4", "h"), "there": ("90", "each")}
    both = machine_of(Owned(item=None, day_item="own_day"), fuel_item="fuel", delivery_item="there")
    assert total(now=prices(costs), work=both) == 40_000 + 3_200 + 9_000


def test_wages_hold_where_the_list_has_none() -> None:
    """10 h at a wage of 30.00, at 50.00 where the list says so, at 40.00 where the caller does; a
    wage in another currency or two wages of one item are no price."""
    listed = prices({"crew_hour": ("50", "h")})
    own = {"crew_hour": ItemPrice(unit_cost=Decimal(40), per="h")}
    bare = prices({})
    assert total(now=bare, work=WORK) == 30_000
    assert total(now=listed, work=WORK) == 50_000
    for now in (bare, listed):
        kept = both_ways(inputs_of(work=WORK, overrides=own), now, now)
        assert (kept.new_total, kept.kept_overrides) == (40_000, 1)
    other = replace(WORK, crews=(*WORK.crews, crew_time("4", hour_cost="31.00", name="two")))
    for work in (replace(WORK, wage_currency="CAD"), other):
        assert is_ordinary(inputs_of(work=work), bare, listed)


def test_stock_of_others_is_no_matter() -> None:
    """An item in stock that a quote doesn't use leaves it the fast way. What was charged from
    stock is packed as it is bought: 2 rolls of 50 ft at 2.00, not the 61 ft that were used."""
    stone = {"stone": replace(NOW.items["block"], stock=True)}
    assert not is_ordinary(inputs_of(bought("block")), replace(NOW, items={**NOW.items, **stone}))
    roll = pipe_of_stock()
    used = replace(roll, order=Decimal(61), order_unit="ft", sold_per="ft", stock=True)
    for line in (roll, used):
        assert total(line, now=prices({"pipe": ("2.00", "ft")})) == 20_000


def test_another_currency_or_another_cent_goes_the_ordinary_way() -> None:
    """A list in Canadian dollars, or in dollars of a thousand mills."""
    packed = pack_inputs(JOB, price_inputs(JOB, BEFORE))
    for other in (replace(NOW, currency="CAD"), replace(NOW, minor_places=3)):
        assert reprice_packed([packed], price_columns(other)).ordinary[0]


def test_a_packed_quote_takes_another_roll_up() -> None:
    """As a re-pricing leaves it: the same bytes as packed at the new prices; and it is known how
    many bytes are packed where others follow."""
    old, new = (pack_inputs(JOB, price_inputs(JOB, of)) for of in (BEFORE, NOW))
    found = both_ways(JOB, BEFORE, NOW)
    assert packed_again(old, found.new, found.new_by_group, found.new_margin) == new
    unknown = packed_again(old, found.new, found.new_by_group, None)
    assert read_columns([unknown]).quotes["margin"].tolist() == [form.NO_MARGIN]
    assert packed_size(new) == packed_size(new + b"more") == len(new)


def test_a_plain_line_has_neither_weight_nor_pallets() -> None:
    """What is on rolls, or on nothing, is on no pallet; weights that aren't known aren't kept."""
    roll = replace(bought("pipe"), packs=(3, "roll"))
    packed = pack_inputs(inputs_of(bought("block"), roll), price_inputs(JOB, BEFORE))
    assert len(read_columns([packed]).others) == 0
