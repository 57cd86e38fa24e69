"""A document of a saved quote: what is known of it, read under the caller's connection."""

from __future__ import annotations

from dataclasses import replace

from service.catalog import Catalog
from service.operations.field.unpriced import said_without_money
from service.operations.paper.asking import DocumentAsked, Kept
from service.operations.paper.prepared import prepare_paper
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.cost import MOST_MS
from service.operations.quoting.elsewhere import Asked, asked, asked_unread, is_large
from service.operations.quoting.quote import prepare_document
from service.operations.saved.recomputation import resolved_request
from service.operations.saved.saved_quote import known_quote, read_revision
from service.storage import Connection
from service.storage.quote_customers import find_customer


def kept_document(
    connection: Connection,
    catalog: Catalog,
    stored: StoredPrices,
    place: tuple[str, str],
    wanted: DocumentAsked,
) -> tuple[DocumentAsked, float]:
    """What is asked of a revision (`place`: id and number), and what its quote costs, in ms. Who
    sees no prices isn't told what an assumption is worth.

    Raises QuoteUnknownError, RevisionUnknownError, and QuoteFaultsError for a request that can't
    be laid out today.
    """
    quote_id, number = place
    saved, quote = read_revision(connection, quote_id, number), known_quote(connection, quote_id)
    document = resolved_request(saved)
    told, cost_ms = _told(document, len(saved.request), wanted, catalog, stored)
    kept = Kept(
        answer=saved.answer,
        number=quote.number,
        revision=saved.head.revision,
        made_in=quote.created_at,
        customer=find_customer(connection, quote_id),
    )
    return replace(wanted, document=document, prices=told.prices, kept=kept), cost_ms


def _told(
    document: object, size: int, wanted: DocumentAsked, catalog: Catalog, stored: StoredPrices
) -> tuple[Asked, float]:
    """What another process is told of a request of so many bytes, and what it costs: at most, of a
    large one, which is not read here."""
    if is_large(size):
        return asked_unread(document, stored, catalog), MOST_MS
    if wanted.for_field:
        with said_without_money():
            prepared = prepare_document(document, catalog, stored)
    else:
        prepared = prepare_paper(wanted.kind, document, catalog, stored)
    return asked(document, prepared.prices, catalog), prepared.cost_ms
