"""What a caller sends to keep a quote, to move it, and to say whom it is for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal

from pydantic import Field
from pydantic_core import PydanticCustomError

from service.catalog import Catalog
from service.core.errors import Fault, Path, QuoteFaultsError
from service.fields import Id, IsoDate, LongText, ShortText, StrictModel, refused
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.quote_request import QuoteRequest, read_request
from service.operations.quoting.wrapper import check_wrapper
from service.operations.ruled import MOST_ITEMS, RuledModel, read_document
from service.operations.saved.customer_request import CustomerRequest
from service.storage.quote_moves import MoveWords

QUOTE = "quote"
# What it was called before.
FORMER = "request"
REFERENCE = "reference"
_REFERENCE_HINT = '{"quote": {"reference": "job-0042", …}}'
MOST_PAIRS = 20


Metadata = Annotated[
    dict[Id, ShortText],
    Field(
        max_length=MOST_PAIRS,
        description="Short texts of the caller's own, by key, such as the number in a CRM.",
    ),
]


class MetadataRequest(StrictModel):
    """What the caller keeps beside a quote, in place of what stood there."""

    metadata: Metadata


class NotesRequest(StrictModel):
    """Notes on a quote, in place of those that stood there; left out, there are none."""

    notes: LongText | None = None


class RevisionRequest(StrictModel):
    """A quote request, to be quoted and kept."""

    quote: QuoteRequest


class SavedQuoteRequest(RevisionRequest):
    """A quote request, to be quoted and kept; whom it is for, which is kept apart; and what the
    caller has to say of it."""

    customer: CustomerRequest | None = None
    metadata: Metadata = Field(default_factory=dict)
    notes: LongText | None = None


class _RevisionEnvelope(StrictModel):
    # What is in it is read on its own, so that its faults are told as those of a quote.
    quote: dict[str, Any] = Field(max_length=MOST_ITEMS)


class _SavedQuoteEnvelope(_RevisionEnvelope):
    customer: CustomerRequest | None = None
    metadata: Metadata = Field(default_factory=dict)
    notes: LongText | None = None


class StateRequest(RuledModel):
    """The state that a quote is to come into, and what is said of it."""

    state: Literal["issued", "accepted", "declined", "withdrawn"] = Field(
        description="draft -> issued, withdrawn; issued -> accepted, declined, withdrawn."
    )
    on: IsoDate | None = Field(
        None,
        description="The day: for issued, that of the request where it is left out; for accepted, "
        "today.",
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """The quote request of a document, as it came and as it was read, and what stands beside it."""

    received: object
    request: QuoteRequest
    customer: CustomerRequest | None
    metadata: Mapping[str, str]
    notes: str | None


def read_saved_quote(
    document: object, catalog: Catalog, stored: StoredPrices | None, *, first: bool
) -> Read:
    """A document that holds a quote request; with `first`, of a new quote, customer, metadata and
    notes may stand beside it.

    Raises QuoteFaultsError with every fault of one pass; places begin with `quote`.
    """
    check_wrapper(document, wrapped=True)
    faults: list[Fault] = []
    envelope: _RevisionEnvelope | None = None
    request: QuoteRequest | None = None
    inner = document.get(QUOTE) if isinstance(document, dict) else None
    try:
        model = _SavedQuoteEnvelope if first else _RevisionEnvelope
        envelope = read_document(model, document, catalog)
    except QuoteFaultsError as error:
        faults += _in_one_word(error.faults)
    if isinstance(inner, dict):
        try:
            request = read_request(inner, catalog, stored)
        except QuoteFaultsError as error:
            faults += inside_request(error.faults)
    if request is not None and request.what_if:
        faults.append(_not_kept())
    if faults or envelope is None or request is None:
        raise QuoteFaultsError(_once(faults))
    beside = envelope if isinstance(envelope, _SavedQuoteEnvelope) else None
    return Read(
        received=inner,
        request=request,
        customer=None if beside is None else beside.customer,
        metadata={} if beside is None else beside.metadata,
        notes=None if beside is None else beside.notes,
    )


def _not_kept() -> Fault:
    """What other values would change is worked out at today's prices: kept, it would go stale."""
    return Fault(
        code="what-if-not-kept",
        at=(QUOTE, "what_if"),
        message="what each assumption is worth is not kept with a quote",
        hint="leave it out here; POST /v1/quotes answers it",
    )


def _in_one_word(faults: Sequence[Fault]) -> Iterator[Fault]:
    """Faults of the document around a request; where that stands under its former name, this is
    said, and not that it is missing as well. A reference beside the request is sent into it."""
    former = [fault for fault in faults if fault.at == (FORMER,) and fault.code == "unknown-key"]
    for fault in faults:
        if fault.at == (REFERENCE,) and fault.code == "unknown-key":
            yield replace(fault, message="a reference stands in the quote", hint=_REFERENCE_HINT)
        elif fault in former:
            message = "a quote request is called quote"
            yield replace(fault, message=message, hint=QUOTE)
        elif not (former and fault.at == (QUOTE,)):
            yield fault


def inside_request(faults: Iterable[Fault]) -> Iterator[Fault]:
    """Faults of a quote request as faults of the document that holds it."""
    for fault in faults:
        yield replace(fault, at=(QUOTE, *fault.at))


def _once(faults: Iterable[Fault]) -> Iterator[Fault]:
    """A fault that two readings found, such as a null, once."""
    seen: dict[tuple[str, Path], bool] = {}
    for fault in faults:
        key = (fault.code, fault.at)
        if key not in seen:
            seen[key] = True
            yield fault
