"""Sums that the terms set aside for a caution: a permit fee, the joining of a storm drain."""

from __future__ import annotations

from collections.abc import Sequence

from service.core import rounding
from service.core.errors import Fault, PriceFaultsError
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.job.terms import Allowance, Extra, Terms


def extras_of(job: Job, held: Sequence[str], prices: PriceList) -> tuple[Extra, ...]:
    """The extras of a job and what its terms set aside for the cautions `held`; material alone
    brings none of these. Raises PriceFaultsError, as `allowances` does."""
    set_aside = () if job.materials_only else allowances(job.terms, held, prices)
    return (*job.extras, *set_aside)


def allowances(terms: Terms | None, held: Sequence[str], prices: PriceList) -> tuple[Extra, ...]:
    """The sums of the terms whose caution is among the codes `held`, each once for the job, in the
    terms' order.

    Raises PriceFaultsError (`too-many-places`, `currency-mismatch`) for sums that can't be added
    to prices in the currency of `prices`.
    """
    due = [each for each in (terms.allowances if terms else ()) if each.caution in held]
    faults = [fault for allowance in due for fault in _faults(allowance, terms, prices)]
    if faults:
        raise PriceFaultsError(faults)
    return tuple(
        Extra(
            description=allowance.description,
            kind=allowance.kind,
            cost=allowance.cost,
            reason=f"set aside by the terms for the caution {allowance.caution}",
        )
        for allowance in due
    )


def _faults(allowance: Allowance, terms: Terms | None, prices: PriceList) -> list[Fault]:
    at = ("terms", "allowances", allowance.caution, "cost")
    if terms and terms.currency not in (None, prices.currency):
        message = f"the terms hold sums in {terms.currency}, prices are in {prices.currency}"
        hint = f"terms in {prices.currency}, or without sums of money"
        return [Fault(code="currency-mismatch", at=("terms",), message=message, hint=hint)]
    rounded = rounding.minor_unit(allowance.cost, prices.minor_places)
    if rounded == allowance.cost:
        return []
    message = f"{allowance.cost:f} has more places than {prices.currency} has"
    return [Fault(code="too-many-places", at=at, message=message, hint=f"{rounded:f}")]
