"""Exact money: spreading totals, splitting over walls, showing figures."""

from __future__ import annotations

import decimal
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core import rounding
from service.core.money import (
    counted,
    hour_cost,
    percent,
    plain,
    result,
    split,
    spread,
    total_of,
)


def amounts(total: str, weights: list[str], places: int = 2) -> list[str]:
    """What each line gets of a total."""
    return [
        f"{part.amount:f}" for part in spread(Decimal(total), [Decimal(w) for w in weights], places)
    ]


@pytest.mark.parametrize(
    ("total", "weights", "expected"),
    [
        ("10.00", ["1", "1", "1"], ["3.34", "3.33", "3.33"]),
        ("20.00", ["1", "1", "1"], ["6.67", "6.67", "6.66"]),
        ("0.02", ["1", "1", "1"], ["0.01", "0.01", "0.00"]),
        ("10.00", ["1", "2", "3"], ["1.67", "3.33", "5.00"]),
        ("100.00", ["0", "1", "1"], ["0.00", "50.00", "50.00"]),
        ("0.01", ["0", "3", "1"], ["0.00", "0.01", "0.00"]),
    ],
)
def test_spread_places_odd_cents_by_largest_remainder(
    total: str, weights: list[str], expected: list[str]
) -> None:
    """Each line gets its share cut to the cent; left cents go to the largest remainders."""
    assert amounts(total, weights) == expected


def test_spread_breaks_ties_to_the_earlier_line() -> None:
    """Of two equal remainders the earlier line gets the cent, and says so."""
    first, second = spread(Decimal("20.01"), [Decimal(10), Decimal(10)], 2)
    assert (first.amount, second.amount) == (Decimal("10.01"), Decimal("10.00"))
    assert (first.odd, second.odd) == (Decimal("0.01"), None)


@pytest.mark.parametrize(
    ("places", "total", "expected"),
    [(0, "100", ["34", "33", "33"]), (3, "1.000", ["0.334", "0.333", "0.333"])],
)
def test_spread_counts_in_the_currency_s_minor_unit(
    places: int, total: str, expected: list[str]
) -> None:
    """A yen has no places and a dinar three."""
    assert amounts(total, ["1", "1", "1"], places) == expected


def test_spread_gives_the_first_line_all_where_all_weights_are_zero() -> None:
    """Where all costs are 0 the first line carries the subtotal."""
    assert amounts("500.00", ["0", "0"]) == ["500.00", "0.00"]


def test_spread_of_no_lines_is_empty() -> None:
    """Nothing is spread over no lines."""
    assert amounts("0.00", []) == []


def test_spread_is_exact_under_any_decimal_context() -> None:
    """A caller's decimal context of four digits changes no cent."""
    with decimal.localcontext(prec=4):
        parts = spread(Decimal("1234567.89"), [Decimal(1), Decimal(2)], 2)
        assert total_of(part.amount for part in parts) == Decimal("1234567.89")
    assert [f"{part.amount:f}" for part in parts] == ["411522.63", "823045.26"]


def test_split_breaks_ties_to_the_wall_whose_name_sorts_first() -> None:
    """Two equal walls under an odd cent: the cent goes by name, in either order of walls."""
    expected = (("lower", Decimal("0.51")), ("upper", Decimal("0.50")))
    assert split(Decimal("1.01"), (("upper", 3.0), ("lower", 3.0)), 2) == expected
    assert split(Decimal("1.01"), (("lower", 3.0), ("upper", 3.0)), 2) == expected


def test_split_takes_nets_without_float_noise() -> None:
    """0.1 + 0.2 and 0.3 of something are equal shares, and the cent goes by name."""
    shares = (("b", 0.1 + 0.2), ("a", 0.3))
    assert split(Decimal("1.01"), shares, 2) == (("a", Decimal("0.51")), ("b", Decimal("0.50")))


def test_split_follows_net_amounts() -> None:
    """A wall of twice the net amount carries twice the price."""
    assert split(Decimal("9.00"), (("a", 1.5), ("b", 3.0)), 2) == (
        ("a", Decimal("3.00")),
        ("b", Decimal("6.00")),
    )


def test_split_gives_all_to_the_only_wall_with_a_share() -> None:
    """One wall carries the whole price, under its own name."""
    assert split(Decimal("9.01"), (("a", 1.5), ("b", 0.0)), 2) == (("a", Decimal("9.01")),)


@pytest.mark.parametrize("shares", [(), (("a", 0.0),)])
def test_split_of_no_shares_is_empty(shares: tuple[tuple[str, float], ...]) -> None:
    """What no wall has a share in belongs to none."""
    assert split(Decimal("9.00"), shares, 2) == ()


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (Fraction(1, 8), "0.125"),
        (Fraction(1, 3), "about 0.333333333333"),
        (Decimal("10.00"), "10"),
        (Decimal("123456789.123456"), "123456789.123456"),
        (Decimal("0.1234567890123456789012345"), "about 0.123456789012"),
        (Fraction(0), "0"),
    ],
)
def test_plain_says_when_a_figure_is_cut(value: Decimal | Fraction, expected: str) -> None:
    """A figure that ends stands in full, another says `about`."""
    assert plain(value) == expected


def test_hour_cost_adds_the_burden_to_the_wage() -> None:
    """30.01 an hour and 12.345 % on top: 30.01 x 1.12345 = 33.7147345, to six places half up."""
    exact, rounded = hour_cost(Decimal("30.01"), Decimal("0.12345"))
    assert exact == Fraction(337147345, 10**7)
    assert rounded == Decimal("33.714735")


def test_percent_shows_a_ratio_as_a_percentage() -> None:
    """0.125 is 12.5 %."""
    assert percent(Decimal("0.125")) == "12.5 %"


def test_result_names_what_was_rounded() -> None:
    """An exact result stands alone, a rounded one beside the exact figure."""
    assert result(Fraction(5, 2), Decimal("2.50")) == "= 2.50"
    assert result(Fraction(5, 8), Decimal("0.63")) == "= 0.625, rounded to 0.63"


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (Fraction(1, 200), "0.01"),
        (Fraction(2, 3), "0.67"),
        (Decimal("2.675"), "2.68"),
        (Decimal("-0.005"), "-0.01"),
        (Decimal("-0.004"), "0.00"),
    ],
)
def test_minor_unit_rounds_halves_away_from_zero(value: Decimal | Fraction, expected: str) -> None:
    """Half up, for fractions and decimals alike; nothing prints as -0.00."""
    assert f"{rounding.minor_unit(value, 2):f}" == expected


@given(
    total=st.integers(0, 10**9),
    weights=st.lists(st.integers(0, 10**6), min_size=1, max_size=12),
    places=st.integers(0, 4),
)
def test_spread_adds_up_and_stays_within_one_unit(
    total: int, weights: list[int], places: int
) -> None:
    """Parts add up to the total, each less than one minor unit from its exact share."""
    amount = Decimal(total).scaleb(-places)
    unit = Fraction(1, 10**places)
    parts = spread(amount, [Decimal(weight) for weight in weights], places)
    assert total_of(part.amount for part in parts) == amount
    assert all(abs(Fraction(part.amount) - part.exact) < unit for part in parts)


@given(
    cents=st.integers(0, 10**7),
    shares=st.dictionaries(
        st.text(min_size=1, max_size=5), st.floats(0.001, 1e6), min_size=1, max_size=8
    ),
)
def test_split_is_the_same_in_any_order_of_walls(cents: int, shares: dict[str, float]) -> None:
    """The order in which walls stand in the request moves no cent."""
    amount = Decimal(cents).scaleb(-2)
    pairs = tuple(shares.items())
    assert split(amount, pairs, 2) == split(amount, pairs[::-1], 2)
    assert total_of(part for _, part in split(amount, pairs, 2)) == amount


@pytest.mark.parametrize(
    ("count", "word", "said"),
    [
        (Decimal("0.5"), "day", "0.5 days"),
        (Decimal("1.0"), "day", "1 day"),
        (Decimal("1.5"), "day", "1.5 days"),
        (0, "quote", "0 quotes"),
        (1, "stretch", "1 stretch"),
        (2, "stretch", "2 stretches"),
    ],
)
def test_counted_has_the_plural_of_all_but_one(count: Decimal | int, word: str, said: str) -> None:
    """Only exactly one of a thing is singular."""
    assert counted(count, word) == said
