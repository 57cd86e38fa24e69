"""The operations of saved quotes: keep, revise, move, read, hold against each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from service.api.accept import CSV, NDJSON
from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import (
    CHANGES,
    STORES,
    Answer,
    AnyOf,
    Body,
    KeptOf,
    LinesOf,
    PageOf,
    json_answer,
)
from service.api.parameters import IDEMPOTENCY_KEY, IF_MATCH, OTHER_REVISION, REVISION
from service.api.rows import Rows
from service.api.v1.pages import PAGE
from service.api.v1.saved_quotes.address import PREFIX, QUOTE_ID
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.quote_request import QuoteRequest

if TYPE_CHECKING:
    from service.api.v1.saved_quotes import export, filters, orders, reads, revisions, storing
    from service.operations.saved import (
        actuals,
        customer_request,
        difference_answer,
        saved_quote_answer,
        saved_quote_request,
        state_answer,
        unnamed_answer,
    )
else:
    export, filters, orders, reads, revisions, storing = late_modules(
        "service.api.v1.saved_quotes", "export filters orders reads revisions storing"
    )
    (
        actuals,
        customer_request,
        difference_answer,
        saved_quote_answer,
        saved_quote_request,
        state_answer,
        unnamed_answer,
    ) = late_modules(
        "service.operations.saved",
        "actuals customer_request difference_answer saved_quote_answer "
        "saved_quote_request state_answer unnamed_answer",
    )

TAG = "saved quotes"
_ROWS = Rows(TAG, "quotes", "prices")
_OFFICE = Rows(TAG, "quotes")
_ONE = f"{PREFIX}/{{id}}"
_REVISION = f"{_ONE}/revisions/{{revision}}"
# Who keeps prices is not told whom a quote is for.
_QUOTE = AnyOf((saved_quote_answer.SavedQuoteAnswer, unnamed_answer.UnnamedQuoteAnswer))


def _changed(answer: type[Struct]) -> Answer:
    headers = ("ETag", "Idempotent-Replayed")
    return json_answer(answer, description="As it is now.", headers=headers)


def _kept(answer: type[Struct]) -> Answer:
    headers = ("ETag", "Idempotent-Replayed", "Location")
    return json_answer(answer, status=201, description="Kept.", headers=headers)


_CHANGING = (QUOTE_ID, IF_MATCH, IDEMPOTENCY_KEY)
_STORING = (
    _OFFICE.stores(
        "POST",
        PREFIX,
        storing.save_quote_request,
        _kept(saved_quote_answer.SavedQuoteAnswer),
        id="save_quote",
        summary="Quote walls and keep the quote, a draft",
        parameters=(IDEMPOTENCY_KEY,),
        body=Body(shapes={JSON: saved_quote_request.SavedQuoteRequest}),
    ),
    _OFFICE.stores(
        "POST",
        f"{_ONE}/revisions",
        storing.revise_saved_quote,
        _kept(saved_quote_answer.RevisionAnswer),
        summary="Keep a further revision, a draft",
        parameters=_CHANGING,
        body=Body(shapes={JSON: saved_quote_request.RevisionRequest}),
        refuses=CHANGES,
    ),
    _OFFICE.stores(
        "POST",
        f"{_ONE}/state",
        storing.set_quote_state,
        _changed(state_answer.StateAnswer),
        summary="Issue, accept, decline or withdraw a quote",
        parameters=_CHANGING,
        body=Body(shapes={JSON: saved_quote_request.StateRequest}),
        refuses=CHANGES,
    ),
    _OFFICE.stores(
        "PUT",
        f"{_ONE}/customer",
        storing.put_quote_customer,
        _changed(customer_request.CustomerAnswer),
        summary="Say whom a quote is for",
        parameters=_CHANGING,
        body=Body(shapes={JSON: customer_request.CustomerRequest}),
        refuses=CHANGES,
    ),
    _OFFICE.stores(
        "PUT",
        f"{_ONE}/metadata",
        storing.put_quote_metadata,
        _changed(saved_quote_answer.MetadataAnswer),
        summary="Keep short texts beside a quote",
        parameters=_CHANGING,
        body=Body(shapes={JSON: saved_quote_request.MetadataRequest}),
        refuses=CHANGES,
    ),
    _OFFICE.stores(
        "PUT",
        f"{_ONE}/notes",
        storing.put_quote_notes,
        _changed(saved_quote_answer.NotesAnswer),
        summary="Keep notes on a quote",
        parameters=_CHANGING,
        body=Body(shapes={JSON: saved_quote_request.NotesRequest}),
        refuses=CHANGES,
    ),
    _OFFICE.stores(
        "DELETE",
        f"{_ONE}/customer",
        storing.erase_quote_customer,
        Answer(status=204, description="Done; there is nothing to say.", headers=("ETag",)),
        scopes=("admin",),
        summary="Erase whom a quote is for",
        parameters=(QUOTE_ID, storing.WITH_ACCEPTANCE),
    ),
    _OFFICE.stores(
        "PUT",
        f"{_REVISION}/actuals",
        storing.put_quote_actuals,
        _changed(actuals.ActualsAnswer),
        summary="Say what the job really took",
        parameters=(QUOTE_ID, REVISION, IF_MATCH, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: actuals.ActualsRequest}),
        refuses=CHANGES,
    ),
)
# Those that show answers keep those that wait: they may find no room.
_READING = (
    _ROWS.reads(
        PREFIX,
        reads.list_saved_quotes,
        AnyOf(
            (PageOf(saved_quote_answer.SavedQuoteAnswer), PageOf(unnamed_answer.UnnamedQuoteAnswer))
        ),
        *(filters.FILTERS, orders.ORDER_BY, filters.VIEW, *PAGE),
        summary="List saved quotes",
        refuses=STORES,
    ),
    _ROWS.reads(
        _ONE,
        reads.read_saved_quote,
        _QUOTE,
        QUOTE_ID,
        summary="Read a saved quote",
        refuses=STORES,
    ),
    _ROWS.reads(
        f"{_ONE}/state",
        reads.read_quote_state,
        state_answer.StateAnswer,
        QUOTE_ID,
        summary="Read the state of a quote and its history",
    ),
    _OFFICE.reads(
        f"{_ONE}/customer",
        reads.read_quote_customer,
        customer_request.CustomerAnswer,
        QUOTE_ID,
        summary="Read whom a quote is for",
    ),
    _OFFICE.reads(
        f"{_ONE}/metadata",
        reads.read_quote_metadata,
        saved_quote_answer.MetadataAnswer,
        QUOTE_ID,
        summary="Read the short texts beside a quote",
    ),
    _OFFICE.reads(
        f"{_ONE}/notes",
        reads.read_quote_notes,
        saved_quote_answer.NotesAnswer,
        QUOTE_ID,
        summary="Read the notes on a quote",
    ),
    _ROWS.reads(
        f"{_ONE}/revisions",
        reads.list_quote_revisions,
        PageOf(saved_quote_answer.RevisionItem),
        *(QUOTE_ID, *PAGE),
        summary="List the revisions of a quote",
    ),
    _ROWS.reads(
        _REVISION,
        revisions.read_quote_revision,
        saved_quote_answer.RevisionAnswer,
        *(QUOTE_ID, REVISION),
        summary="Read a revision: request, answer and versions",
        refuses=STORES,
    ),
    _ROWS.reads(
        f"{_REVISION}/quote",
        revisions.read_revision_quote,
        KeptOf(QuoteRequest),
        *(QUOTE_ID, REVISION),
        summary="Read what was asked, byte for byte as kept",
        refuses=STORES,
    ),
    _ROWS.reads(
        f"{_REVISION}/answer",
        revisions.read_revision_answer,
        KeptOf(QuoteAnswer),
        *(QUOTE_ID, REVISION),
        summary="Read what was answered, byte for byte as issued",
        refuses=STORES,
    ),
    _ROWS.reads(
        f"{_REVISION}/actuals",
        revisions.read_quote_actuals,
        actuals.ActualsAnswer,
        *(QUOTE_ID, REVISION),
        summary="Read what the job took against what was quoted",
        refuses=STORES,
    ),
    _ROWS.reads(
        f"{_REVISION}/recomputed",
        revisions.read_recomputation,
        difference_answer.RecomputationAnswer,
        *(QUOTE_ID, REVISION),
        summary="Calculate a revision again and say what differs",
        refuses=STORES,
    ),
    _ROWS.reads(
        f"{_REVISION}/difference/{{other}}",
        revisions.read_quote_difference,
        difference_answer.QuoteDifference,
        *(QUOTE_ID, REVISION, OTHER_REVISION),
        summary="Read the difference between two revisions",
        refuses=STORES,
    ),
)
OPERATIONS = (
    # Before those with an id in the same place.
    _ROWS.row(
        "GET",
        f"{PREFIX}/export",
        export.export_saved_quotes,
        Answer(
            description="A quote a line, the newest first; the last line of JSON is "
            '{"end": true, "quotes": 2}.',
            shapes={NDJSON: LinesOf(_QUOTE, "quotes"), CSV: {"type": "string"}},
        ),
        form="chosen",
        summary="Export saved quotes as lines of JSON or CSV",
        parameters=(filters.FILTERS, filters.VIEW, export.FORMAT, export.ROWS),
        refuses=STORES,
    ),
    *_STORING,
    *_READING,
)
