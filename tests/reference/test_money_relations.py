"""Money against outside figures: markup and margin, rounding, traps that change money, tax.

The figures stand in money.toml with their source, tolerance and how sure they are. Wrong results
of known mistakes stand beside the right ones, and each test shows that they differ.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.core import rounding
from service.core.job.terms import Profit, Tax, Terms
from tests.given.money import (
    bought,
    crew,
    extra,
    margin,
    markup,
    once,
    priced,
    priced_extras,
    prices,
    rates,
    scheduled,
    task,
    tax,
)
from tests.given.reference_tables import Row, read_tables, rows_of
from tests.given.walls import ft

DATA = read_tables("money")
rows = rows_of(DATA)
FT2 = ft(1) * ft(1)


def within(found: Decimal, expected: str, table: str) -> bool:
    """Whether a figure agrees with the printed one within the table's tolerance."""
    return abs(found - Decimal(expected)) <= Decimal(DATA[table]["tolerance"])


def share(percent: str) -> Decimal:
    """A percentage as a ratio."""
    return Decimal(percent) / 100


@pytest.mark.parametrize("table", DATA)
def test_money_toml_names_its_sources(table: str) -> None:
    """Every table says where its figures come from, how near, and how sure they are."""
    assert DATA[table]["source"]
    assert DATA[table]["tolerance"]
    assert DATA[table]["sure"] in ("computed", "published", "common practice")


@rows("markup_to_margin")
def test_price_margin_of_a_markup(row: Row) -> None:
    """A markup m on cost leaves the margin m / (1 + m) of the price (trap 29)."""
    price = priced_extras(Terms(profit=markup(str(share(row["markup"])))), "1000000")
    assert price.margin is not None
    assert within(price.margin * 100, row["margin"], "markup_to_margin")
    assert price.margin < share(row["markup"])


@rows("margin_to_markup")
def test_price_markup_of_a_margin(row: Row) -> None:
    """A margin g of the price takes the markup g / (1 - g) on cost."""
    price = priced_extras(Terms(profit=margin(str(share(row["margin"])))), "10000000000")
    found = price.profit / price.direct_cost * 100
    assert within(found, row["markup"], "margin_to_markup")


@rows("price_from_margin")
def test_price_from_cost_and_margin(row: Row) -> None:
    """C / (1 - g), not C x (1 + g)."""
    price = priced_extras(Terms(profit=margin(row["margin"])), row["cost"])
    assert price.subtotal == Decimal(row["price"])
    wrong = priced_extras(Terms(profit=markup(row["margin"])), row["cost"])
    assert wrong.subtotal == Decimal(row["as_markup"])


@rows("rounding")
def test_minor_unit_rounds_half_up(row: Row) -> None:
    """Half up on the decimal, where half even or a binary float may say something else."""
    found = rounding.minor_unit(Decimal(row["value"]), row["places"])
    assert found == Decimal(row["half_up"])


@rows("rounding")
def test_price_rounds_line_cost_half_up(row: Row) -> None:
    """The same through a price: one piece at that unit cost."""
    of = prices({"x": (row["value"], "each")}, places=row["places"])
    assert priced([bought("x")], of).direct_cost == Decimal(row["half_up"])


@rows("minor_units")
def test_price_has_the_currency_s_places(row: Row) -> None:
    """The odd unit of a third of 100 lies on the first line, in the currency's minor unit."""
    of = prices({}, currency=row["currency"], places=row["places"])
    terms = Terms(minimum_charge=Decimal(100))
    price = priced(of=of, terms=terms, extras=[extra("1"), extra("1"), extra("1")])
    assert f"{price.lines[0].price:f}" == row["third"]


@rows("tax_on_total")
def test_price_tax_is_rounded_once(row: Row) -> None:
    """Tax on the sum of the lines, not the sum of each line's tax (trap 35)."""
    price = priced_extras(Terms(tax=tax(row["rate"])), *row["lines"])
    assert price.tax == Decimal(row["tax"])
    each = [rounding.minor_unit(Decimal(c) * Decimal(row["rate"]), 2) for c in row["lines"]]
    assert sum(each) == Decimal(row["line_by_line"])


@rows("waste_once")
def test_price_adds_waste_once(row: Row) -> None:
    """Waste stands in the order; the price takes the order as it is (trap 27)."""
    order = rounding.whole_pieces(row["net"], Decimal(row["waste"]))
    assert order == row["order"]
    price = priced([bought("block", str(order))], prices({"block": (row["unit_cost"], "each")}))
    assert price.direct_cost == Decimal(row["cost"])
    twice = rounding.whole_pieces(order, Decimal(row["on_total"]))
    assert twice == row["twice"] > order


@rows("overhead_base")
def test_price_overhead_is_on_cost(row: Row) -> None:
    """Overhead is a share of direct cost, not of the price (trap 30)."""
    overhead = Decimal(row["share"])
    price = priced_extras(Terms(overhead_share=overhead), row["cost"])
    assert price.overhead == Decimal(row["overhead"])
    wrong = priced_extras(Terms(profit=Profit(basis="margin", share=overhead)), row["cost"])
    assert wrong.profit == Decimal(row["on_price"])


@rows("burden")
def test_schedule_costs_the_burdened_hour(row: Row) -> None:
    """An hour costs wage and burden (trap 31)."""
    people = [crew(wage=row["wage"], burden=row["burden"])]
    (time,) = scheduled(rates(crews=people, fixed=[once("1")]), {}).crews
    assert time.hour_cost is not None
    assert within(time.hour_cost, row["hour_cost"], "burden")
    assert not within(time.hour_cost, row["unburdened"], "burden")


@rows("working_hour")
def test_schedule_counts_the_worked_hour(row: Row) -> None:
    """Of a paid hour 50 minutes are worked (trap 32)."""

    def days(worked: str) -> Decimal:
        people = [crew(size=1, worked=worked)]
        return scheduled(rates(crews=people, fixed=[once(row["hours"])]), {}).crew_days

    assert days(row["worked_share"]) == Decimal(row["days"])
    assert days("1") == Decimal(row["days_of_60_minutes"])


@rows("task_hours")
def test_schedule_takes_published_hours(row: Row) -> None:
    """Quantity x hours per unit, in days of eight hours."""
    of = rates(task(by="face_area", hours=row["hours_per_ft2"], unit="ft2"), crews=[crew(size=1)])
    labor = scheduled(of, {"face_area": (("wall-1", row["area_ft2"] * FT2),)})
    assert labor.labor_hours == Decimal(row["hours"])
    assert labor.crew_days == Decimal(row["days"])


@rows("ton_kinds")
def test_price_tells_tons_apart(row: Row) -> None:
    """A metric ton priced by the short ton is 10.2 % more than one of them (trap 36)."""
    order = [bought("stone", row["tonnes"], "t", group="stone")]
    price = priced(order, prices({"stone": (row["per_short_ton"], "ton")}))
    assert price.direct_cost == Decimal(row["cost"])
    short = [bought("stone", row["tonnes"], "ton", group="stone")]
    unnamed = priced(short, prices({"stone": (row["per_short_ton"], "ton")}))
    assert unnamed.direct_cost == Decimal(row["unnamed"])


@rows("sales_tax")
def test_price_taxes_who_pays_on_what(row: Row) -> None:
    """One job under three rules of sales tax."""
    data = DATA["sales_tax"]
    rule = Tax(rate=Decimal(data["rate"]), on=tuple(row["on"]), base=row["base"])
    price = priced(
        terms=Terms(profit=markup(data["markup"]), tax=rule),
        extras=[extra(data["material"], "material"), extra(data["labor"], "labor")],
    )
    assert price.tax == Decimal(row["tax"])
    assert price.total == Decimal(row["total"])


@rows("tax_before_retention")
def test_price_tax_is_on_the_whole_price(row: Row) -> None:
    """Tax is on the price before anything is kept back or paid ahead."""
    price = priced_extras(
        Terms(tax=tax(row["rate"]), deposit=Decimal(row["retained"])), row["price"]
    )
    retained = price.subtotal * Decimal(row["retained"])
    assert price.tax == Decimal(row["tax"])
    assert price.total - retained == Decimal(row["first_payment"])
    assert (price.subtotal - retained) * Decimal(row["rate"]) == Decimal(row["after_retention"])
