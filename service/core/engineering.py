"""Engineering settled before a quote goes out: whether what a request says of it can be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import assert_never

from service.core.cautions.caution import Cautions
from service.core.errors import Fault, QuoteFaultsError
from service.core.job.job import Job
from service.core.screening.check import Check
from service.core.screening.check_table import CHECK_TABLE

# How codes of cautions that call for an engineer begin.
ENGINEER = "engineer-"
_AT = ("engineering", "settled")


def check_engineering(job: Job, checks: Sequence[Check], cautions: Cautions) -> None:
    """Raises QuoteFaultsError where what the job says of its engineering can't be (rule 22.9):
    `engineering-not-priced`, `engineering-needed`. `checks` are those of the walls as quoted."""
    if job.engineering is None:
        return
    match job.engineering.settled:
        case "in_price":
            faults = [] if _is_priced(job, cautions.held) else [_not_priced()]
        case "not_needed":
            faults = list(_needed(checks, cautions.design_asked))
        case "by_owner":
            faults = []
        case _:
            assert_never(job.engineering.settled)
    if faults:
        raise QuoteFaultsError(faults)


def _is_priced(job: Job, held: Sequence[str]) -> bool:
    """Whether a line of the price is for it: an extra, or a sum of the terms for a caution that
    calls for an engineer and holds."""
    if any(extra.what == "engineering" for extra in job.extras):
        return True
    sums = job.terms.allowances if job.terms and not job.materials_only else ()
    return any(each.caution.startswith(ENGINEER) and each.caution in held for each in sums)


def _not_priced() -> Fault:
    hint = f'an extra with "for": "engineering", or a sum in terms.allowances for {ENGINEER}…'
    message = "no line of the price holds the engineer's work"
    return Fault(code="engineering-not-priced", at=_AT, message=message, hint=hint)


def _needed(checks: Sequence[Check], design_asked: Sequence[str]) -> Iterator[Fault]:
    """A ratio of what holds to what moves below 1, and each rule that asks for a design."""
    for check in checks:
        row = CHECK_TABLE[check.check]
        ratio = check.value if row.of_a_wall and check.limit == "min" else None
        if ratio is not None and ratio < 1:
            yield _not_allowed(f"{check.wall}: {row.words} has the ratio {ratio:.2f}, below 1")
    for code in design_asked:
        yield _not_allowed(f"the place asks for an engineer's design: {code}")


def _not_allowed(message: str) -> Fault:
    hint = '"by_owner", or "in_price" with a line for it'
    return Fault(code="engineering-needed", at=_AT, message=message, hint=hint)
