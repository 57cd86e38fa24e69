"""Sums that the terms set aside for cautions."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.core.errors import PriceFaultsError
from service.core.job.price_list import PriceList
from service.core.job.terms import Allowance, Terms
from service.core.price.allowances import allowances


def allowance(code: str, cost: str) -> Allowance:
    """A fee for a caution."""
    return Allowance(caution=code, description=f"For {code}", kind="fee", cost=Decimal(cost))


TERMS = Terms(
    currency="USD",
    allowances=(allowance("street-used", "120.00"), allowance("permit-height", "250.00")),
)
USD = PriceList(id="demo", revision=1, currency="USD", minor_places=2, items={}, overrides={})


def test_allowances_follow_the_cautions_that_are_given() -> None:
    """Only what is given costs, in the order of the terms."""
    given = ["permit-height", "dust", "street-used"]
    found = allowances(TERMS, given, USD)
    assert [(each.description, each.cost) for each in found] == [
        ("For street-used", Decimal("120.00")),
        ("For permit-height", Decimal("250.00")),
    ]
    assert found[0].reason == "set aside by the terms for the caution street-used"


def test_allowances_come_once_for_the_job() -> None:
    """A caution of two walls is one permit."""
    given = ["permit-height", "permit-height"]
    assert len(allowances(TERMS, given, USD)) == 1


def test_allowances_need_terms_and_cautions() -> None:
    """Without terms, or without a caution, nothing is added."""
    assert allowances(None, ["street-used"], USD) == ()
    assert allowances(TERMS, [], USD) == ()


def test_allowances_refuse_more_places_than_the_currency_has() -> None:
    """A tenth of a cent can't be paid; a sum that isn't needed doesn't matter."""
    terms = Terms(allowances=(allowance("street-used", "120.005"),))
    with pytest.raises(PriceFaultsError) as caught:
        allowances(terms, ["street-used"], USD)
    (fault,) = caught.value.faults
    assert (fault.code, fault.hint) == ("too-many-places", "120.01")
    assert fault.at == ("terms", "allowances", "street-used", "cost")
    assert allowances(terms, ["dust"], USD) == ()


def test_allowances_refuse_another_currency() -> None:
    """Sums in one currency can't be added to prices in another."""
    terms = Terms(currency="CAD", allowances=(allowance("street-used", "120.00"),))
    with pytest.raises(PriceFaultsError) as caught:
        allowances(terms, ["street-used"], USD)
    assert [fault.code for fault in caught.value.faults] == ["currency-mismatch"]
