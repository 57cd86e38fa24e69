"""Figures as an answer prints them: measures in the request's unit set, exact decimals."""

from __future__ import annotations

from decimal import Decimal

from service.core.measure import Dimension, UnitSet, in_unit, number
from service.operations.answer_figures import Measure


def measure_of(value: float, dimension: Dimension, units: UnitSet) -> Measure:
    """An SI value in the unit that the request's unit set has for its dimension."""
    unit = units.unit_for(dimension)
    return Measure(value=number(in_unit(value, unit)), unit=unit)


def difference(total: Decimal, base: Decimal) -> str:
    """By how much a total is over another; nothing is 0, without a sign."""
    found = total - base
    return plain(abs(found) if found.is_zero() else found)


def plain(value: Decimal) -> str:
    """A decimal as it stands, without an exponent."""
    return format(value, "f")
