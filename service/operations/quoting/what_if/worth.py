"""What an assumption is worth: the total with another value less the total as it is (rule 23.1)."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from msgspec import structs

from service.catalog import Catalog
from service.core.built import Built
from service.core.errors import QuoteFaultsError
from service.core.job.fact import Assumption
from service.core.quote import Quote
from service.operations.quoting.answer import AssumptionAnswer
from service.operations.quoting.changes_request import PatchStep
from service.operations.quoting.measures import difference
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.quoting.sentences import for_reading
from service.operations.quoting.what_if.variants import (
    Variant,
    Variants,
    patched,
    variants_of,
    without_what_if,
)

MOST_REASONS = 3
B = TypeVar("B", bound=Built)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked(Generic[B]):
    """A request as it came and as it was read, with what it may be quoted with instead, and how
    such a request is quoted beside the quote itself: that raises QuoteFaultsError."""

    document: Any
    request: QuoteRequest
    variants: Variants
    quoted: Callable[[object, B], B]

    def variant(self, assumed: Assumption) -> Variant | None:
        """The first other value that fits what is assumed, if any does."""
        variants = self.variants.get(assumed.field, ())
        return next((each for each in variants if each.what_if.fits(assumed.value)), None)

    def tried(self, variant: Variant, like: B) -> tuple[tuple[PatchStep, ...], B | str]:
        """The patch by which the request says another value, and what that is quoted as, beside
        the quote itself; or why it is refused."""
        document = without_what_if(self.document)
        patch = variant.patch(document, self.request)
        try:
            return patch, self.quoted(patched(document, patch), like)
        except QuoteFaultsError as error:
            refused = error.faults[:MOST_REASONS]
            return patch, "; ".join(for_reading(fault.message) for fault in refused)


def asked_of(
    document: object,
    request: QuoteRequest,
    catalog: Catalog,
    quoted: Callable[[object, B], B],
) -> Asked[B] | None:
    """What a request may be quoted with instead, where it asks."""
    if not request.what_if:
        return None
    variants = variants_of(document, catalog)
    return Asked(document=document, request=request, variants=variants, quoted=quoted)


def assumption_answers(quote: Quote, asked: Asked[Quote] | None) -> tuple[AssumptionAnswer, ...]:
    """The assumptions of a quote; where it was asked, each with what another value changes."""
    return tuple(_answered(each, quote, asked) for each in quote.assumptions)


def dearest_first(assumptions: Collection[AssumptionAnswer]) -> list[AssumptionAnswer]:
    """Those that have another value: what changes the total most comes first, what can't be
    quoted last."""
    return sorted((each for each in assumptions if each.if_instead), key=_order)


def _order(each: AssumptionAnswer) -> float:
    return -abs(float(each.changes_total_by)) if each.changes_total_by else 1.0


def _answered(assumption: Assumption, quote: Quote, asked: Asked[Quote] | None) -> AssumptionAnswer:
    """An assumption; where it was asked, with what another value changes."""
    answer = AssumptionAnswer(
        field=assumption.field, value=assumption.value, why=for_reading(assumption.why)
    )
    variant = asked.variant(assumption) if asked else None
    return _worth(answer, variant, quote, asked) if asked and variant else answer


def _worth(
    answer: AssumptionAnswer, variant: Variant, quote: Quote, asked: Asked[Quote]
) -> AssumptionAnswer:
    """An assumption with another value, and what that changes, or why nobody can say."""
    patch, other = asked.tried(variant, quote)
    answer = structs.replace(answer, if_instead=variant.what_if.if_instead, patch=patch)
    if isinstance(other, str):
        return structs.replace(answer, not_quoted=other)
    if words := _not_alike(quote, other):
        return structs.replace(answer, not_quoted=words)
    return structs.replace(
        answer,
        changes_total_by=difference(other.price.total, quote.price.total),
        passes=passes(other),
    )


def _not_alike(quote: Quote, other: Quote) -> str:
    """Why two totals can't be held against each other: one leaves out what the other prices."""
    here = {(gap.part, gap.field): gap for gap in quote.not_priced}
    there = {(gap.part, gap.field): gap for gap in other.not_priced}
    if more := [gap for key, gap in there.items() if key not in here]:
        return f"its total would leave out {more[0].part}: {for_reading(more[0].why)}"
    if less := [gap for key, gap in here.items() if key not in there]:
        return f"its total would hold {less[0].part}, which this one leaves out"
    return ""


def passes(quote: Built) -> bool | None:
    """Whether no check fails; None where none could be made."""
    checks = quote.screening.checks(reinforced=quote.reinforced)
    made = [check for check in checks if check.status != "not_checked"]
    return not any(check.failed for check in made) if made else None
