"""Keep quotes: save, revise, read.

What is calculated is calculated before the transaction; what needs the transaction takes its
connection, which holds the quote until the end. `now` is in seconds, UTC.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from msgspec import UNSET, UnsetType

from service import json_text
from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError, QuoteRefusedError
from service.operations.conditions import Conditions
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.quote import PreparedQuote, Quoted, prepare_quote
from service.operations.quoting.quote_answer import encode_answer
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.saved.customer_request import customer_to_core
from service.operations.saved.priced_terms import terms_digest
from service.operations.saved.quote_events import tell_changed, tell_saved
from service.operations.saved.reference_exists import ReferenceExistsError
from service.operations.saved.saved_quote_answer import (
    RevisionAnswer,
    SavedQuoteAnswer,
    quote_tag,
    revision_answer,
    saved_quote_answer,
)
from service.operations.saved.saved_quote_request import (
    QUOTE,
    Read,
    inside_request,
    read_saved_quote,
)
from service.operations.saved.unnamed_answer import UnnamedQuoteAnswer, unnamed
from service.storage import Connection
from service.storage.kept_pricing import pack_pricing
from service.storage.quote_customers import Customer, put_customer
from service.storage.quote_metadata import find_metadata, put_metadata
from service.storage.quote_rows import (
    MOST_MINOR,
    NewRevision,
    RevisionFacts,
    SavedRevision,
)
from service.storage.saved_quotes import (
    SavedQuote,
    claim_reference,
    find_quote,
    find_revision,
    insert_quote,
    insert_revision,
    put_notes,
)

# Bytes of chance in an id: 80 bits, as many as nobody guesses.
ID_BYTES = 10
LATEST = "latest"


class QuoteUnknownError(QuoteRefusedError):
    """There is no saved quote with this id."""

    code = "unknown-saved-quote"

    def __init__(self, quote_id: str) -> None:
        super().__init__(f"There is no saved quote {quote_id[:64]!r}.")


class RevisionUnknownError(QuoteRefusedError):
    """The quote has no such revision."""

    code = "unknown-quote-revision"

    def __init__(self, quote_id: str, latest: int) -> None:
        super().__init__(f"The quote {quote_id} has revisions 1 to {latest}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A quote that was calculated and can be kept, whom it is for, and what was said of it."""

    kept: NewRevision
    customer: Customer | None
    metadata: Mapping[str, str] = field(default_factory=dict)
    notes: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedDraft:
    """A quote that is asked to be kept, read and ready to be calculated."""

    read: Read
    prepared: PreparedQuote

    def draft(self) -> Draft:
        """Calculate. Raises QuoteFaultsError; places begin with `quote`."""
        read, catalog = self.read, self.prepared.catalog
        try:
            quoted = self.prepared.run()
        except QuoteFaultsError as error:
            raise QuoteFaultsError(inside_request(error.faults)) from None
        return Draft(
            kept=kept_quote(json_text.as_received(read.received), read.request, quoted, catalog),
            customer=None if read.customer is None else customer_to_core(read.customer),
            metadata=read.metadata,
            notes=read.notes,
        )


def draft_quote(
    document: object, catalog: Catalog, stored: StoredPrices | None = None, *, first: bool
) -> Draft:
    """Calculate the quote that a document asks to be kept; `first`: as a new one, beside which a
    customer, metadata and notes may stand.

    Raises QuoteFaultsError with every fault of one pass; places begin with `quote`.
    """
    return prepare_draft(document, catalog, stored, first=first).draft()


def prepare_draft(
    document: object, catalog: Catalog, stored: StoredPrices | None = None, *, first: bool
) -> PreparedDraft:
    """The same, ready to be calculated. Raises QuoteFaultsError likewise."""
    read = read_saved_quote(document, catalog, stored, first=first)
    try:
        prepared = prepare_quote(read.request, catalog, stored)
    except QuoteFaultsError as error:
        raise QuoteFaultsError(inside_request(error.faults)) from None
    return PreparedDraft(read=read, prepared=prepared)


def kept_quote(
    received: bytes, request: QuoteRequest, quoted: Quoted, catalog: Catalog
) -> NewRevision:
    """A quote as it is kept.

    Raises QuoteFaultsError for amounts beyond what a database counts in minor units.
    """
    price, prices, answer = quoted.quote.price, quoted.quote.prices, quoted.answer
    for amount in (price.total, price.subtotal, price.direct_cost):
        _check_amount(amount, prices.minor_places)
    terms = request.terms if isinstance(request.terms, str) else None
    return NewRevision(
        request=received,
        answer=encode_answer(answer),
        pricing=pack_pricing(quoted.quote),
        facts=RevisionFacts(
            engine_version=answer.engine_version,
            catalog_version=answer.catalog_version,
            digest=answer.digest,
            currency=prices.currency,
            minor_places=prices.minor_places,
            total=price.total,
            subtotal=price.subtotal,
            cost=price.direct_cost,
            complete=answer.price.complete,
            materials_only=request.materials_only,
            margin=price.margin,
            title=_or_none(answer.title),
            reference=_or_none(answer.reference),
            issued_on=request.issued_on,
            valid_until=_date(answer.valid_until),
            price_list=prices.id,
            price_list_revision=prices.revision,
            terms=terms,
            terms_digest=None if terms is None else terms_digest(catalog.terms[terms].document),
        ),
    )


def save_quote(connection: Connection, draft: Draft, now: int) -> SavedQuoteAnswer:
    """Keep a new quote, a draft. Raises ReferenceExistsError; then nothing is kept."""
    quote_id = insert_quote(connection, secrets.token_hex(ID_BYTES), draft.kept, now)
    _claim(connection, draft, quote_id)
    if draft.customer is not None:
        put_customer(connection, quote_id, draft.customer, now)
    put_metadata(connection, quote_id, draft.metadata)
    put_notes(connection, quote_id, draft.notes)
    tell_saved(connection, quote_id, now)
    return read_quote(connection, quote_id)


def revise_quote(
    connection: Connection, quote_id: str, draft: Draft, seen: Conditions, now: int
) -> RevisionAnswer:
    """Keep a further revision, a draft; `seen` names the tag of the quote that was seen.

    Raises QuoteUnknownError, ReferenceExistsError, and what a condition raises.
    """
    quote = known_quote(connection, quote_id, lock=True)
    seen.check(quote_tag(quote))
    _claim(connection, draft, quote_id)
    number = insert_revision(connection, quote, draft.kept, now)
    tell_changed(connection, quote_id, number, "draft", "revision", now)
    return revision_answer(read_revision(connection, quote_id, str(number)))


def read_quote(connection: Connection, quote_id: str) -> SavedQuoteAnswer:
    """A quote with the facts of its current revision. Raises QuoteUnknownError."""
    quote = known_quote(connection, quote_id)
    current = read_revision(connection, quote_id, str(quote.current.number)).head
    out = current if quote.out == quote.current else None
    if out is None and quote.out is not None:
        out = read_revision(connection, quote_id, str(quote.out.number)).head
    metadata = find_metadata(connection, [quote_id]).get(quote_id, {})
    return saved_quote_answer(quote, current, out, metadata)


def read_unnamed_quote(connection: Connection, quote_id: str) -> UnnamedQuoteAnswer:
    """The same without what may name a customer."""
    return unnamed(read_quote(connection, quote_id))


def read_revision(connection: Connection, quote_id: str, revision: str) -> SavedRevision:
    """A revision by its number, or the `latest`.

    Raises QuoteUnknownError, RevisionUnknownError.
    """
    quote = known_quote(connection, quote_id)
    number = quote.latest if revision == LATEST else int(revision)
    saved = find_revision(connection, quote_id, number) if number <= quote.latest else None
    if saved is None:
        raise RevisionUnknownError(quote_id, quote.latest)
    return saved


def known_quote(connection: Connection, quote_id: str, *, lock: bool = False) -> SavedQuote:
    """A quote by its id; with `lock` it is held. Raises QuoteUnknownError."""
    quote = find_quote(connection, quote_id, lock=lock)
    if quote is None:
        raise QuoteUnknownError(quote_id)
    return quote


def _claim(connection: Connection, draft: Draft, quote_id: str) -> None:
    reference = draft.kept.facts.reference
    if reference is not None:
        owner = claim_reference(connection, reference, quote_id)
        if owner != quote_id:
            raise ReferenceExistsError(reference, owner)


def _check_amount(amount: Decimal, places: int) -> None:
    if abs(amount).scaleb(places) > MOST_MINOR:
        message = f"{amount:f} is more than can be kept"
        fault = Fault(code="amount-too-large", at=(QUOTE,), message=message)
        raise QuoteFaultsError([fault])


def _or_none(text: str | UnsetType) -> str | None:
    return None if text is UNSET else str(text)


def _date(text: str | UnsetType) -> date | None:
    return None if text is UNSET else date.fromisoformat(str(text))
