"""One quote before and after new prices: both roll-ups, and what they mean for its margin.

Amounts are whole minor units, margins ten-thousandths. The bulk calculation and the ordinary one
end here alike, so that what is reported doesn't tell which one was taken.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from service.core import rounding
from service.core.errors import Fault, PriceFaultsError
from service.core.fraction import Fraction
from service.core.job.price_list import PriceList
from service.core.job.terms import Terms
from service.core.money import spread, total_of
from service.core.price.price import Price
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import BulkPrices
from service.core.reprice.packed import pack_inputs
from service.core.reprice.pricing_inputs import PricingInputs, price_inputs

_ONE = 10**form.MARGIN_PLACES
_COST = ("direct_cost", "overhead", "contingency")


@dataclass(frozen=True, slots=True, kw_only=True)
class Repriced:
    """Old and new amounts in the order of `form.AMOUNTS`, costs in that of `form.GROUP_CODES`.

    `margin_at_old_price` is what the old subtotal leaves over the new cost; `price_to_hold_margin`
    the subtotal that leaves the old margin over it, `total_to_hold_margin` that with its tax. None:
    there is no such figure.
    """

    old: tuple[int, ...]
    new: tuple[int, ...]
    old_by_group: tuple[int, ...]
    new_by_group: tuple[int, ...]
    old_margin: int | None
    new_margin: int | None
    margin_at_old_price: int | None
    price_to_hold_margin: int | None
    total_to_hold_margin: int | None
    kept_overrides: int

    @property
    def new_total(self) -> int:
        """The total at new prices."""
        return self.new[form.AMOUNTS.index("total")]

    @property
    def lost(self) -> int:
        """What the old price loses: the new cost less the old one, overhead and contingency in."""
        return _cost(self.new) - _cost(self.old)

    @property
    def changed(self) -> bool:
        """Whether any amount is another one."""
        return self.old != self.new or self.old_by_group != self.new_by_group

    def under(self, floor: Fraction | None) -> bool:
        """Whether the old price leaves less over the new cost than the floor, both shares of
        it; a quote without a price has no margin to fall."""
        if floor is None or self.margin_at_old_price is None:
            return False
        return Fraction(self.margin_at_old_price, _ONE) < floor


def repriced_each(bulk: BulkPrices) -> Iterator[Repriced | None]:
    """Each quote of a bulk calculation; None where the ordinary one must be asked."""
    columns = (
        bulk.ordinary,
        bulk.old_amounts,
        bulk.amounts,
        bulk.old_cost_by_group,
        bulk.cost_by_group,
        bulk.old_margin,
        bulk.margin,
        bulk.margin_at_old_price,
        bulk.price_to_hold_margin,
        bulk.total_to_hold_margin,
        bulk.kept_overrides,
    )
    for ordinary, *held in zip(*(column.tolist() for column in columns), strict=True):
        if ordinary:
            yield None
            continue
        old, new, old_groups, new_groups, old_margin, margin, at_old, *prices, kept = held
        yield Repriced(
            old=tuple(old),
            new=tuple(new),
            old_by_group=tuple(old_groups),
            new_by_group=tuple(new_groups),
            old_margin=_margin(old_margin),
            new_margin=_margin(margin),
            margin_at_old_price=_margin(at_old),
            price_to_hold_margin=_price(prices[0]),
            total_to_hold_margin=_price(prices[1]),
            kept_overrides=kept,
        )


def reprice_ordinary(inputs: PricingInputs, packed: bytes, prices: PriceList) -> Repriced:
    """One quote by the ordinary calculation; what it was before is read from its packed pricing.

    Raises PriceFaultsError, also for amounts beyond 2^62 minor units (`amount-too-large`).
    """
    price = price_inputs(inputs, prices)
    _check_size(price, prices)
    before = np.frombuffer(packed, form.HEADER, count=1)[0]
    after = np.frombuffer(pack_inputs(inputs, price), form.HEADER, count=1)[0]
    old, new = tuple(before["amounts"].tolist()), tuple(after["amounts"].tolist())
    cost = _cost(new)
    old_margin = _margin(before["margin"].item())
    held = price_for(old_margin, cost)
    return Repriced(
        old=old,
        new=new,
        old_by_group=tuple(before["cost_by_group"].tolist()),
        new_by_group=tuple(after["cost_by_group"].tolist()),
        old_margin=old_margin,
        new_margin=_margin(after["margin"].item()),
        margin_at_old_price=margin_at(old[form.AMOUNTS.index("subtotal")], cost),
        price_to_hold_margin=held,
        total_to_hold_margin=None if held is None else held + _tax_at(held, price, inputs),
        kept_overrides=sum(line.override for line in price.lines),
    )


def _check_size(price: Price, prices: PriceList) -> None:
    if max(price.total, price.deposit).scaleb(prices.minor_places) >= form.LARGEST:
        message = f"{price.total:f} is more than can be kept"
        raise PriceFaultsError([Fault(code="amount-too-large", at=("prices",), message=message)])


def margin_at(subtotal: int, cost: int) -> int | None:
    """(subtotal - cost) / subtotal in ten-thousandths, half up; None of nothing."""
    if subtotal == 0:
        return None
    return rounding.minor_units(
        rounding.margin(Fraction(subtotal - cost, subtotal)), form.MARGIN_PLACES
    )


def price_for(margin: int | None, cost: int) -> int | None:
    """Cost / (1 - margin), half up to the minor unit; None where no price leaves that margin."""
    if margin is None or margin >= _ONE:
        return None
    return rounding.minor_units(rounding.minor_unit(Fraction(cost * _ONE, _ONE - margin), 0), 0)


def _tax_at(subtotal: int, priced: Price, inputs: PricingInputs) -> int:
    """The tax on another subtotal over the same costs, in minor units."""
    places, tax = inputs.minor_places, (inputs.terms or Terms()).tax
    whole = Decimal(subtotal).scaleb(-places)
    parts = spread(whole, [line.cost for line in priced.lines], places)
    pairs = zip(priced.lines, parts, strict=True)
    base = total_of([Decimal(0), *(part.amount for line, part in pairs if line.taxable)])
    return rounding.minor_units(
        rounding.minor_unit(Fraction(tax.rate) * Fraction(base), places), places
    )


def _cost(amounts: Sequence[int]) -> int:
    return sum(amounts[form.AMOUNTS.index(name)] for name in _COST)


def _price(held: int) -> int | None:
    return None if held < 0 else held


def _margin(held: int) -> int | None:
    return None if held == form.NO_MARGIN else held
