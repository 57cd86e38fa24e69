"""`POST /v1/documents/{kind}`, and the documents of a saved quote: made by processes that
calculate, as many at a time as they are."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from starlette.requests import Request
from starlette.responses import Response

from service.api.admission.admission import scope_missing
from service.api.answers import content_response
from service.api.bodies import read_json_sized
from service.api.calculating import (
    answered_elsewhere,
    prepared_here,
    while_connected,
)
from service.api.dependencies import (
    get_caller,
    get_catalog,
    get_door,
    get_stored_prices,
    run_stored,
)
from service.api.problems import ParameterError, ProblemError
from service.api.v1.documents.parameters import disposition, read_kind, read_options
from service.api.v1.saved_quotes.address import read_id, read_revision_number
from service.core.errors import QuoteFaultsError
from service.operations.paper.asking import DocumentAsked, Made, NotMade
from service.operations.paper.document_request import asked_of
from service.operations.paper.kept import kept_document
from service.operations.paper.kinds import KINDS, MEDIA_TYPES, KindName
from service.operations.paper.late_making import make_document as make
from service.operations.paper.late_making import make_unread
from service.operations.paper.prepared import prepare_new_paper
from service.operations.quoting.elsewhere import asked as told_of
from service.operations.quoting.elsewhere import is_large
from service.operations.saved.saved_quote_request import inside_request
from service.storage import Store

# What setting a document takes beside its quote, in ms of one core.
SETTING_MS = 400.0


async def make_document(request: Request) -> Response:
    """Put a quote on paper. Nothing is stored: the same request gives the same bytes.

    A visit sheet is also made of a number of stations alone.
    """
    kind = _seen_kind(request)
    options, form = read_options(request, kind)
    for_field = not get_caller(request).sees_money
    wanted = DocumentAsked(kind=kind, form=form, options=options, for_field=for_field)
    document, size = await read_json_sized(request)
    if is_large(size):
        make_large = partial(make_unread, wanted)
        return _sent(request, wanted, await answered_elsewhere(request, document, make_large))
    asked = asked_of(document, wanted, get_catalog(request))
    if asked.document is None:
        return await _answer(request, asked, SETTING_MS)
    try:
        return await _answer(request, *await _prepared(request, asked))
    except QuoteFaultsError as error:
        raise QuoteFaultsError(inside_request(error.faults)) from None


async def read_quote_document(request: Request) -> Response:
    """A revision on paper: its figures are those that were answered; company and words are
    today's, so it is asked for anew each time."""
    kind = _seen_kind(request)
    options, form = read_options(request, kind)
    quote_id, number = read_id(request), read_revision_number(request)
    catalog, stored = get_catalog(request), get_stored_prices(request)
    wanted = DocumentAsked(
        kind=kind, form=form, options=options, for_field=not get_caller(request).sees_money
    )

    def read(store: Store) -> tuple[DocumentAsked, float]:
        with store.read() as connection:
            return kept_document(connection, catalog, stored, (quote_id, number), wanted)

    asked, cost_ms = await run_stored(request, read)
    return await _answer(request, asked, cost_ms + SETTING_MS)


def _seen_kind(request: Request) -> KindName:
    """The kind in the path. Raises ProblemError (404) for no kind, and (403) for one that the
    caller's key isn't for."""
    kind, caller = read_kind(request), get_caller(request)
    if not caller.may(KINDS[kind].scope):
        raise scope_missing((KINDS[kind].scope,), caller)
    return kind


async def _prepared(request: Request, asked: DocumentAsked) -> tuple[DocumentAsked, float]:
    """A document of a small request, as it is asked for elsewhere, and what it takes in ms. Raises
    QuoteFaultsError."""
    catalog = get_catalog(request)
    prepared = await prepared_here(
        request, asked.document, lambda stored: prepare_new_paper(asked, catalog, stored)
    )
    told = told_of(asked.document, prepared.prices, catalog)
    return replace(asked, prices=told.prices), prepared.cost_ms + SETTING_MS


async def _answer(request: Request, asked: DocumentAsked, cost_ms: float) -> Response:
    catalog = get_catalog(request)
    running = get_door(request).run(make, catalog, asked, cost_ms)
    return _sent(request, asked, await while_connected(request, running))


def _sent(request: Request, asked: DocumentAsked, made: Made | NotMade) -> Response:
    """The document as an answer. Raises ProblemError for one that was not made."""
    if isinstance(made, NotMade):
        raise _refused(made)
    headers = {"Content-Disposition": disposition(made.name, asked.form), "Vary": "Accept"}
    if made.policy:
        headers["Content-Security-Policy"] = made.policy
    media_type = MEDIA_TYPES[asked.form]
    if media_type.startswith("text/"):
        media_type += "; charset=utf-8"
    if asked.kept is None:
        return Response(made.body, media_type=media_type, headers=headers)
    return content_response(request, made.body, headers=headers, media_type=media_type)


def _refused(made: NotMade) -> ProblemError:
    if made.option:
        return ParameterError(made.option, made.message, made.hint or None, code=made.code)
    return ProblemError(made.code, f"{made.message[:1].upper()}{made.message[1:]}.")
