"""Deposits within a place's cap, and the payments that divide the rest."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.catalog.documents.company import Company, Stage
from service.core.job.terms import ContractRules
from service.operations.paper.payments import capped_deposit, stage_sums

CENT = Decimal("0.01")
# The lesser of 1,000 and a tenth (California Business and Professions Code 7159.5, as read in an
# agency's notice of 2022), and one third (Maine, title 10, section 1487): rounded down, as half a
# cent more is over the limit.
TENTH = ContractRules(deposit_share=Decimal("0.10"), deposit_most=Decimal(1000), currency="USD")
THIRD = ContractRules(deposit_share=Decimal(1) / Decimal(3))


@pytest.mark.parametrize(
    ("rules", "total", "most"),
    [
        (TENTH, "800.00", "80.00"),
        (TENTH, "8000.00", "800.00"),
        (TENTH, "9999.99", "999.99"),
        (TENTH, "10000.00", "1000.00"),
        (TENTH, "15000.00", "1000.00"),
        (THIRD, "800.00", "266.66"),
        (THIRD, "8000.00", "2666.66"),
        (THIRD, "10000.00", "3333.33"),
        (THIRD, "50000.00", "16666.66"),
    ],
)
def test_deposit_is_capped_and_rounded_down(rules: ContractRules, total: str, most: str) -> None:
    """A deposit of half the price comes down to the cap, to the cent below it."""
    asked = Decimal(total) / 2
    assert capped_deposit(asked, Decimal(total), rules, "USD", CENT) == Decimal(most)


def test_deposit_below_the_cap_stays() -> None:
    """A cap is no deposit: what the terms ask for below it stands."""
    assert capped_deposit(Decimal("50.00"), Decimal(800), TENTH, "USD", CENT) == Decimal("50.00")
    assert capped_deposit(Decimal("50.00"), Decimal(800), None, "USD", CENT) == Decimal("50.00")


def test_cap_in_another_currency_is_no_sum() -> None:
    """A sum in dollars says nothing of a price in euros; the share holds in any."""
    asked = Decimal(9000)
    assert capped_deposit(asked, Decimal(20000), TENTH, "EUR", CENT) == Decimal("2000.00")


@pytest.mark.parametrize("rest", ["100.00", "100.01", "0.02", "4603.15"])
def test_stages_divide_the_rest_to_the_cent(rest: str) -> None:
    """Each part is cut down, the last one has what is over: together they are the rest."""
    shares = ("0.333333", "0.333333", "0.333334")
    stages = tuple(Stage(due=f"stage {share}", share=Decimal(share)) for share in shares)
    company = Company(
        name="Ours", language="en", paper="letter", quote_number="Q-{number}", stages=stages
    )
    sums = [payment.sum for payment in stage_sums(Decimal(rest), company, CENT)]
    assert sum(sums) == Decimal(rest)
    assert sums[0] == sums[1] <= sums[2]
