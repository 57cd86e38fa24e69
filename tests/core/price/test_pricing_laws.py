"""Laws of the price, for any costs and terms: everything adds up to the minor unit."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from service.core.job.price_list import PriceList
from service.core.job.terms import KINDS, Extra, Profit, Tax, Terms
from service.core.labor.hours import Labor
from service.core.money import total_of
from service.core.price.price import Price
from service.core.shares import Shares
from service.core.takeoff.quantities import QuantityLine
from tests.given.money import bought, crew_time, labor, priced, prices
from tests.given.random_quotes import decimals

WALLS = ("north", "east", "south")


ratios = decimals(0, 1, 4)
shares = st.lists(st.floats(0.01, 1e4), min_size=3, max_size=3).map(
    lambda nets: tuple(zip(WALLS, nets, strict=True))
)
profits = st.one_of(
    decimals(0, 3, 4).map(lambda m: Profit(basis="markup", share=m)),
    st.integers(0, 9999).map(lambda g: Profit(basis="margin", share=Decimal(g).scaleb(-4))),
)
taxes = st.builds(
    Tax,
    rate=ratios,
    on=st.lists(st.sampled_from(KINDS), unique=True).map(tuple),
    base=st.sampled_from(["price", "purchase"]),
)
terms = st.builds(
    Terms,
    overhead_share=ratios,
    overhead_per_crew_day=decimals(0, 500, 2),
    contingency=ratios,
    profit=profits,
    tax=taxes,
    discount=decimals(0, 300, 2),
    minimum_charge=decimals(0, 3000, 2),
    deposit=ratios,
)
extras = st.lists(
    st.builds(
        Extra,
        description=st.just("Extra"),
        kind=st.sampled_from(KINDS),
        cost=st.integers(0, 10**6).map(Decimal),
    ),
    max_size=4,
)
Given = tuple[list[QuantityLine], PriceList, Labor]


@st.composite
def givens(draw: st.DrawFn) -> Given:
    """Some bought items with their prices and a crew, all shared by three walls."""
    costs = draw(st.lists(decimals(0, 500, 6), min_size=1, max_size=6))
    lines = [
        bought(f"item_{n}", str(draw(decimals(0, 300, 2))), "ton", group="stone", shares=held)
        for n, held in enumerate(draw(st.lists(shares, min_size=len(costs), max_size=len(costs))))
    ]
    items = {f"item_{n}": (f"{cost:f}", "ton") for n, cost in enumerate(costs)}
    crew = crew_time(str(draw(decimals(0, 200, 2))), days="2.5", shares=draw(shares))
    of = prices({**items, "crew_hour": ("41.37", "h")}, places=draw(st.sampled_from([0, 2, 3])))
    return lines, of, labor(crew)


def price_of(given_things: Given, of: Terms, more: list[Extra]) -> Price:
    """The price of what was drawn."""
    lines, of_prices, work = given_things
    return priced(lines, of_prices, of, work=work, extras=more, walls=WALLS)


@given(givens(), terms, extras)
def test_price_adds_up(given_things: Given, of: Terms, more: list[Extra]) -> None:
    """Line prices make the subtotal, line costs the direct cost, walls and the rest the subtotal,
    subtotal and tax the total; no amount is below 0."""
    price = price_of(given_things, of, more)
    assert total_of(line.price for line in price.lines) == price.subtotal
    assert total_of(line.cost for line in price.lines) == price.direct_cost
    by_wall = total_of(amount for _, amount in price.by_wall)
    assert by_wall + price.site_wide == price.subtotal
    assert price.subtotal + price.tax == price.total
    parts = (price.overhead, price.contingency, price.profit, price.added_to_reach_minimum)
    assert price.subtotal == price.direct_cost + sum(parts) - price.discount
    assert min(price.subtotal, price.tax, price.deposit, *parts) >= 0


@given(givens(), terms, extras)
def test_price_keeps_the_currency_s_places(
    given_things: Given, of: Terms, more: list[Extra]
) -> None:
    """Every amount has exactly the places of the currency."""
    price = price_of(given_things, of, more)
    amounts = [
        *(amount for line in price.lines for amount in (line.cost, line.price)),
        *(amount for _, amount in price.by_wall),
        *(price.direct_cost, price.overhead, price.contingency, price.profit, price.discount),
        *(price.added_to_reach_minimum, price.subtotal, price.tax, price.total, price.deposit),
        price.site_wide,
    ]
    places = given_things[1].minor_places
    assert {amount.as_tuple().exponent for amount in amounts} == {-places}


@given(givens(), terms, extras)
def test_price_taxes_the_taxable_lines_once(
    given_things: Given, of: Terms, more: list[Extra]
) -> None:
    """Tax is the rate times the sum of the taxable prices, within half a minor unit."""
    price = price_of(given_things, of, more)
    base = total_of(line.price for line in price.lines if line.taxable)
    exact = Fraction(of.tax.rate) * Fraction(base)
    half = Fraction(1, 2 * 10 ** given_things[1].minor_places)
    assert abs(Fraction(price.tax) - exact) <= half


@given(givens(), terms, extras, st.permutations(range(3)))
def test_price_is_the_same_in_any_order_of_walls(
    given_things: Given, of: Terms, more: list[Extra], order: list[int]
) -> None:
    """Walls in another order change no line, no sum, and no wall's price."""
    lines, of_prices, work = given_things
    walls = tuple(WALLS[i] for i in order)

    def turned(held: Shares) -> Shares:
        return tuple(held[i] for i in order)

    other = priced(
        [
            bought(each.item, str(each.order), "ton", group="stone", shares=turned(each.shares))
            for each in lines
        ],
        of_prices,
        of,
        work=labor(
            *(
                crew_time(str(crew.paid_hours), days=str(crew.days), shares=turned(crew.shares))
                for crew in work.crews
            )
        ),
        extras=more,
        walls=walls,
    )
    price = price_of(given_things, of, more)
    assert other.lines == price.lines
    assert (other.total, other.site_wide) == (price.total, price.site_wide)
    assert sorted(other.by_wall) == sorted(price.by_wall)


@given(givens(), terms, decimals(0, 1000, 0))
def test_price_never_falls_when_a_cost_is_added(
    given_things: Given, of: Terms, added: Decimal
) -> None:
    """One more cost never lowers the subtotal."""
    before = price_of(given_things, of, [])
    after = price_of(given_things, of, [Extra(description="More", kind="fee", cost=added)])
    assert after.subtotal >= before.subtotal
