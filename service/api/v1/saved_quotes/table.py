"""The operations of saved quotes: keep, revise, move, read, hold against each other."""

from __future__ import annotations

from typing import Any

from msgspec import Struct
from pydantic import BaseModel

from service.api.accept import CSV, NDJSON
from service.api.bodies import JSON
from service.api.operation import (
    CHANGES,
    READS_STORED,
    STORES,
    Answer,
    AnyOf,
    Body,
    Handler,
    KeptOf,
    LinesOf,
    Operation,
    PageOf,
    Scope,
    Shape,
    json_answer,
)
from service.api.parameters import (
    IDEMPOTENCY_KEY,
    IF_CHANGED,
    IF_MATCH,
    OTHER_REVISION,
    REVISION,
    read_answers,
)
from service.api.v1.pages import PAGE
from service.api.v1.saved_quotes import export, reads, revisions, storing
from service.api.v1.saved_quotes.address import PREFIX, QUOTE_ID
from service.api.v1.saved_quotes.filters import FILTERS, VIEW
from service.api.v1.saved_quotes.orders import ORDER_BY
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.saved.actuals import ActualsAnswer, ActualsRequest
from service.operations.saved.customer_request import CustomerAnswer, CustomerRequest
from service.operations.saved.difference_answer import QuoteDifference, RecomputationAnswer
from service.operations.saved.saved_quote_answer import (
    MetadataAnswer,
    NotesAnswer,
    RevisionAnswer,
    RevisionItem,
    SavedQuoteAnswer,
)
from service.operations.saved.saved_quote_request import (
    MetadataRequest,
    NotesRequest,
    RevisionRequest,
    SavedQuoteRequest,
    StateRequest,
)
from service.operations.saved.state_answer import StateAnswer
from service.operations.saved.unnamed_answer import UnnamedQuoteAnswer

TAG = "saved quotes"
_ONE = f"{PREFIX}/{{id}}"
_REVISION = f"{_ONE}/revisions/{{revision}}"
# Who keeps prices is not told whom a quote is for.
_QUOTE = AnyOf((SavedQuoteAnswer, UnnamedQuoteAnswer))
_READERS: tuple[Scope, ...] = ("quotes", "prices")
_NO_CONTENT = Answer(status=204, description="Done; there is nothing to say.", headers=("ETag",))


def _changed(answer: type[Struct]) -> Answer:
    headers = ("ETag", "Idempotent-Replayed")
    return json_answer(answer, description="As it is now.", headers=headers)


def _kept(answer: type[Struct]) -> Answer:
    headers = ("ETag", "Idempotent-Replayed", "Location")
    return json_answer(answer, status=201, description="Kept.", headers=headers)


def _stores(body: type[BaseModel], **given: Any) -> Operation:  # noqa: ANN401  fields of a row
    """A row of an operation that stores what it is sent."""
    parameters = (*given.pop("parameters", ()), IDEMPOTENCY_KEY)
    shapes = Body(shapes={JSON: body})
    return Operation(scopes=("quotes",), tag=TAG, body=shapes, parameters=parameters, **given)


_ASIDE = ("/state", "/customer", "/metadata", "/notes", "/revisions")


def _reads(path: str, shape: Shape, **given: Any) -> Operation:  # noqa: ANN401  fields of a row
    """A row of an operation that reads; one that shows answers keeps those that wait."""
    return Operation(
        method="GET",
        path=path,
        scopes=given.pop("scopes", _READERS),
        tag=TAG,
        parameters=(*given.pop("parameters", ()), IF_CHANGED),
        answers=read_answers(shape),
        refuses=READS_STORED if path.endswith(_ASIDE) else STORES,
        **given,
    )


def _reads_aside(part: str, shape: Shape, handler: Handler, summary: str) -> Operation:
    """A row of an operation that reads what the office keeps beside a quote."""
    path, scopes = f"{_ONE}/{part}", ("quotes",)
    given = {"handler": handler, "summary": summary, "scopes": scopes}
    return _reads(path, shape, parameters=(QUOTE_ID,), **given)


_STORING = (
    _stores(
        SavedQuoteRequest,
        method="POST",
        path=PREFIX,
        handler=storing.save_quote_request,
        id="save_quote",
        summary="Quote walls and keep the quote, a draft",
        answers=(_kept(SavedQuoteAnswer),),
        refuses=STORES,
    ),
    _stores(
        RevisionRequest,
        method="POST",
        path=f"{_ONE}/revisions",
        handler=storing.revise_saved_quote,
        summary="Keep a further revision, a draft",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(_kept(RevisionAnswer),),
        refuses=CHANGES,
    ),
    _stores(
        StateRequest,
        method="POST",
        path=f"{_ONE}/state",
        handler=storing.set_quote_state,
        summary="Issue, accept, decline or withdraw a quote",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(_changed(StateAnswer),),
        refuses=CHANGES,
    ),
    _stores(
        CustomerRequest,
        method="PUT",
        path=f"{_ONE}/customer",
        handler=storing.put_quote_customer,
        summary="Say whom a quote is for",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(_changed(CustomerAnswer),),
        refuses=CHANGES,
    ),
    _stores(
        MetadataRequest,
        method="PUT",
        path=f"{_ONE}/metadata",
        handler=storing.put_quote_metadata,
        summary="Keep short texts beside a quote",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(_changed(MetadataAnswer),),
        refuses=CHANGES,
    ),
    _stores(
        NotesRequest,
        method="PUT",
        path=f"{_ONE}/notes",
        handler=storing.put_quote_notes,
        summary="Keep notes on a quote",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(_changed(NotesAnswer),),
        refuses=CHANGES,
    ),
    Operation(
        method="DELETE",
        path=f"{_ONE}/customer",
        handler=storing.erase_quote_customer,
        scopes=("admin",),
        tag=TAG,
        summary="Erase whom a quote is for",
        parameters=(QUOTE_ID, storing.WITH_ACCEPTANCE),
        answers=(_NO_CONTENT,),
        refuses=STORES,
    ),
    _stores(
        ActualsRequest,
        method="PUT",
        path=f"{_REVISION}/actuals",
        handler=storing.put_quote_actuals,
        summary="Say what the job really took",
        parameters=(QUOTE_ID, REVISION, IF_MATCH),
        answers=(_changed(ActualsAnswer),),
        refuses=CHANGES,
    ),
)
_READING = (
    _reads(
        PREFIX,
        AnyOf((PageOf(SavedQuoteAnswer), PageOf(UnnamedQuoteAnswer))),
        handler=reads.list_saved_quotes,
        summary="List saved quotes",
        parameters=(*FILTERS, ORDER_BY, VIEW, *PAGE),
    ),
    _reads(
        _ONE,
        _QUOTE,
        handler=reads.read_saved_quote,
        summary="Read a saved quote",
        parameters=(QUOTE_ID,),
    ),
    _reads(
        f"{_ONE}/state",
        StateAnswer,
        handler=reads.read_quote_state,
        summary="Read the state of a quote and its history",
        parameters=(QUOTE_ID,),
    ),
    _reads_aside("customer", CustomerAnswer, reads.read_quote_customer, "Read whom a quote is for"),
    _reads_aside(
        "metadata", MetadataAnswer, reads.read_quote_metadata, "Read the short texts beside a quote"
    ),
    _reads_aside("notes", NotesAnswer, reads.read_quote_notes, "Read the notes on a quote"),
    _reads(
        f"{_ONE}/revisions",
        PageOf(RevisionItem),
        handler=reads.list_quote_revisions,
        summary="List the revisions of a quote",
        parameters=(QUOTE_ID, *PAGE),
    ),
    _reads(
        _REVISION,
        RevisionAnswer,
        handler=revisions.read_quote_revision,
        summary="Read a revision: request, answer and versions",
        parameters=(QUOTE_ID, REVISION),
    ),
    _reads(
        f"{_REVISION}/quote",
        KeptOf(QuoteRequest),
        handler=revisions.read_revision_quote,
        summary="Read what was asked, byte for byte as kept",
        parameters=(QUOTE_ID, REVISION),
    ),
    _reads(
        f"{_REVISION}/answer",
        KeptOf(QuoteAnswer),
        handler=revisions.read_revision_answer,
        summary="Read what was answered, byte for byte as issued",
        parameters=(QUOTE_ID, REVISION),
    ),
    _reads(
        f"{_REVISION}/actuals",
        ActualsAnswer,
        handler=revisions.read_quote_actuals,
        summary="Read what the job took against what was quoted",
        parameters=(QUOTE_ID, REVISION),
    ),
    _reads(
        f"{_REVISION}/recomputed",
        RecomputationAnswer,
        handler=revisions.read_recomputation,
        summary="Calculate a revision again and say what differs",
        parameters=(QUOTE_ID, REVISION),
    ),
    _reads(
        f"{_REVISION}/difference/{{other}}",
        QuoteDifference,
        handler=revisions.read_quote_difference,
        summary="Read the difference between two revisions",
        parameters=(QUOTE_ID, REVISION, OTHER_REVISION),
    ),
)
OPERATIONS = (
    # Before those with an id in the same place.
    Operation(
        method="GET",
        path=f"{PREFIX}/export",
        handler=export.export_saved_quotes,
        scopes=_READERS,
        form="chosen",
        tag=TAG,
        summary="Export saved quotes as lines of JSON or CSV",
        parameters=(*FILTERS, VIEW, export.FORMAT, export.ROWS),
        answers=(
            Answer(
                description="A quote a line, the newest first; the last line of JSON is "
                '{"end": true, "quotes": 2}.',
                shapes={
                    NDJSON: LinesOf(_QUOTE, "quotes"),
                    CSV: {"type": "string"},
                },
            ),
        ),
        refuses=STORES,
    ),
    *_STORING,
    *_READING,
)
