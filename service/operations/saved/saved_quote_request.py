"""What a caller sends to keep a quote, to move it, and to say whom it is for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any, Literal

import msgspec
from pydantic import Field
from pydantic_core import PydanticCustomError

from service.catalog import Catalog
from service.core.errors import Fault, Path, QuoteFaultsError
from service.fields import IsoDate, LongText, ShortText, StrictModel, refused
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.quote_request import QuoteRequest, read_request
from service.operations.ruled import MOST_ITEMS, RuledModel, read_document
from service.operations.saved.customer_request import CustomerRequest
from service.storage.quote_moves import MoveWords

REQUEST = "request"
# Numbers stay as they were written, and keys in their order: so a request can be asked again.
_AS_RECEIVED = msgspec.json.Encoder(decimal_format="number")


class RevisionRequest(StrictModel):
    """A quote request, to be quoted and kept."""

    request: QuoteRequest


class SavedQuoteRequest(RevisionRequest):
    """A quote request, to be quoted and kept, and whom it is for, which is kept apart."""

    customer: CustomerRequest | None = None


class _RevisionEnvelope(StrictModel):
    # What is in it is read on its own, so that its faults are told as those of a quote.
    request: dict[str, Any] = Field(max_length=MOST_ITEMS)


class _SavedQuoteEnvelope(_RevisionEnvelope):
    customer: CustomerRequest | None = None


class StateRequest(RuledModel):
    """The state that a quote is to come into, and what is said of it."""

    state: Literal["issued", "accepted", "declined", "withdrawn"] = Field(
        description="draft -> issued, withdrawn; issued -> accepted, declined, withdrawn."
    )
    on: IsoDate | None = Field(
        None,
        description="The day: for issued, that of the request where it is left out; for accepted, "
        "today in UTC.",
    )
    after_expiry: bool = Field(
        False, description="Accepted although the price held until an earlier day."
    )
    note: LongText | None = None
    reason: ShortText | None = Field(None, description="Such as why a quote was declined.")

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Only what is accepted can be accepted after its time."""
        if document.get("after_expiry") is True and document.get("state") != "accepted":
            message = "after_expiry is said of a quote that is accepted"
            yield refused("after-expiry-misplaced", message, "leave it out", at=("after_expiry",))

    def to_core(self) -> MoveWords:
        """What is said of the move."""
        return MoveWords(
            on=self.on, note=self.note, reason=self.reason, after_expiry=self.after_expiry
        )


Read = tuple[object, QuoteRequest, CustomerRequest | None]


def read_saved_quote(
    document: object, catalog: Catalog, stored: StoredPrices | None, *, customer: bool
) -> Read:
    """The quote request of a document, as it came and as it was read, and the customer.

    Raises QuoteFaultsError with every fault of one pass; places begin with `request`.
    """
    faults: list[Fault] = []
    envelope: _RevisionEnvelope | None = None
    request: QuoteRequest | None = None
    inner = document.get(REQUEST) if isinstance(document, dict) else None
    try:
        model = _SavedQuoteEnvelope if customer else _RevisionEnvelope
        envelope = read_document(model, document, catalog)
    except QuoteFaultsError as error:
        faults += error.faults
    if isinstance(inner, dict):
        try:
            request = read_request(inner, catalog, stored)
        except QuoteFaultsError as error:
            faults += inside_request(error.faults)
    if faults or envelope is None or request is None:
        raise QuoteFaultsError(_once(faults))
    whom = envelope.customer if isinstance(envelope, _SavedQuoteEnvelope) else None
    return inner, request, whom


def inside_request(faults: Iterable[Fault]) -> Iterator[Fault]:
    """Faults of a quote request as faults of the document that holds it."""
    for fault in faults:
        yield replace(fault, at=(REQUEST, *fault.at))


def as_received(document: object) -> bytes:
    """A document in the fewest bytes: its keys in their order, its numbers as they were written."""
    return _AS_RECEIVED.encode(document)


def _once(faults: Iterable[Fault]) -> Iterator[Fault]:
    """A fault that two readings found, such as a null, once."""
    seen: dict[tuple[str, Path], bool] = {}
    for fault in faults:
        key = (fault.code, fault.at)
        if key not in seen:
            seen[key] = True
            yield fault
