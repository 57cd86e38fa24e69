"""A document of a saved quote: what is known of it, read under the caller's connection."""

from __future__ import annotations

from service.catalog import Catalog
from service.operations.paper.asking import DocumentAsked, Kept, Options
from service.operations.paper.kinds import Form, KindName
from service.operations.paper.prepared import prepare_paper
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.elsewhere import asked as told_of
from service.operations.saved.recomputation import resolved_request
from service.operations.saved.saved_quote import known_quote, read_revision
from service.storage import Connection
from service.storage.quote_customers import find_customer


def kept_document(
    connection: Connection,
    catalog: Catalog,
    stored: StoredPrices,
    place: tuple[str, str],
    wanted: tuple[KindName, Form, Options],
) -> tuple[DocumentAsked, float]:
    """What is asked of a revision (`place`: id and number), and what its quote costs, in ms.

    Raises QuoteUnknownError, RevisionUnknownError, and QuoteFaultsError for a request that can't
    be laid out today.
    """
    quote_id, number = place
    kind, form, options = wanted
    saved, quote = read_revision(connection, quote_id, number), known_quote(connection, quote_id)
    document, prepared = prepare_paper(kind, resolved_request(saved), catalog, stored)
    told = told_of(document, prepared.prices, catalog)
    asked = DocumentAsked(
        kind=kind,
        form=form,
        options=options,
        document=told.document,
        prices=told.prices,
        kept=Kept(
            answer=saved.answer,
            number=quote.number,
            revision=saved.head.revision,
            made_in=quote.created_at,
            customer=find_customer(connection, quote_id),
        ),
    )
    return asked, prepared.cost_ms
