"""`/v1/repricings`: saved quotes on new prices. A re-pricing is its own monitor."""

from __future__ import annotations

import msgspec
from msgspec import UNSET
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import read_response
from service.api.bodies import read_json, read_no_body
from service.api.dependencies import (
    get_catalog,
    get_public_url,
    get_repricing,
    run_stored,
    run_storing,
    written_address,
)
from service.api.operation import Parameter
from service.api.storing import read_call, stored_response
from service.api.v1.pages import (
    cursor_of,
    link_header,
    read_limit,
    read_parameters,
    refuse_parameters,
)
from service.api.v1.repricings.address import PREFIX, read_before, read_id, refusals
from service.catalog import Catalog
from service.operations.idempotent import (
    Outcome,
    StoredOutcome,
    document_fingerprint,
    find_outcome,
    run_once,
)
from service.operations.quoting.quote_answer import encode_answer
from service.operations.repricing.repricing import cancel_repricing, work_off
from service.operations.repricing.repricing_answer import RepricingAnswer
from service.operations.repricing.repricing_reads import list_repricings, read_repricing
from service.operations.repricing.repricing_start import (
    is_large,
    read_repricing_request,
    start_repricing,
)
from service.storage import Connection, Store
from service.storage import repricing_leases as leases

# How long a call that does its run itself is left alone by those that take up abandoned runs.
CALL_SECONDS = 60
RETRY_SECONDS = "1"
ASYNC = "respond-async"
ACCEPTED = 202

PREFER = Parameter(
    name="Prefer",
    within="header",
    description="`respond-async`: answer 202 at once, whatever the number of quotes.",
    schema={"type": "string", "maxLength": 200},
    component="Prefer",
)


async def create_repricing(request: Request) -> Response:
    """Work out what saved quotes would cost on a revision of a price list (`preview`), or keep
    what a preview showed as new revisions (`write`).

    Up to 200 quotes are done before the answer; more, or with `Prefer: respond-async`, are
    answered 202 and done in the background.
    """
    refuse_parameters(request)
    document = await read_json(request)
    catalog, host = get_catalog(request), get_repricing(request)
    public = get_public_url(request)
    prefers = ASYNC in request.headers.get("prefer", "").lower()
    call = read_call(request, document_fingerprint(document))

    def start(store: Store) -> StoredOutcome:
        def work(connection: Connection) -> Outcome:
            run = start_repricing(connection, wanted, catalog, store.now(), runs_on=host.runs_on)
            later = prefers or is_large(run.total)
            if not later:
                until = store.now() + CALL_SECONDS
                leases.take_run(connection, run.asked.id, "call", until)
            elif host.put_on_queue is not None:
                host.put_on_queue(connection, run)
            answer = _placed(read_repricing(connection, run.asked.id, store.now()), public)
            return _started(answer, later=later, prefers=prefers)

        earlier = find_outcome(store, call)
        if earlier is not None:
            return earlier
        wanted = read_repricing_request(document, catalog)
        return run_once(store, call, work)

    stored = await run_storing(request, start)
    if stored.outcome.status == ACCEPTED:
        host.runner.wake()
        return stored_response(stored)
    outcome = await run_storing(
        request, lambda store: _worked_off(store, catalog, stored.outcome, public)
    )
    return stored_response(StoredOutcome(outcome=outcome, replayed=stored.replayed))


def _worked_off(store: Store, catalog: Catalog, begun: Outcome, public: str) -> Outcome:
    """What a run comes to that is done before it is answered."""
    run_id = begun.headers["Location"].rpartition("/")[2]
    work_off(store, catalog, run_id)
    with store.read() as connection:
        answer = _placed(read_repricing(connection, run_id, store.now()), public)
    return Outcome(status=201, body=encode_answer(answer), headers=begun.headers)


def _placed(run: RepricingAnswer, public: str) -> RepricingAnswer:
    """A run as it is answered: with where its items are found."""
    return msgspec.structs.replace(run, items=f"{public}{run.items}") if public else run


def _started(answer: RepricingAnswer, *, later: bool, prefers: bool) -> Outcome:
    headers = {"Location": f"{PREFIX}/{answer.id}"}
    if later:
        headers["Retry-After"] = RETRY_SECONDS
    if prefers:
        headers["Preference-Applied"] = ASYNC
    return Outcome(status=ACCEPTED if later else 201, body=encode_answer(answer), headers=headers)


async def list_all_repricings(request: Request) -> Response:
    """Every re-pricing there was, the newest first."""
    given = read_parameters(request, ("limit", "cursor"))
    limit, before = read_limit(given), read_before(given)

    def read(store: Store) -> tuple[RepricingAnswer, ...]:
        with store.read() as connection:
            return list_repricings(connection, store.now(), limit=limit + 1, before=before)

    found = await run_stored(request, read)
    page, next_page = found[:limit], None
    if len(found) > limit:
        path = f"{PREFIX}?limit={limit}&cursor={cursor_of(page[-1].id)}"
        next_page = written_address(request, path)
    placed = [_placed(run, get_public_url(request)) for run in page]
    document = {"items": msgspec.to_builtins(placed), "next": next_page}
    return read_response(request, document, headers=link_header(next_page))


async def read_one_repricing(request: Request) -> Response:
    """Status, counts and summary; ask again while it is queued or running."""
    refuse_parameters(request)
    run_id = read_id(request)

    def read(store: Store) -> RepricingAnswer:
        with store.read() as connection, refusals():
            return read_repricing(connection, run_id, store.now())

    answer = await run_stored(request, read)
    headers = {"Retry-After": RETRY_SECONDS} if answer.finished_at is UNSET else {}
    document = msgspec.to_builtins(_placed(answer, get_public_url(request)))
    return read_response(request, document, headers=headers)


async def cancel_one_repricing(request: Request) -> Response:
    """Stop after the chunk that is being done. Cancelling once more changes nothing; a run that
    is over can't be cancelled (409 `repricing-finished`)."""
    refuse_parameters(request)
    await read_no_body(request)
    run_id = read_id(request)

    def cancel(store: Store) -> RepricingAnswer:
        with store.write() as connection, refusals():
            return cancel_repricing(connection, run_id, store.now())

    answer = _placed(await run_storing(request, cancel), get_public_url(request))
    return Response(encode_answer(answer), media_type="application/json")
