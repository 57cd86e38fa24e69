"""The operations of saved quotes: keep, revise, move, read, hold against each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.accept import CSV, NDJSON
from service.api.late import Handler, late_modules
from service.api.operation import (
    CHANGES,
    STORES,
    Answer,
    AnyOf,
    KeptOf,
    LinesOf,
    Operation,
    PageOf,
    Shape,
)
from service.api.parameters import (
    IF_MATCH,
    OTHER_REVISION,
    REVISION,
)
from service.api.v1.pages import PAGE
from service.api.v1.saved_quotes.address import PREFIX, QUOTE_ID
from service.api.v1.saved_quotes.rows import READERS, TAG, changed, kept, reads_kept, stores
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

_ONE = f"{PREFIX}/{{id}}"
_REVISION = f"{_ONE}/revisions/{{revision}}"
# Who keeps prices is not told whom a quote is for.
_QUOTE = AnyOf((saved_quote_answer.SavedQuoteAnswer, unnamed_answer.UnnamedQuoteAnswer))
_NO_CONTENT = Answer(status=204, description="Done; there is nothing to say.", headers=("ETag",))


def _reads_aside(part: str, shape: Shape, handler: Handler, summary: str) -> Operation:
    """A row of an operation that reads what the office keeps beside a quote."""
    path, scopes = f"{_ONE}/{part}", ("quotes",)
    given = {"handler": handler, "summary": summary, "scopes": scopes}
    return reads_kept(path, shape, parameters=(QUOTE_ID,), **given)


_STORING = (
    stores(
        saved_quote_request.SavedQuoteRequest,
        method="POST",
        path=PREFIX,
        handler=storing.save_quote_request,
        id="save_quote",
        summary="Quote walls and keep the quote, a draft",
        answers=(kept(saved_quote_answer.SavedQuoteAnswer),),
        refuses=STORES,
    ),
    stores(
        saved_quote_request.RevisionRequest,
        method="POST",
        path=f"{_ONE}/revisions",
        handler=storing.revise_saved_quote,
        summary="Keep a further revision, a draft",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(kept(saved_quote_answer.RevisionAnswer),),
        refuses=CHANGES,
    ),
    stores(
        saved_quote_request.StateRequest,
        method="POST",
        path=f"{_ONE}/state",
        handler=storing.set_quote_state,
        summary="Issue, accept, decline or withdraw a quote",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(changed(state_answer.StateAnswer),),
        refuses=CHANGES,
    ),
    stores(
        customer_request.CustomerRequest,
        method="PUT",
        path=f"{_ONE}/customer",
        handler=storing.put_quote_customer,
        summary="Say whom a quote is for",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(changed(customer_request.CustomerAnswer),),
        refuses=CHANGES,
    ),
    stores(
        saved_quote_request.MetadataRequest,
        method="PUT",
        path=f"{_ONE}/metadata",
        handler=storing.put_quote_metadata,
        summary="Keep short texts beside a quote",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(changed(saved_quote_answer.MetadataAnswer),),
        refuses=CHANGES,
    ),
    stores(
        saved_quote_request.NotesRequest,
        method="PUT",
        path=f"{_ONE}/notes",
        handler=storing.put_quote_notes,
        summary="Keep notes on a quote",
        parameters=(QUOTE_ID, IF_MATCH),
        answers=(changed(saved_quote_answer.NotesAnswer),),
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
    stores(
        actuals.ActualsRequest,
        method="PUT",
        path=f"{_REVISION}/actuals",
        handler=storing.put_quote_actuals,
        summary="Say what the job really took",
        parameters=(QUOTE_ID, REVISION, IF_MATCH),
        answers=(changed(actuals.ActualsAnswer),),
        refuses=CHANGES,
    ),
)
_READING = (
    reads_kept(
        PREFIX,
        AnyOf(
            (PageOf(saved_quote_answer.SavedQuoteAnswer), PageOf(unnamed_answer.UnnamedQuoteAnswer))
        ),
        handler=reads.list_saved_quotes,
        summary="List saved quotes",
        parameters=(filters.FILTERS, orders.ORDER_BY, filters.VIEW, *PAGE),
    ),
    reads_kept(
        _ONE,
        _QUOTE,
        handler=reads.read_saved_quote,
        summary="Read a saved quote",
        parameters=(QUOTE_ID,),
    ),
    reads_kept(
        f"{_ONE}/state",
        state_answer.StateAnswer,
        handler=reads.read_quote_state,
        summary="Read the state of a quote and its history",
        parameters=(QUOTE_ID,),
    ),
    _reads_aside(
        "customer",
        customer_request.CustomerAnswer,
        reads.read_quote_customer,
        "Read whom a quote is for",
    ),
    _reads_aside(
        "metadata",
        saved_quote_answer.MetadataAnswer,
        reads.read_quote_metadata,
        "Read the short texts beside a quote",
    ),
    _reads_aside(
        "notes", saved_quote_answer.NotesAnswer, reads.read_quote_notes, "Read the notes on a quote"
    ),
    reads_kept(
        f"{_ONE}/revisions",
        PageOf(saved_quote_answer.RevisionItem),
        handler=reads.list_quote_revisions,
        summary="List the revisions of a quote",
        parameters=(QUOTE_ID, *PAGE),
    ),
    reads_kept(
        _REVISION,
        saved_quote_answer.RevisionAnswer,
        handler=revisions.read_quote_revision,
        summary="Read a revision: request, answer and versions",
        parameters=(QUOTE_ID, REVISION),
    ),
    reads_kept(
        f"{_REVISION}/quote",
        KeptOf(QuoteRequest),
        handler=revisions.read_revision_quote,
        summary="Read what was asked, byte for byte as kept",
        parameters=(QUOTE_ID, REVISION),
    ),
    reads_kept(
        f"{_REVISION}/answer",
        KeptOf(QuoteAnswer),
        handler=revisions.read_revision_answer,
        summary="Read what was answered, byte for byte as issued",
        parameters=(QUOTE_ID, REVISION),
    ),
    reads_kept(
        f"{_REVISION}/actuals",
        actuals.ActualsAnswer,
        handler=revisions.read_quote_actuals,
        summary="Read what the job took against what was quoted",
        parameters=(QUOTE_ID, REVISION),
    ),
    reads_kept(
        f"{_REVISION}/recomputed",
        difference_answer.RecomputationAnswer,
        handler=revisions.read_recomputation,
        summary="Calculate a revision again and say what differs",
        parameters=(QUOTE_ID, REVISION),
    ),
    reads_kept(
        f"{_REVISION}/difference/{{other}}",
        difference_answer.QuoteDifference,
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
        scopes=READERS,
        form="chosen",
        tag=TAG,
        summary="Export saved quotes as lines of JSON or CSV",
        parameters=(filters.FILTERS, filters.VIEW, export.FORMAT, export.ROWS),
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
