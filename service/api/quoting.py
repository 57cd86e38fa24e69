"""How a caller is quoted: with prices, or as the field is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from service.catalog import Catalog
from service.operations.callers.caller import Caller
from service.operations.field.comparison import PreparedFieldComparison, prepare_field_comparison
from service.operations.field.elsewhere import answer_field_comparison, answer_field_quote
from service.operations.field.quote import PreparedFieldQuote, prepare_field_document
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.comparison import PreparedComparison, prepare_comparison
from service.operations.quoting.elsewhere import Asked, answer_comparison, answer_quote
from service.operations.quoting.quote import PreparedQuote, prepare_document

if TYPE_CHECKING:
    from service.operations.callers.website.price_range import PreparedRange

AnyPreparedQuote = PreparedQuote | PreparedFieldQuote
AnyPrepared: TypeAlias = (
    "AnyPreparedQuote | PreparedComparison | PreparedFieldComparison | PreparedRange"
)
Answer = Callable[[Catalog, Asked], bytes]
Prepare: TypeAlias = "Callable[[object, Catalog, StoredPrices | None], AnyPrepared]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Quoting:
    """Functions that read and answer: here, and in a process that calculates."""

    prepare_quote: Callable[[object, Catalog, StoredPrices | None], AnyPreparedQuote]
    answer_quote: Answer
    prepare_comparison: Prepare
    answer_comparison: Answer


WITH_PRICES = Quoting(
    prepare_quote=prepare_document,
    answer_quote=answer_quote,
    prepare_comparison=prepare_comparison,
    answer_comparison=answer_comparison,
)
FOR_FIELD = Quoting(
    prepare_quote=prepare_field_document,
    answer_quote=answer_field_quote,
    prepare_comparison=prepare_field_comparison,
    answer_comparison=answer_field_comparison,
)


def quoting_for(caller: Caller) -> Quoting:
    """How a caller is quoted."""
    return WITH_PRICES if caller.sees_money else FOR_FIELD
