"""The head of a quote's packed pricing: the roll-up that it was issued with, and its terms."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from decimal import Decimal
from struct import Struct
from typing import assert_never, get_args

import numpy as np
from numpy.typing import NDArray

from service.core import rounding
from service.core.closed_list import row_each
from service.core.fraction import Fraction
from service.core.job.terms import Profit, TaxBase, Terms
from service.core.price.price import Price
from service.core.reprice import packed_format as form
from service.core.reprice.pricing_inputs import PricingInputs
from service.core.rounding import minor_units

_TAX_BASES: Mapping[TaxBase, int] = row_each(
    get_args(TaxBase), {"price": form.PRICE_BASE, "purchase": form.PURCHASE_BASE}
)

Records = NDArray[np.void]

# Amounts, margin and costs by group end the head, one after the other.
_ROLL_UP = Struct(f"<{len(form.AMOUNTS)}qi{len(form.GROUP_CODES)}q")
_ROLL_UP_AT = form.HEADER.itemsize - _ROLL_UP.size


class PricingIrregularError(ValueError):
    """A quote that the integers can't hold; it is re-priced by the ordinary calculation."""


def keep_price(header: Records, price: Price, places: int) -> None:
    """The roll-up as it stands, in minor units."""
    header["amounts"] = [minor_units(getattr(price, name), places) for name in form.AMOUNTS]
    header["margin"] = form.NO_MARGIN
    if price.margin is not None:
        header["margin"] = minor_units(price.margin, form.MARGIN_PLACES)
    by_group = dict.fromkeys(form.GROUP_CODES, 0)
    for line in price.lines:
        by_group[line.group] += minor_units(line.cost, places)
    header["cost_by_group"] = [by_group[group] for group in form.GROUP_CODES]


def packed_size(pricing: bytes) -> int:
    """How many of the bytes are packed; the inputs as a whole stand after them."""
    header = np.frombuffer(pricing, form.HEADER, count=1)[0]
    counted = zip(form.COUNTED, form.SECTIONS, strict=True)
    return form.HEADER.itemsize + sum(int(header[name]) * kind.itemsize for name, kind in counted)


def packed_again(
    packed: bytes, amounts: Sequence[int], by_group: Sequence[int], margin: int | None
) -> bytes:
    """A packed quote with another roll-up, in minor units and ten-thousandths, as a re-pricing
    leaves it: nothing else in it goes by prices."""
    again = bytearray(packed)
    held = form.NO_MARGIN if margin is None else margin
    _ROLL_UP.pack_into(again, _ROLL_UP_AT, *amounts, held, *by_group)
    return bytes(again)


def keep_terms(header: Records, inputs: PricingInputs) -> None:
    """The terms as exact ratios. Raises PricingIrregularError where one is too large."""
    terms, unit = inputs.terms or Terms(), 10**inputs.minor_places
    crew_days = inputs.labor.crew_days if inputs.labor else Decimal(0)
    per_days = Fraction(terms.overhead_per_crew_day) * Fraction(crew_days) * unit
    share = Fraction(terms.overhead_share)
    whole = math.lcm(share.denominator, per_days.denominator)
    _hold(header, "overhead", (share * whole).numerator)
    _hold(header, "overhead_days", (per_days * whole).numerator)
    _hold(header, "overhead_whole", whole)
    shares = {
        "contingency": Fraction(terms.contingency),
        "profit": _profit_on_cost(terms.profit),
        "tax": Fraction(terms.tax.rate),
        "deposit": Fraction(terms.deposit),
    }
    for name, ratio in shares.items():
        _hold(header, name, ratio.numerator)
        _hold(header, f"{name}_whole", ratio.denominator)
    for name in ("discount", "minimum_charge"):
        rounded = rounding.minor_unit(getattr(terms, name), inputs.minor_places)
        _hold(header, name, minor_units(rounded, inputs.minor_places))
    header["tax_base"] = _TAX_BASES[terms.tax.base]
    header["taxed_kinds"] = sum(1 << form.KIND_CODES.index(kind) for kind in terms.tax.on)


def _profit_on_cost(profit: Profit) -> Fraction:
    """Profit as a share of what it is added to."""
    share = Fraction(profit.share)
    match profit.basis:
        case "markup":
            return share
        case "margin":
            return share / (1 - share)
        case _:
            assert_never(profit.basis)


def _hold(header: Records, name: str, value: int) -> None:
    header[name] = bounded(value)


def bounded(value: int) -> int:
    """A whole number that fits. Raises PricingIrregularError."""
    if abs(value) >= form.LARGEST:
        raise PricingIrregularError
    return value


def scaled(amount: Decimal) -> tuple[int, int]:
    """An amount as a whole number of 10^-places."""
    exact = Fraction(amount)
    places = next((n for n in range(form.MOST_PLACES + 1) if 10**n % exact.denominator == 0), None)
    if places is None:
        raise PricingIrregularError
    return bounded((exact * 10**places).numerator), places
