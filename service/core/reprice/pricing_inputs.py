"""What pricing alone needs of a quote: the takeoff, the hours, what was added, and the terms.

Kept with a saved quote, so that new prices enter the calculation at its last step and nothing is
laid out or taken off again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from service.core.job.price_list import ItemPrice, PriceList
from service.core.job.terms import Extra, Terms
from service.core.labor.hours import Labor
from service.core.price.allowances import extras_of
from service.core.price.price import Price
from service.core.price.pricing import price
from service.core.quote import Quote
from service.core.takeoff.quantities import Quantities, QuantityLine


@dataclass(frozen=True, slots=True, kw_only=True)
class PricingInputs:
    """Everything but the price list. `extras` hold the sums that the terms set aside too;
    `overrides` are the prices that the caller set for this quote, which no price list changes."""

    currency: str
    minor_places: int
    lines: tuple[QuantityLine, ...]
    labor: Labor | None
    terms: Terms | None
    extras: tuple[Extra, ...]
    wall_names: tuple[str, ...]
    overrides: Mapping[str, ItemPrice]


def inputs_of(quote: Quote) -> PricingInputs:
    """What the price of a quote was made from."""
    job, prices = quote.job, quote.prices
    return PricingInputs(
        currency=prices.currency,
        minor_places=prices.minor_places,
        lines=quote.quantities.lines,
        labor=quote.labor,
        terms=job.terms,
        extras=extras_of(job, quote.cautions.held, prices),
        wall_names=tuple(wall.name for wall in job.walls),
        overrides=prices.overrides,
    )


def price_inputs(inputs: PricingInputs, prices: PriceList) -> Price:
    """Price what was kept of a quote on another price list, with the quote's own overrides.

    `prices` must be in the currency of `inputs`. Raises PriceFaultsError.
    """
    quantities = Quantities(
        lines=inputs.lines, measured=MappingProxyType({}), delivered_kg=0.0, not_weighed=()
    )
    held = replace(prices, overrides=inputs.overrides)
    return price(quantities, inputs.labor, held, inputs.terms, inputs.extras, inputs.wall_names)
