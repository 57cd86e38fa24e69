"""Exact ratios: the standard library's Fraction with the arithmetic that a quote does, done
directly.

The standard type asks at each operation by abstract classes what kinds of numbers meet; here they
are taken as they come, and what has no numerator is left to the standard type. All else is
inherited: figures, texts, order and hashes are the same. To a type checker it is the standard type.
"""

# ruff: noqa: ANN401  operands are whatever the standard type takes

from __future__ import annotations

import fractions
from math import gcd
from typing import TYPE_CHECKING, Any, Self

__all__ = ["Fraction"]

_new = object.__new__


class Ratio(fractions.Fraction):
    """A ratio of whole numbers in lowest terms, the denominator above 0. What it is added to,
    multiplied by and so on may be a whole number or any Fraction; what comes out is a Ratio."""

    __slots__ = ()
    __hash__ = fractions.Fraction.__hash__
    # Slots of the standard type, read with no function between.
    numerator = fractions.Fraction._numerator  # type: ignore[attr-defined]  # noqa: SLF001
    denominator = fractions.Fraction._denominator  # type: ignore[attr-defined]  # noqa: SLF001

    def __new__(cls, value: Any = 0, denominator: Any = None) -> Self:
        """A number or a text as a ratio, or one whole number by another."""
        if denominator is not None:
            return super().__new__(cls, value, denominator)
        if value.__class__ is cls:
            return value
        try:
            up, down = value.as_integer_ratio()
        except AttributeError:
            return super().__new__(cls, value)
        made: Self = _made(up, down)
        return made

    def __add__(self, other: Any) -> Any:
        try:
            up, down = other.numerator, other.denominator
        except AttributeError:
            return super().__add__(other)
        mine = self.denominator
        if mine == down:
            return _lowest(self.numerator + up, mine)
        return _lowest(self.numerator * down + up * mine, mine * down)

    __radd__ = __add__

    def __sub__(self, other: Any) -> Any:
        try:
            up, down = other.numerator, other.denominator
        except AttributeError:
            return super().__sub__(other)
        mine = self.denominator
        return _lowest(self.numerator * down - up * mine, mine * down)

    def __rsub__(self, other: Any) -> Any:
        try:
            up, down = other.numerator, other.denominator
        except AttributeError:
            return super().__rsub__(other)
        mine = self.denominator
        return _lowest(up * mine - self.numerator * down, mine * down)

    def __mul__(self, other: Any) -> Any:
        try:
            up, down = other.numerator, other.denominator
        except AttributeError:
            return super().__mul__(other)
        return _lowest(self.numerator * up, self.denominator * down)

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Any:
        try:
            up, down = other.numerator, other.denominator
        except AttributeError:
            return super().__truediv__(other)
        return _quotient(self.numerator * down, self.denominator * up)

    def __rtruediv__(self, other: Any) -> Any:
        try:
            up, down = other.numerator, other.denominator
        except AttributeError:
            return super().__rtruediv__(other)
        return _quotient(up * self.denominator, down * self.numerator)

    def __abs__(self) -> Any:
        return _made(abs(self.numerator), self.denominator)

    def __neg__(self) -> Any:
        return _made(-self.numerator, self.denominator)

    def __bool__(self) -> bool:
        return bool(self.numerator)

    def __eq__(self, other: object) -> bool:
        if other.__class__ is Ratio:
            same = self.numerator == other.numerator and self.denominator == other.denominator
            return bool(same)
        return super().__eq__(other)

    def __lt__(self, other: Any) -> bool:
        try:
            return bool(self.numerator * other.denominator < other.numerator * self.denominator)
        except AttributeError:
            return super().__lt__(other)

    def __le__(self, other: Any) -> bool:
        try:
            return bool(self.numerator * other.denominator <= other.numerator * self.denominator)
        except AttributeError:
            return super().__le__(other)

    def __gt__(self, other: Any) -> bool:
        try:
            return bool(self.numerator * other.denominator > other.numerator * self.denominator)
        except AttributeError:
            return super().__gt__(other)

    def __ge__(self, other: Any) -> bool:
        try:
            return bool(self.numerator * other.denominator >= other.numerator * self.denominator)
        except AttributeError:
            return super().__ge__(other)


def _made(numerator: int, denominator: int) -> Any:
    """The ratio of numbers that have no divisor in common."""
    ratio: Any = _new(Ratio)
    ratio._numerator = numerator  # noqa: SLF001
    ratio._denominator = denominator  # noqa: SLF001
    return ratio


def _lowest(numerator: int, denominator: int) -> Any:
    """The ratio of any whole number and one above 0."""
    common = gcd(numerator, denominator)
    ratio: Any = _new(Ratio)
    ratio._numerator = numerator // common  # noqa: SLF001
    ratio._denominator = denominator // common  # noqa: SLF001
    return ratio


def _quotient(numerator: int, denominator: int) -> Any:
    """The ratio of any whole numbers."""
    if denominator < 0:
        return _lowest(-numerator, -denominator)
    if denominator == 0:
        raise ZeroDivisionError(f"{numerator} / 0")
    return _lowest(numerator, denominator)


if TYPE_CHECKING:
    from fractions import Fraction
else:
    Fraction = Ratio
