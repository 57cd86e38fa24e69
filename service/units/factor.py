"""What a unit is worth: the only import of Pint.

Pint never sees text: its own reader evaluates arithmetic, takes `4 ft 6 in` for 24 ft·in and can
be made to hang. It is asked once per unit for its factor to SI. What it says of the units that are
read stands in `factors.txt`, so that no process loads it to hear that again; tests hold each line
against it, and `python .ci/tasks.py factors` writes them when units or definitions change.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Context, Decimal, localcontext
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from service.units.symbols import READ, MeasureDimension

if TYPE_CHECKING:
    from pint import UnitRegistry

# 24 digits of a value times 45 of a factor stay exact in 100.
EXACT = Context(prec=100)

FACTORS = Path(__file__).with_name("factors.txt")
_FACTOR_DIGITS = 45
_DEFINITIONS = str(Path(__file__).with_name("definitions.txt"))


@lru_cache(maxsize=128)
def factor(dimension: MeasureDimension, symbol: str) -> Decimal:
    """SI units in one unit, to 45 digits: those that are exact by definition come out exact."""
    kept = _kept().get((dimension, symbol))
    return worked_out(dimension, symbol) if kept is None else kept


def worked_out(dimension: MeasureDimension, symbol: str) -> Decimal:
    """The same, as Pint works it out of the definitions."""
    with localcontext(EXACT):
        registry = _registry()
        parts = {name: Decimal(power) for name, power in READ[dimension][symbol]}
        quantity = registry.Quantity(Decimal(1), registry.UnitsContainer(parts))
        factor: Decimal = quantity.to_base_units().magnitude
    return Context(prec=_FACTOR_DIGITS).plus(factor).normalize(EXACT)


@cache
def _kept() -> Mapping[tuple[str, str], Decimal]:
    lines = FACTORS.read_text(encoding="utf-8").splitlines()
    kept = (line.split() for line in lines if line and not line.startswith("#"))
    return {(dimension, symbol): Decimal(worth) for dimension, symbol, worth in kept}


@cache
def _registry() -> UnitRegistry[Any]:
    # A fifth of a second.
    import pint  # noqa: PLC0415

    return pint.UnitRegistry(filename=_DEFINITIONS, cache_folder=None, non_int_type=Decimal)
