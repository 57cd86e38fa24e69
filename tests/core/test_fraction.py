"""The compiled Fraction against the standard library's, from which it must not differ."""

from __future__ import annotations

import fractions
import math
import operator
import pickle
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.fraction import Fraction

TERMS = st.integers(-(10**24), 10**24)
RATIOS = st.builds(fractions.Fraction, TERMS, TERMS.filter(bool))


def twin(value: fractions.Fraction) -> Any:  # noqa: ANN401  both types are Fraction to the checker
    """The same ratio as core has it."""
    return Fraction(value.numerator, value.denominator)


@pytest.mark.parametrize("text", ["0", "7", "-1", "12.5"])
def test_fraction_leaves_alone_what_python_shares(text: str) -> None:
    """A text is read as a Decimal: of a text of one character the compiled type writes into the
    byte 0 that all of Python shares."""
    assert Fraction(Decimal(text)) == fractions.Fraction(text)
    assert chr(0).encode()[0] == 0


def test_fraction_is_the_compiled_one() -> None:
    """Core computes with the compiled type."""
    assert Fraction.__module__ == "quicktions"


@given(value=RATIOS)
def test_fraction_reads_and_writes_like_the_standard_one(value: fractions.Fraction) -> None:
    """Text, hash, truth, sign, float, whole numbers and a pickle are those of the standard one."""
    ours = twin(value)
    for of in (str, repr, hash, bool, abs, operator.neg, float, int, round, math.floor, math.ceil):
        assert of(ours) == of(value)
    assert ours == value
    assert pickle.loads(pickle.dumps(ours)) == ours  # noqa: S301  our own bytes
    assert (ours.numerator, ours.denominator) == (value.numerator, value.denominator)


@pytest.mark.parametrize("of", [operator.add, operator.sub, operator.mul, operator.truediv])
@given(left=RATIOS, right=RATIOS.filter(bool), whole=st.integers(1, 10**9))
def test_fraction_computes_like_the_standard_one(
    of: Callable[[Any, Any], Any],
    left: fractions.Fraction,
    right: fractions.Fraction,
    whole: int,
) -> None:
    """Sums, products and quotients, with whole numbers too, are exact and stay compiled."""
    ours = of(twin(left), twin(right))
    assert ours == of(left, right)
    assert type(ours) is type(of(twin(left), whole)) is type(of(whole, twin(right))) is Fraction
    assert of(twin(left), whole) == of(left, whole)
    assert of(whole, twin(right)) == of(whole, right)


@given(left=RATIOS, right=RATIOS)
def test_fraction_is_ordered_like_the_standard_one(
    left: fractions.Fraction, right: fractions.Fraction
) -> None:
    """Every comparison says what the standard one says."""
    for of in (operator.lt, operator.le, operator.eq, operator.ne, operator.ge, operator.gt):
        assert of(twin(left), twin(right)) == of(left, right)


@given(value=st.decimals(allow_nan=False, allow_infinity=False))
def test_fraction_takes_decimals_exactly(value: Decimal) -> None:
    """A decimal becomes the ratio that it is, and compares with it."""
    assert Fraction(value) == fractions.Fraction(value)
    assert (Fraction(value) > 1) == (value > 1)


@pytest.mark.parametrize("value", [0.1, 1 / 3, -2.5e-300, 1e300])
def test_fraction_takes_floats_exactly(value: float) -> None:
    """A float becomes the ratio of its bits."""
    assert Fraction(value) == fractions.Fraction(value)


def test_fraction_mixes_with_no_decimal() -> None:
    """A sum of a ratio and a decimal is refused, as by the standard one."""
    with pytest.raises(TypeError):
        operator.add(Fraction(1, 3), Decimal(1))
