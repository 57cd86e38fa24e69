"""Price: cost lines in the contract's order, the roll-up, the odd cent, tax, faults."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import partial

import pytest

from service.core.errors import Fault, PriceFaultsError
from service.core.results import Price
from service.core.terms import Kind, Profit, Tax, Terms
from tests.money_builders import (
    bought,
    crew_time,
    extra,
    how,
    labor,
    line,
    margin,
    markup,
    priced,
    priced_extras,
    prices,
    tax,
)


def faults_of(call: Callable[[], Price]) -> tuple[Fault, ...]:
    """What a price is refused for."""
    with pytest.raises(PriceFaultsError) as caught:
        call()
    return caught.value.faults


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


def test_price_refuses_packs_of_unknown_content_by_content() -> None:
    """Where a pack's content isn't known only a price per pack will do."""
    pallets = bought("cap", "2", "pallet", pack=("1", "each"))
    assert priced([pallets], prices({"cap": ("9", "each")})).total == Decimal(18)
    (fault,) = faults_of(lambda: priced([pallets], prices({"cap": ("9", "ft")})))
    assert fault.hint == "a unit cost per pack or pallet or each"


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


def test_price_lines_stand_in_the_contract_s_order() -> None:
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


FULL = Terms(
    overhead_share=Decimal("0.10"),
    overhead_per_crew_day=Decimal("300.00"),
    contingency=Decimal("0.05"),
    profit=Profit(basis="markup", share=Decimal("0.20")),
    tax=Tax(rate=Decimal("0.07"), on=("material",)),
    discount=Decimal("25.00"),
    minimum_charge=Decimal("500.00"),
    deposit=Decimal("0.30"),
)


def full_price() -> Price:
    """1000.01 of material, 12 paid hours in 1.5 crew days at 50."""
    return priced(
        [bought("block")],
        prices({"block": ("1000.01", "each"), "crew_hour": ("50", "h")}),
        FULL,
        work=labor(crew_time("12", days="1.5")),
    )


def test_price_rolls_up_in_the_contract_s_order() -> None:
    """D 1600.01; O 160.001 + 450 = 610.00; C 5 % of 2210.01 = 110.50; profit 20 % of 2320.51 =
    464.10; less 25; tax 7 % of the material's share; deposit 30 % of the total."""
    price = full_price()
    assert price.direct_cost == Decimal("1600.01")
    assert price.overhead == Decimal("610.00")
    assert price.contingency == Decimal("110.50")
    assert price.profit == Decimal("464.10")
    assert (price.discount, price.added_to_reach_minimum) == (Decimal(25), Decimal(0))
    assert price.subtotal == Decimal("2759.61")
    # 2759.61 x 1000.01 / 1600.01 = 1724.7629..., x 600 / 1600.01 = 1034.8470...
    assert [found.price for found in price.lines] == [Decimal("1724.76"), Decimal("1034.85")]
    assert price.tax == Decimal("120.73")  # 120.7332
    assert price.total == Decimal("2880.34")
    assert price.deposit == Decimal("864.10")  # 864.102
    assert price.margin == Decimal("0.1591")  # (2759.61 - 2320.51) / 2759.61 = 0.159117


SUBTOTAL_HOW = (
    "direct cost 1600.01 + overhead 610.00 + contingency 110.50 + profit 464.10"
    " - discount 25.00 + added to reach the minimum 0.00 = 2759.61"
)
MARGIN_HOW = (
    "(subtotal 2759.61 - direct cost, overhead and contingency 2320.51)"
    " / subtotal 2759.61 = about 0.159116686778, rounded to 0.1591"
)


def test_price_states_the_base_of_each_percentage() -> None:
    """Every amount is explained in words, each percentage with what it is taken of."""
    assert full_price().how == (
        ("direct_cost", "sum of the cost of 2 lines = 1600.01"),
        (
            "overhead",
            "10 % of direct cost 1600.01 + 1.5 crew days x 300.00 = 610.001, rounded to 610.00",
        ),
        (
            "contingency",
            "5 % of direct cost + overhead 2210.01 = 110.5005, rounded to 110.50",
        ),
        (
            "profit",
            "20 % of direct cost + overhead + contingency 2320.51 = 464.102, rounded to 464.10",
        ),
        ("discount", "25.00 by the terms"),
        (
            "added_to_reach_minimum",
            "minimum charge 500.00, price before it 2759.61: 0.00 is added",
        ),
        (
            "subtotal",
            SUBTOTAL_HOW,
        ),
        ("tax", "7 % of the price of the taxable lines 1724.76 = 120.7332, rounded to 120.73"),
        ("total", "subtotal 2759.61 + tax 120.73 = 2880.34"),
        (
            "margin",
            MARGIN_HOW,
        ),
        ("deposit", "30 % of the total 2880.34 = 864.102, rounded to 864.10"),
    )


def test_price_of_a_margin_is_a_share_of_the_price() -> None:
    """35 % of the price on a cost of 1000: profit 538.46, price 1538.46, not 1350."""
    price = priced_extras(Terms(profit=margin("0.35")), "1000.00")
    assert (price.profit, price.subtotal) == (Decimal("538.46"), Decimal("1538.46"))
    assert price.margin == Decimal("0.3500")
    assert how(price, "profit") == (
        "margin of 35 % of the price: direct cost + overhead + contingency 1000.00 x 0.35 / 0.65"
        " = about 538.461538462, rounded to 538.46"
    )


@pytest.mark.parametrize("share", ["1", "1.2"])
def test_price_refuses_a_margin_of_one_or_more(share: str) -> None:
    """A margin of the whole price leaves nothing for the cost; other faults are named beside it."""
    faults = faults_of(lambda: priced([bought("block")], terms=Terms(profit=margin(share))))
    assert [fault.code for fault in faults] == ["price-missing", "margin-not-below-one"]
    assert faults[1].at == ("terms", "profit", "margin")


def test_price_adds_what_is_missing_to_the_minimum_charge() -> None:
    """300 cost, 20 % markup, 10 discount make 350; 150 more reach 500."""
    terms = Terms(profit=markup("0.2"), discount=Decimal(10), minimum_charge=Decimal(500))
    price = priced_extras(terms, "300")
    assert price.added_to_reach_minimum == Decimal(150)
    assert price.subtotal == Decimal(500)
    assert price.margin == Decimal("0.4000")  # (500 - 300) / 500


def test_price_never_falls_below_nothing() -> None:
    """A discount larger than the price takes it to 0, and a price of 0 has no margin."""
    price = priced_extras(Terms(discount=Decimal(500)), "300")
    assert (price.subtotal, price.margin) == (Decimal(0), None)
    assert how(price, "margin") == "no margin: the subtotal is 0"


def test_price_below_cost_has_a_negative_margin() -> None:
    """100 cost and 20 off: (80 - 100) / 80 = -0.25."""
    assert priced_extras(Terms(discount=Decimal(20)), "100").margin == Decimal("-0.2500")


def test_price_of_free_lines_stands_in_the_first() -> None:
    """Where all costs are 0 the first line carries the subtotal."""
    price = priced_extras(Terms(minimum_charge=Decimal(500)), "0", "0")
    assert [found.price for found in price.lines] == [Decimal(500), Decimal(0)]


def test_price_of_nothing_is_refused() -> None:
    """Without a single line there is nothing that could carry a price."""
    (fault,) = faults_of(lambda: priced(terms=Terms(minimum_charge=Decimal(500))))
    assert (fault.code, fault.at) == ("nothing-to-price", ("walls",))


@pytest.mark.parametrize(
    ("taxed", "expected"), [("material", "5.01"), ("labor", "5.00"), ("fee", "0.00")]
)
def test_price_places_the_odd_cent_and_the_tax_in_the_order_of_lines(
    taxed: Kind, expected: str
) -> None:
    """Two lines of 10.00 under a subtotal of 20.01: the material stands before the labor and gets
    10.01; half of 10.01 is 5.01, half of 10.00 is 5.00."""
    walls = ("b", "a")
    for shares in ((("a", 1.0), ("b", 1.0)), (("b", 1.0), ("a", 1.0))):
        price = priced(
            [bought("zz_block", shares=shares)],
            prices({"zz_block": ("10", "each"), "aa_hour": ("10", "h")}),
            Terms(
                minimum_charge=Decimal("20.01"),
                tax=Tax(rate=Decimal("0.5"), on=(taxed,)),
            ),
            work=labor(crew_time("1", item="aa_hour", shares=shares)),
            walls=walls,
        )
        assert [(e.item, e.price) for e in price.lines] == [
            ("zz_block", Decimal("10.01")),
            ("aa_hour", Decimal("10.00")),
        ]
        assert price.tax == Decimal(expected)
        # 10.01 over two equal walls: 5.01 goes to the name that sorts first.
        assert price.by_wall == (("b", Decimal("10.00")), ("a", Decimal("10.01")))


def test_price_says_where_an_odd_cent_lies() -> None:
    """The line that carries an odd cent says so, and one whose share was cut says that."""
    price = priced_extras(Terms(), "10.00", "10.00", "10.00")
    assert price.lines[0].how[-1].endswith("direct cost 30.00 = 10.00")
    odd = priced_extras(Terms(minimum_charge=Decimal("40.00")), "10.00", "10.00", "10.00")
    shares = (
        "price: subtotal 40.00 x cost 10.00 / direct cost 30.00 = about 13.3333333333, cut down"
    )
    assert odd.lines[0].how[-1] == f"{shares}, plus 0.01 by largest remainder = 13.34"
    assert odd.lines[1].how[-1] == f"{shares} = 13.33"


def test_price_taxes_the_price_of_the_kinds_named() -> None:
    """Material 4000 and labor 6000 under 25 % markup: 8 % of 5000 are 400.00."""
    of = [extra("4000", "material"), extra("6000", "labor")]
    price = priced(terms=Terms(profit=markup("0.25"), tax=tax("0.08", "material")), extras=of)
    assert [found.taxable for found in price.lines] == [True, False]
    assert (price.tax, price.total) == (Decimal(400), Decimal(12900))


def test_price_taxes_purchases_as_a_cost() -> None:
    """8 % on a cost of 4000 is a cost line of 320.00, marked up, and no tax is shown."""
    of = [extra("4000", "material"), extra("6000", "labor")]
    terms = Terms(
        profit=markup("0.25"), tax=Tax(rate=Decimal("0.08"), on=("material",), base="purchase")
    )
    price = priced(terms=terms, extras=of)
    paid = line(price, "purchase_tax")
    assert (paid.kind, paid.group, paid.cost) == ("fee", "fees", Decimal(320))
    assert paid.how[0] == "8 % of the cost 4000.00 of material = 320.00"
    assert not any(found.taxable for found in price.lines)
    assert (price.tax, price.total) == (Decimal(0), Decimal(12900))
    assert how(price, "tax") == "none: the contractor pays 8 % on purchases, which is a cost line"


def test_price_taxes_no_purchase_tax() -> None:
    """Fees are among the taxed kinds, and the tax is still not taken of itself."""
    price = priced_extras(Terms(tax=Tax(rate=Decimal("0.10"), base="purchase")), "100", kind="fee")
    assert price.direct_cost == Decimal(110)


def test_price_splits_by_wall_and_keeps_the_rest_apart() -> None:
    """Walls in the request's order, each with its share of each line; extras are of no wall."""
    lines = [
        bought("block", "3", shares=(("lower", 1.0), ("upper", 2.0))),
        bought("stone", "1", "yd3", group="stone", shares=(("upper", 1.0),)),
    ]
    of = prices({"block": ("10", "each"), "stone": ("40", "yd3")})
    price = priced(lines, of, extras=[extra("5")], walls=("upper", "lower", "bare"))
    assert price.by_wall == (
        ("upper", Decimal("60.00")),
        ("lower", Decimal("10.00")),
        ("bare", Decimal("0.00")),
    )
    assert price.site_wide == Decimal("5.00")


@pytest.mark.parametrize(
    ("places", "expected"), [(0, ("667", "47", "714")), (3, ("666.667", "46.667", "713.334"))]
)
def test_price_counts_in_the_currency_s_minor_unit(
    places: int, expected: tuple[str, str, str]
) -> None:
    """A third of 2000 and 7 % tax, in a currency of no places and in one of three."""
    thirds = Terms(minimum_charge=Decimal(2000), tax=tax("0.07", "material"))
    price = priced(
        of=prices({}, places=places),
        terms=thirds,
        extras=[extra("1", "material"), extra("1"), extra("1")],
    )
    assert (f"{price.lines[0].price:f}", f"{price.tax:f}") == expected[:2]
    assert f"{price.lines[0].price + price.tax:f}" == expected[2]
