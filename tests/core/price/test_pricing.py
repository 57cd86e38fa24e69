"""Price: the roll-up and its words, the odd cent, tax, price by wall."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.core.job.terms import Kind, Profit, Tax, Terms
from service.core.price.price import Price
from tests.given.money import (
    bought,
    crew_time,
    extra,
    faults_of,
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


def test_price_rolls_up_in_order() -> None:
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


def test_price_refuses_sums_of_another_currency() -> None:
    """A minimum charge in CAD can't be reached by a price in USD; ratios have no currency."""
    sums = Terms(currency="CAD", minimum_charge=Decimal(500))
    (fault,) = faults_of(lambda: priced_extras(sums, "300"))
    assert (fault.code, fault.at) == ("currency-mismatch", ("terms",))
    ratios = Terms(currency="CAD", profit=markup("0.2"))
    assert priced_extras(ratios, "300").subtotal == Decimal(360)


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
