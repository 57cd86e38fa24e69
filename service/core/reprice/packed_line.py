"""One cost line of a quote as it is packed: its amounts, before it is priced."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from service.core.fraction import Fraction
from service.core.job.price_list import ItemPrice
from service.core.job.section import Group
from service.core.job.terms import Kind
from service.core.reprice import packed_format as form
from service.core.reprice.packed_header import PricingIrregularError, bounded

InUnit = tuple[str, Decimal]  # unit, how much of it


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedLine:
    """One cost line before it is priced: its amount in each unit in which it may be."""

    item: str
    group: Group
    kind: Kind
    amounts: tuple[InUnit, ...]
    own: tuple[ItemPrice, int] | None = None
    hired: bool = False
    stock: bool = False
    mass_kg: float = 0.0
    pallets: int = 0


def exact_decimal(exact: Fraction) -> Decimal:
    """The decimal that two decimals' product is. Raises PricingIrregularError."""
    scaled = exact * 10**form.MOST_PLACES
    if scaled.denominator != 1:
        raise PricingIrregularError
    return Decimal(bounded(scaled.numerator)).scaleb(-form.MOST_PLACES)


def sum_of(amounts: Iterable[Decimal]) -> Decimal:
    """Their exact sum. Raises PricingIrregularError."""
    return exact_decimal(sum((Fraction(amount) for amount in amounts), Fraction(0)))
