"""Cost lines: order times unit cost, units that fit, overrides, crews, extras, faults, order."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import partial

import pytest

from service.core.job.terms import Tax, Terms
from tests.given.money import bought, crew_time, extra, faults_of, labor, line, priced, prices


def test_price_multiplies_order_and_unit_cost() -> None:
    """199 units at 6.85 cost 1363.15; without terms the price is the cost, and no tax is due."""
    price = priced([bought("block", "199")], prices({"block": ("6.85", "each")}))
    block = line(price, "block")
    assert (block.quantity, block.quantity_unit) == (Decimal(199), "each")
    assert (block.unit_cost, block.per) == (Decimal("6.85"), "each")
    assert block.cost == block.price == Decimal("1363.15")
    assert price.subtotal == price.total == price.direct_cost == Decimal("1363.15")
    assert (price.tax, price.margin) == (Decimal(0), Decimal(0))
    assert (block.kind, block.from_list, block.override) == ("material", True, False)


@pytest.mark.parametrize(
    ("unit_cost", "places", "expected"),
    [
        ("0.335", 2, "1.01"),  # 1.005
        ("0.891666", 2, "2.67"),  # 2.674998
        ("0.891667", 2, "2.68"),  # 2.675001
        ("33.5", 0, "101"),  # 100.5
        ("0.0335", 3, "0.101"),  # 0.1005
    ],
)
def test_price_rounds_line_cost_half_up(unit_cost: str, places: int, expected: str) -> None:
    """Three pieces, to the minor unit of the currency."""
    price = priced([bought("x", "3")], prices({"x": (unit_cost, "each")}, places=places))
    assert f"{line(price, 'x').cost:f}" == expected


@pytest.mark.parametrize(
    ("sold", "per", "unit_cost", "expected"),
    [
        ("ton", "lb", "0.025", "175.00"),  # 3.5 ton = 7000 lb
        ("ton", "ton", "50", "175.00"),
        ("ton", "t", "50", "158.76"),  # 3.5 x 0.90718474 t = 3.17514659 t, x 50 = 158.7573295
        ("ton", "kg", "0.05", "158.76"),
        ("yd3", "m3", "40", "107.04"),  # 3.5 x 0.764554857984 = 2.675942002944, x 40 = 107.0377
        ("m3", "yd3", "40", "183.11"),  # 3.5 / 0.764554857984 = 4.57782771, x 40 = 183.1131
        ("ft", "m", "10", "10.67"),  # 1.0668 m
    ],
)
def test_price_converts_within_a_dimension_exactly(
    sold: str, per: str, unit_cost: str, expected: str
) -> None:
    """3.5 sold units under a price per another unit of their dimension."""
    price = priced(
        [bought("stone", "3.5", sold, group="stone")], prices({"stone": (unit_cost, per)})
    )
    found = line(price, "stone")
    assert f"{found.cost:f}" == expected
    assert (found.quantity, found.quantity_unit, found.per) == (Decimal("3.5"), sold, per)


def test_price_of_the_sold_unit_is_never_converted() -> None:
    """Stone ordered and priced by the short ton: cost = order x unit cost, no conversion between.

    Any way over kilograms and back would end in a float; the words show the bare product.
    """
    price = priced(
        [bought("stone", "4.5", "ton", group="stone")], prices({"stone": ("33.33", "ton")})
    )
    found = line(price, "stone")
    assert found.cost == Decimal("149.99")  # 149.985
    assert found.how[0] == "4.5 ton x 33.33 per ton = 149.985, rounded to 149.99"


@pytest.mark.parametrize(
    ("per", "unit_cost", "expected"),
    [
        ("pack", "75", "225.00"),
        ("roll", "75", "225.00"),
        ("ft", "1.5", "450.00"),  # 3 rolls of 100 ft
        ("yd", "1.5", "150.00"),
        ("m", "1", "91.44"),
    ],
)
def test_price_of_packs_may_be_per_pack_or_content(per: str, unit_cost: str, expected: str) -> None:
    """Three rolls of 100 ft, priced by the roll or by what is in them."""
    rolls = bought("pipe", "3", "roll", group="pipe", pack=("100", "ft"))
    price = priced([rolls], prices({"pipe": (unit_cost, per)}))
    found = line(price, "pipe")
    assert f"{found.cost:f}" == expected
    assert (found.quantity, found.quantity_unit) == (Decimal(3), "roll")


def test_price_shows_a_conversion() -> None:
    """The words lead from the order over the converted amount to the cost."""
    rolls = bought("pipe", "3", "roll", group="pipe", pack=("100", "ft"))
    found = line(priced([rolls], prices({"pipe": ("1.5", "ft")})), "pipe")
    assert found.how[0] == "3 roll = 300 ft; 300 ft x 1.5 per ft = 450.00"


def test_price_takes_an_override_before_the_list() -> None:
    """What the caller sets for this quote goes before the list, and is marked."""
    of = prices({"block": ("6.85", "each")}, overrides={"block": ("7.10", "each")}, list_id="demo")
    found = line(priced([bought("block", "2")], of), "block")
    assert found.cost == Decimal("14.20")
    assert (found.from_list, found.override) == (False, True)


def test_price_accepts_zero_and_unused_prices() -> None:
    """A unit cost of 0 is a price, and prices that nothing needs are fine."""
    of = prices({"block": ("0", "each"), "other": ("9", "h")})
    assert priced([bought("block")], of).total == Decimal(0)


def test_price_names_every_missing_price_at_once() -> None:
    """One fault per item, at the item's place in the inline prices, the item in the message."""
    lines = [bought("block"), bought("stone", unit="yd3", group="stone")]
    faults = faults_of(lambda: priced(lines, prices({}), work=labor(crew_time("8"))))
    assert [(fault.code, fault.at) for fault in faults] == [
        ("price-missing", ("prices", "items", "block")),
        ("price-missing", ("prices", "items", "stone")),
        ("price-missing", ("prices", "items", "crew_hour")),
    ]
    assert all(fault.at[-1] in fault.message for fault in faults if isinstance(fault.at[-1], str))
    assert faults[1].hint == "a unit cost of 'stone' per yd3"


def test_price_points_at_the_list_where_its_price_is_missing() -> None:
    """Prices from a list are missing at the list, the item in the message."""
    (fault,) = faults_of(lambda: priced([bought("block")], prices({}, list_id="demo")))
    assert fault.at == ("prices", "price_list")
    assert fault.message == "item 'block' has no price in price list 'demo'"


def test_price_points_at_the_unit_that_does_not_fit() -> None:
    """A unit of another dimension is refused where it stands: list, inline, override."""
    stone = [bought("stone", unit="ton", group="stone")]
    wrong = {"stone": ("9", "yd3")}
    cases = [
        (prices(wrong), ("prices", "items", "stone", "per")),
        (prices(wrong, list_id="demo"), ("prices", "price_list")),
        (prices({}, overrides=wrong), ("prices", "overrides", "stone", "per")),
    ]
    for of, at in cases:
        (fault,) = faults_of(partial(priced, stone, of))
        assert (fault.code, fault.at) == ("price-unit-mismatch", at)
        assert fault.message == "item 'stone' is sold by ton, and its price is per 'yd3'"
        assert fault.hint == "a unit cost per lb or ton or kg or t"


@pytest.mark.parametrize("per", ["pack", "load", "h"])
def test_price_refuses_units_that_nothing_is_sold_by(per: str) -> None:
    """A price per pack, load or hour can't price pieces."""
    (fault,) = faults_of(lambda: priced([bought("block")], prices({"block": ("1", per)})))
    assert fault.code == "price-unit-mismatch"


def test_price_of_packs_of_pieces_may_be_per_piece() -> None:
    """A pallet of one piece costs what the piece costs; by length it has no price."""
    pallets = bought("cap", "2", "pallet", pack=("1", "each"))
    assert priced([pallets], prices({"cap": ("9", "each")})).total == Decimal(18)
    (fault,) = faults_of(lambda: priced([pallets], prices({"cap": ("9", "ft")})))
    assert fault.hint == "a unit cost per pack or pallet or each"


def test_price_of_packs_without_content_is_per_pack() -> None:
    """Where a pack's content isn't known only a price per pack will do."""
    rolls = replace(bought("pipe", "3", "roll", pack=("100", "ft")), pack_content=None)
    assert priced([rolls], prices({"pipe": ("75", "pack")})).total == Decimal(225)
    (fault,) = faults_of(partial(priced, [rolls], prices({"pipe": ("1", "ft")})))
    assert fault.hint == "a unit cost per pack or roll"


def test_price_of_a_crew_is_its_paid_hours() -> None:
    """36 paid hours at 45.50 are 1638.00; the quantity is the paid hours."""
    work = labor(crew_time("36", days="1.5", people="3"))
    found = line(priced(of=prices({"crew_hour": ("45.50", "h")}), work=work), "crew_hour")
    assert (found.quantity, found.quantity_unit, found.per) == (Decimal(36), "h", "h")
    assert found.cost == Decimal("1638.00")
    assert (found.group, found.kind, found.from_list) == ("labor", "labor", True)


def test_price_of_a_crew_per_day_is_that_of_a_person_and_day() -> None:
    """1.5 days of 3 people are 4.5 person-days at 360; the quantity stays 36 paid hours."""
    work = labor(crew_time("36", days="1.5", people="3"))
    found = line(priced(of=prices({"crew_hour": ("360", "day")}), work=work), "crew_hour")
    assert (found.quantity, found.quantity_unit, found.per) == (Decimal(36), "h", "day")
    assert found.cost == Decimal("1620.00")
    assert found.how[-2] == "36 h = 4.5 day; 4.5 day x 360 per day = 1620.00"


def test_price_of_a_crew_falls_back_to_its_wage() -> None:
    """Without a price the wage with burden holds; a price or an override goes before it."""
    work = labor(crew_time("10", hour_cost="41.030211"), currency="USD")
    found = line(priced(work=work), "crew_hour")
    assert found.cost == Decimal("410.30")  # 410.30211
    assert (found.from_list, found.override) == (False, False)
    assert "41.030211 per h" in found.how
    listed = priced(of=prices({"crew_hour": ("50", "h")}), work=work)
    assert line(listed, "crew_hour").cost == Decimal("500.00")
    own = priced(of=prices({}, overrides={"crew_hour": ("60", "h")}), work=work)
    assert line(own, "crew_hour").override is True


def test_price_puts_crews_of_one_item_in_one_line() -> None:
    """Two crews that cost the same item are one line; others have their own, by item."""
    work = labor(
        crew_time("8", name="wall"),
        crew_time("4", name="cap"),
        crew_time("2", name="foreman", item="boss_hour"),
    )
    price = priced(of=prices({"crew_hour": ("50", "h"), "boss_hour": ("80", "h")}), work=work)
    assert [(each.item, each.quantity) for each in price.lines] == [
        ("boss_hour", Decimal(2)),
        ("crew_hour", Decimal(12)),
    ]


def test_price_refuses_one_item_at_two_wages() -> None:
    """One line can't have two unit costs."""
    work = labor(crew_time("8", hour_cost="40"), crew_time("8", hour_cost="30", name="cap"))
    (fault,) = faults_of(lambda: priced(work=work))
    assert (fault.code, fault.at) == ("crew-wage-ambiguous", ("rates",))


def test_price_refuses_wages_in_another_currency() -> None:
    """A wage in euros can't stand in a quote in dollars; a price of the item in dollars can."""
    work = labor(crew_time("8", hour_cost="40"), currency="EUR")
    (fault,) = faults_of(lambda: priced(work=work))
    assert (fault.code, fault.at) == ("currency-mismatch", ("rates",))
    assert priced(of=prices({"crew_hour": ("50", "h")}), work=work).total == Decimal(400)


@pytest.mark.parametrize("per", ["load", "each"])
def test_price_refuses_crews_by_anything_but_time(per: str) -> None:
    """A crew is priced per hour or per day."""
    of = prices({"crew_hour": ("50", per)})
    (fault,) = faults_of(lambda: priced(of=of, work=labor(crew_time("8"))))
    assert (fault.code, fault.hint) == ("price-unit-mismatch", "a unit cost per h or day")


def test_price_takes_extras_as_they_stand() -> None:
    """Extras keep their kind, their order and their sum, and come last."""
    price = priced(extras=[extra("120.00", "fee", "Permit"), extra("80", "equipment", "Saw")])
    assert [(e.item, e.description, e.kind, e.group, e.cost) for e in price.lines] == [
        ("extra_1", "Permit", "fee", "extras", Decimal(120)),
        ("extra_2", "Saw", "equipment", "extras", Decimal(80)),
    ]
    assert f"{price.lines[1].cost:f}" == "80.00"


@pytest.mark.parametrize(
    ("places", "cost", "hint"), [(2, "1.005", "1.01"), (0, "99.50", "100"), (3, "0.0001", "0.000")]
)
def test_price_refuses_an_extra_with_too_many_places(places: int, cost: str, hint: str) -> None:
    """A sum that the currency can't hold is refused at its place."""
    faults = faults_of(
        lambda: priced(of=prices({}, places=places), extras=[extra("1"), extra(cost)])
    )
    assert faults[0].at == ("extras", 1, "cost")
    assert [(fault.code, fault.hint) for fault in faults] == [("too-many-places", hint)]


def test_price_lines_stand_in_order() -> None:
    """By group, inside a group by item; units as standard, corner, cap; extras as requested."""
    lines = [
        bought("zebra_block"),
        bought("corner"),
        bought("a_cap"),
        bought("glue", group="adhesive"),
        bought("drain_stone", group="stone", unit="yd3"),
        bought("base_stone", group="stone", unit="yd3"),
        bought("pipe", group="pipe", unit="ft"),
    ]
    each = {e.item: ("1", "each" if e.order_unit == "each" else e.order_unit) for e in lines}
    price = priced(
        lines,
        prices(each | {"crew_hour": ("1", "h")}),
        Terms(tax=Tax(rate=Decimal("0.5"), on=("material",), base="purchase")),
        work=labor(crew_time("1")),
        extras=[extra("1"), extra("2")],
    )
    assert [found.item for found in price.lines] == [
        "zebra_block",
        "corner",
        "a_cap",
        "base_stone",
        "drain_stone",
        "pipe",
        "glue",
        "crew_hour",
        "purchase_tax",
        "extra_1",
        "extra_2",
    ]
