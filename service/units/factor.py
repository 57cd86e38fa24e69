"""What a unit is worth in SI, exactly: the tests hold every unit that is read against Pint.

Pint itself takes three tenths of a second to load; it never reads text here either, as its own
reader evaluates arithmetic and takes `4 ft 6 in` for 24 ft·in.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Context, Decimal
from functools import lru_cache
from types import MappingProxyType

from service.units.symbols import READ, MeasureDimension

# 24 digits of a value times 45 of a factor stay exact in 100.
EXACT = Context(prec=100)

_FOOT = Decimal("0.3048")
_POUND = Decimal("0.45359237")
_GRAVITY = Decimal("9.80665")
# Exact by definition (international yard and pound, standard gravity), but for pi / 180, which
# has 45 digits.
SI: Mapping[str, Decimal] = MappingProxyType(
    {
        "inch": Decimal("0.0254"),
        "foot": _FOOT,
        "yard": 3 * _FOOT,
        "millimeter": Decimal("0.001"),
        "centimeter": Decimal("0.01"),
        "meter": Decimal(1),
        "pound": _POUND,
        "short_ton": 2000 * _POUND,
        "kilogram": Decimal(1),
        "metric_ton": Decimal(1000),
        "force_pound": _POUND * _GRAVITY,
        "kilopascal": Decimal(1000),
        "kilonewton": Decimal(1000),
        "degree": Decimal("0.0174532925199432957692369076848861271344287189"),
    }
)
_FACTOR = Context(prec=45)


@lru_cache(maxsize=128)
def factor(dimension: MeasureDimension, symbol: str) -> Decimal:
    """SI units in one unit, to 45 digits."""
    found = Decimal(1)
    for name, power in READ[dimension][symbol]:
        found = EXACT.multiply(found, EXACT.power(SI[name], power))
    return _FACTOR.plus(found).normalize(EXACT)
