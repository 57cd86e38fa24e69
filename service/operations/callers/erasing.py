"""Erase a customer: name, address and what people wrote about him, wherever it is kept.

What a digest covers stays: request and answer of each revision, and of a yes its moment, its
sentence, its sum and the digest of what was shown.
"""

from __future__ import annotations

from service.core.errors import QuoteRefusedError
from service.operations.callers.caller import Caller
from service.operations.callers.links.making import end_open
from service.operations.saved.actuals import erase_job_notes
from service.operations.saved.quote_events import tell_erased
from service.operations.saved.saved_quote import known_quote
from service.storage import Connection
from service.storage.acceptances import erase_names, find_acceptances
from service.storage.idempotency import strip_outcomes
from service.storage.leads import delete_leads_of_quote
from service.storage.links import erase_contents, find_links
from service.storage.quote_customers import erase_customer
from service.storage.quote_metadata import erase_metadata
from service.storage.quote_moves import erase_notes
from service.storage.saved_quotes import SavedQuote, put_notes, touch_quote


class AcceptanceKeptError(QuoteRefusedError):
    """The customer said yes by a link, and it wasn't said that this may be erased too."""

    code = "acceptance-kept"

    def __init__(self, revision: int) -> None:
        super().__init__(
            f"Revision {revision} was accepted by a link, with the customer's name. Where that may "
            "be erased as well, say with_acceptance=true."
        )


def forget_customer(
    connection: Connection, quote_id: str, caller: Caller, now: int, *, with_acceptance: bool
) -> None:
    """Erase the customer of a quote; its links are closed, as they show him. Where nothing of him
    is left, nothing changes.

    Raises QuoteUnknownError, AcceptanceKeptError.
    """
    quote = known_quote(connection, quote_id, lock=True)
    for said in find_acceptances(connection, quote_id):
        if said.name is not None and not with_acceptance:
            raise AcceptanceKeptError(said.revision)
    links = find_links(connection, quote_id)
    erased = (
        erase_customer(connection, quote_id)
        + erase_names(connection, quote_id)
        + _erase_words(connection, quote, now)
        + delete_leads_of_quote(connection, quote_id)
        + erase_contents(connection, [link.id for link in links])
    )
    if erased or any(link.ended_at is None for link in links):
        touch_quote(connection, quote_id, now)
        end_open(connection, links, by=caller.by, now=now)
        tell_erased(connection, quote, now)


def _erase_words(connection: Connection, quote: SavedQuote, now: int) -> int:
    """Forget what was written beside the quote, which may name anybody; how much it was."""
    strip_outcomes(connection, f"/v1/saved-quotes/{quote.id}")
    put_notes(connection, quote.id, None)
    return (
        int(quote.notes is not None)
        + erase_metadata(connection, quote.id)
        + erase_notes(connection, quote.id)
        + erase_job_notes(connection, quote.id, now)
    )
