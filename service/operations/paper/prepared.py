"""A request prepared for paper."""

from __future__ import annotations

from contextlib import suppress

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.field.quote import PreparedFieldQuote, prepare_field_document
from service.operations.paper.asking import DocumentAsked
from service.operations.paper.kinds import KindName
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.quote import PreparedQuote, prepare_document
from service.operations.quoting.what_if.variants import WHAT_IF


def prepare_new_paper(
    asked: DocumentAsked, catalog: Catalog, stored: StoredPrices | None = None
) -> PreparedQuote | PreparedFieldQuote:
    """The request of a paper as its caller wrote it; for the field, as the field writes it. Raises
    QuoteFaultsError."""
    if asked.for_field:
        return prepare_field_document(asked.document, catalog, stored)
    return prepare_paper(asked.kind, asked.document, catalog, stored)


def prepare_paper(
    kind: KindName, document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> PreparedQuote:
    """The request that a paper is made of. A visit sheet asks what each assumption is worth too,
    unless that is more than one request may take.

    Raises QuoteFaultsError as `prepare_document`.
    """
    if kind == "visit_sheet" and isinstance(document, dict):
        with suppress(QuoteFaultsError):  # what else is wrong is told of the request as it came
            return prepare_document({**document, WHAT_IF: True}, catalog, stored)
    return prepare_document(document, catalog, stored)
