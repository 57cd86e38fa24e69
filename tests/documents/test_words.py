"""Words and figures of documents, by language."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.documents.words import words_of

DECIMALS = st.decimals(-10_000_000, 10_000_000, places=4).map(lambda value: f"{value:f}")


@pytest.mark.parametrize(
    ("language", "units", "figure", "money", "day"),
    [
        ("en", "us", "1,234,567.8900", "$13,064.62", "May 4, 2026"),
        ("es", "us", "1,234,567.8900", "$13,064.62", "4 de mayo de 2026"),
        ("es", "metric", "1.234.567,8900", "13.064,62\xa0US$", "4 de mayo de 2026"),
    ],
)
def test_words_write_figures_as_the_language_does(
    language: str, units: str, figure: str, money: str, day: str
) -> None:
    """Every digit stays; grouping, decimal sign and the place of the currency are CLDR's."""
    words = words_of(language, units)  # type: ignore[arg-type]
    assert words.figure("1234567.8900") == figure
    assert words.money("13064.62", "USD") == money
    assert words.day("2026-05-04") == day


@given(text=DECIMALS)
def test_figure_keeps_every_digit(text: str) -> None:
    """Grouping takes nothing away: without it the figure is the one that came."""
    assert words_of("en").figure(text).replace(",", "") == f"{Decimal(text):f}"


@given(text=DECIMALS)
def test_money_keeps_every_digit(text: str) -> None:
    """A sum prints all its places, more than its currency has too."""
    printed = words_of("en").money(text, "USD")
    assert printed.replace(",", "").replace("$", "") == f"{Decimal(text):f}"


def test_say_never_looks_into_a_figure() -> None:
    """What a caller wrote is no message: its braces stand as they are."""
    assert words_of("en").say("{a} and {b}", a="{b} %s {0}", b=2) == "{b} %s {0} and 2"


def test_share_is_a_percentage_with_all_digits() -> None:
    """0.075 is 7.5 %."""
    assert words_of("en").share("0.075") == "7.5 %"
    assert words_of("es", "metric").share("0.10") == "10 %"
