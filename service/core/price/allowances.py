"""Sums that the terms set aside for a caution: a permit fee, the joining of a storm drain."""

from __future__ import annotations

from collections.abc import Sequence

from service.core import rounding
from service.core.errors import Fault, PriceFaultsError
from service.core.job.jurisdiction import Caution
from service.core.job.price_list import PriceList
from service.core.job.terms import Allowance, Extra, Terms


def allowances(
    terms: Terms | None, cautions: Sequence[Caution], prices: PriceList
) -> tuple[Extra, ...]:
    """The sums of the terms whose caution is given, each once for the job, in the terms' order.

    Raises PriceFaultsError (`too-many-places`, `currency-mismatch`) for sums that can't be added
    to prices in the currency of `prices`.
    """
    given = [caution.code for caution in cautions]
    held = [each for each in (terms.allowances if terms else ()) if each.caution in given]
    faults = [fault for each in held for fault in _faults(each, terms, prices)]
    if faults:
        raise PriceFaultsError(faults)
    return tuple(
        Extra(
            description=each.description,
            kind=each.kind,
            cost=each.cost,
            reason=f"set aside by the terms for the caution {each.caution}",
        )
        for each in held
    )


def _faults(each: Allowance, terms: Terms | None, prices: PriceList) -> list[Fault]:
    at = ("terms", "allowances", each.caution, "cost")
    if terms and terms.currency not in (None, prices.currency):
        message = f"the terms hold sums in {terms.currency}, prices are in {prices.currency}"
        hint = f"terms in {prices.currency}, or without sums of money"
        return [Fault(code="currency-mismatch", at=("terms",), message=message, hint=hint)]
    rounded = rounding.minor_unit(each.cost, prices.minor_places)
    if rounded == each.cost:
        return []
    message = f"{each.cost:f} has more places than {prices.currency} has"
    return [Fault(code="too-many-places", at=at, message=message, hint=f"{rounded:f}")]
