"""Core's Fraction against the standard library's, from which it must not differ."""

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


@given(value=RATIOS)
def test_fraction_reads_and_writes_like_the_standard_one(value: fractions.Fraction) -> None:
    """Text, hash, truth, sign, float, whole numbers and a pickle are those of the standard one."""
    ours = twin(value)
    for of in (str, hash, bool, abs, operator.neg, float, int, round, math.floor, math.ceil):
        assert of(ours) == of(value)
    assert Fraction(str(value)) == ours == value
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
    """Sums, products and quotients, with whole numbers too, are exact and stay what core has."""
    ours = of(twin(left), twin(right))
    assert ours == of(left, right)
    assert type(ours) is type(of(twin(left), whole)) is type(of(whole, twin(right))) is Fraction
    assert of(twin(left), whole) == of(left, whole)
    assert of(whole, twin(right)) == of(whole, right)
    assert of(twin(left), right) == of(left, twin(right)) == ours
    assert type(of(twin(left), right)) is type(of(left, twin(right))) is Fraction
    assert math.gcd(ours.numerator, ours.denominator) == 1
    assert ours.denominator > 0


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


@pytest.mark.parametrize("of", [operator.add, operator.sub, operator.mul, operator.truediv])
def test_fraction_mixes_with_no_decimal(of: Callable[[Any, Any], Any]) -> None:
    """A ratio and a decimal are refused together, as by the standard one."""
    for left, right in ((Fraction(1, 3), Decimal(1)), (Decimal(1), Fraction(1, 3))):
        with pytest.raises(TypeError):
            of(left, right)


@pytest.mark.parametrize("of", [operator.add, operator.sub, operator.mul, operator.truediv])
def test_fraction_and_a_float_make_a_float(of: Callable[[Any, Any], Any]) -> None:
    """Binary floats stay what they are, as with the standard one."""
    standard = fractions.Fraction(1, 3)
    assert of(twin(standard), 0.7) == of(standard, 0.7)
    assert of(0.7, twin(standard)) == of(0.7, standard)
    assert (twin(standard) < 0.7) is (twin(standard) <= 0.7) is True
    assert (twin(standard) > 0.7) is (twin(standard) >= 0.7) is (twin(standard) == 0.7) is False


def test_fraction_divides_by_no_zero() -> None:
    """A quotient by 0 is an error, of ratios and of whole numbers."""
    for left, right in ((Fraction(1, 3), Fraction(0)), (Fraction(1, 3), 0), (1, Fraction(0))):
        with pytest.raises(ZeroDivisionError):
            operator.truediv(left, right)
    with pytest.raises(ZeroDivisionError):
        Fraction(1, 0)
