"""What is paid when: the deposit within the place's cap, and the stages that divide the rest."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from service.catalog.documents import Company
from service.core.job.terms import ContractRules
from service.operations.paper.subject import PricedSubject


@dataclass(frozen=True, slots=True, kw_only=True)
class Payment:
    """One payment, and when it is due; the deposit's `due` is empty."""

    due: str
    sum: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Payments:
    """The deposit and the stages: together they are the total. `capped` says that the place's cap
    made the deposit less than the terms ask for."""

    deposit: Decimal
    capped: bool
    stages: tuple[Payment, ...]


def payments_of(subject: PricedSubject, company: Company) -> Payments:
    """The payments of a quote."""
    total, asked = Decimal(subject.answer.price.total), Decimal(subject.answer.price.deposit)
    rules = subject.quote.job.jurisdiction.contract
    deposit = capped_deposit(asked, total, rules, subject.currency, subject.minor)
    stages = stage_sums(total - deposit, company, subject.minor)
    return Payments(deposit=deposit, capped=deposit < asked, stages=stages)


def capped_deposit(
    asked: Decimal, total: Decimal, rules: ContractRules | None, currency: str, minor: Decimal
) -> Decimal:
    """What of a deposit a place allows: its cap is rounded down, so that no cent is over it."""
    cap = rules.cap(total, currency) if rules else None
    return asked if cap is None else min(asked, cap.quantize(minor, rounding=ROUND_DOWN))


def stage_sums(rest: Decimal, company: Company, minor: Decimal) -> tuple[Payment, ...]:
    """The rest by the company's shares: each cut down to the cent, what is over in the last."""
    sums = [(rest * stage.share).quantize(minor, rounding=ROUND_DOWN) for stage in company.stages]
    if not sums:
        return ()
    sums[-1] += rest - sum(sums)
    stages = zip(company.stages, sums, strict=True)
    return tuple(Payment(due=stage.due, sum=part) for stage, part in stages)
