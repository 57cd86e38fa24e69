"""`/v1/saved-quotes`: quotes that are kept. What stores stands here, what reads beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

import msgspec
from pydantic import BaseModel
from starlette.requests import Request
from starlette.responses import Response

from service import json_text
from service.api.bodies import read_json, read_json_sized, read_no_body
from service.api.dependencies import get_caller, get_catalog, run_storing
from service.api.operation import Parameter
from service.api.problems import ParameterError
from service.api.storing import read_call, read_conditions, stored_response
from service.api.v1.pages import read_parameters, refuse_parameters
from service.api.v1.saved_quotes.address import (
    quote_url,
    read_id,
    read_revision_number,
    revision_url,
)
from service.api.v1.saved_quotes.drafting import drafted
from service.operations.callers.erasing import forget_customer
from service.operations.conditions import Conditions
from service.operations.idempotent import (
    Outcome,
    StoredOutcome,
    Work,
    document_fingerprint,
    find_outcome,
    run_once,
)
from service.operations.quoting.quote_answer import encode_answer
from service.operations.ruled import read_document
from service.operations.saved.actuals import ActualsRequest, put_actuals
from service.operations.saved.customer_request import (
    CustomerRequest,
    customer_answer,
    customer_to_core,
)
from service.operations.saved.quote_customer import (
    name_customer,
    replace_metadata,
    replace_notes,
)
from service.operations.saved.quote_moves import Wanted, move_quote
from service.operations.saved.saved_quote import Draft, known_quote, revise_quote, save_quote
from service.operations.saved.saved_quote_answer import quote_tag
from service.operations.saved.saved_quote_request import (
    MetadataRequest,
    NotesRequest,
    StateRequest,
)
from service.storage import Connection, Store
from service.units import found

B = TypeVar("B", bound=BaseModel)
WITH_ACCEPTANCE = Parameter(
    name="with_acceptance",
    within="query",
    description="Erase the name of whoever accepted by a link, too.",
    schema={"type": "boolean", "default": False},
    component="WithAcceptance",
)
Prepare = Callable[[object, Store], Work]


async def save_quote_request(request: Request) -> Response:
    """Quote walls and keep request, answer and versions under an id that the service makes.

    The customer is kept apart from the quote and can be erased. A `reference` is unique in the
    store.
    """

    def prepare(draft: Draft, store: Store) -> Work:
        def work(connection: Connection) -> Outcome:
            answer = save_quote(connection, draft, store.now())
            headers = {**_tag(connection, answer.id), "Location": quote_url(answer.id)}
            return Outcome(status=201, body=encode_answer(answer), headers=headers)

        return work

    return await _keep(request, prepare, first=True)


async def revise_saved_quote(request: Request) -> Response:
    """Quote anew and keep it as the quote's next revision: a draft, which supersedes those
    before once it is issued. `If-Match` takes the ETag of the quote."""
    conditions = read_conditions(request)

    def prepare(draft: Draft, store: Store) -> Work:
        quote_id = read_id(request)

        def work(connection: Connection) -> Outcome:
            answer = revise_quote(connection, quote_id, draft, conditions, store.now())
            url = revision_url(quote_id, answer.revision)
            headers = {**_tag(connection, quote_id), "Location": url}
            return Outcome(status=201, body=encode_answer(answer), headers=headers)

        return work

    return await _keep(request, prepare, first=False)


async def set_quote_state(request: Request) -> Response:
    """Bring a quote into a state. `If-Match` takes the ETag of the quote.

    A quote is issued on a day. `accepted` and `declined` act on the revision that is issued, and
    accepting withdraws a newer draft; an incomplete quote can't be issued, and one whose time is
    over is accepted only with `after_expiry`.
    """
    conditions = read_conditions(request)
    catalog = get_catalog(request)

    def prepare(document: object, store: Store) -> Work:
        asked = read_document(StateRequest, document, catalog)
        wanted = Wanted(target=asked.state, words=asked.to_core())
        quote_id = read_id(request)

        def work(connection: Connection) -> Outcome:
            now = store.now()
            answer = move_quote(connection, quote_id, wanted, conditions, now, catalog)
            return _changed(connection, quote_id, answer)

        return work

    return await _store(request, prepare)


async def put_quote_customer(request: Request) -> Response:
    """Say whom a quote is for, apart from what was quoted, in place of what was said before.
    `If-Match` takes the ETag of the quote."""
    conditions = read_conditions(request)
    catalog = get_catalog(request)
    document = await _read(request)

    def prepare(document: object, store: Store) -> Work:
        customer = read_document(CustomerRequest, document, catalog)
        quote_id = read_id(request)

        def work(connection: Connection) -> Outcome:
            name_customer(connection, quote_id, customer, conditions, store.now())
            return Outcome(status=200, body=b"", headers=_tag(connection, quote_id))

        return work

    stored = await _do(request, document, prepare)
    # Names and addresses stay out of the outcomes that are kept for repeated calls: the answer
    # says what this call said.
    said = customer_to_core(read_document(CustomerRequest, document, catalog))
    body = encode_answer(customer_answer(said.document))
    return stored_response(replace(stored, outcome=replace(stored.outcome, body=body)))


async def put_quote_metadata(request: Request) -> Response:
    """Keep short texts beside a quote, in place of those before; lists find quotes by them.
    `If-Match` takes the ETag of the quote."""
    return await _replace(request, MetadataRequest, replace_metadata)


async def put_quote_notes(request: Request) -> Response:
    """Keep notes on a quote, in place of those before. `If-Match` takes the ETag of the quote."""
    return await _replace(request, NotesRequest, replace_notes)


async def erase_quote_customer(request: Request) -> Response:
    """Erase name and address, and with them notes, metadata, what links show and who said yes;
    quote, digests and states stay as they are. Links are closed."""
    given = read_parameters(request, (WITH_ACCEPTANCE.name,))
    agreed = _flag(given.get(WITH_ACCEPTANCE.name, "false"))
    await read_no_body(request)
    quote_id, caller = read_id(request), get_caller(request)

    def erase(store: Store) -> dict[str, str]:
        with store.write() as connection:
            forget_customer(connection, quote_id, caller, store.now(), with_acceptance=agreed)
            return _tag(connection, quote_id)

    return Response(status_code=204, headers=await run_storing(request, erase))


def _flag(text: str) -> bool:
    if text not in ("true", "false"):
        message = f"with_acceptance: {found(text)} is neither true nor false"
        raise ParameterError(WITH_ACCEPTANCE.name, message)
    return text == "true"


async def put_quote_actuals(request: Request) -> Response:
    """Say what the job took: hours by task, machine-hours, quantities, loads. It stands beside an
    accepted revision. `If-Match` takes the ETag of the quote."""
    conditions = read_conditions(request)
    catalog = get_catalog(request)

    def prepare(document: object, store: Store) -> Work:
        read_document(ActualsRequest, document, catalog)
        place = (read_id(request), read_revision_number(request))

        def work(connection: Connection) -> Outcome:
            took = json_text.as_received(document)
            answer = put_actuals(connection, place, took, conditions, store.now())
            return _changed(connection, place[0], answer)

        return work

    return await _store(request, prepare)


async def _replace(
    request: Request,
    model: type[B],
    keep: Callable[[Connection, str, B, Conditions, int], msgspec.Struct],
) -> Response:
    """Replace what stands beside a quote by what is sent."""
    conditions = read_conditions(request)
    catalog = get_catalog(request)

    def prepare(document: object, store: Store) -> Work:
        body = read_document(model, document, catalog)
        quote_id = read_id(request)

        def work(connection: Connection) -> Outcome:
            answer = keep(connection, quote_id, body, conditions, store.now())
            return _changed(connection, quote_id, answer)

        return work

    return await _store(request, prepare)


async def _store(request: Request, prepare: Prepare) -> Response:
    """Prepare what the body asks for, then do it once, in one transaction."""
    return stored_response(await _do(request, await _read(request), prepare))


async def _keep(
    request: Request, prepare: Callable[[Draft, Store], Work], *, first: bool
) -> Response:
    """Calculate the quote of the body, and keep it. A call that came before under its key is
    answered before anything is calculated."""
    refuse_parameters(request)
    document, size = await read_json_sized(request)
    call = read_call(request, document_fingerprint(document))
    known = await run_storing(request, lambda store: find_outcome(store, call)) if call else None
    if known is None:
        draft = await drafted(request, document, size, first=first)
        known = await run_storing(
            request,
            lambda store: find_outcome(store, call) or run_once(store, call, prepare(draft, store)),
        )
    return stored_response(known)


async def _read(request: Request) -> object:
    refuse_parameters(request)
    return await read_json(request)


async def _do(request: Request, document: object, prepare: Prepare) -> StoredOutcome:
    """What became of a body. A call that came before under its key is answered before anything is
    prepared."""
    call = read_call(request, document_fingerprint(document))

    def run(store: Store) -> StoredOutcome:
        return find_outcome(store, call) or run_once(store, call, prepare(document, store))

    return await run_storing(request, run)


def _changed(connection: Connection, quote_id: str, answer: msgspec.Struct) -> Outcome:
    return Outcome(status=200, body=encode_answer(answer), headers=_tag(connection, quote_id))


def _tag(connection: Connection, quote_id: str) -> dict[str, str]:
    """The ETag of a quote as it is now."""
    return {"ETag": quote_tag(known_quote(connection, quote_id))}
