"""`POST /v1/repricings/{id}/issue`: the drafts of a re-pricing, issued together."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from service.api.bodies import read_json
from service.api.dependencies import get_catalog, run_storing
from service.api.storing import read_call, stored_response
from service.api.v1.pages import refuse_parameters
from service.api.v1.repricings.address import read_id, refusals
from service.operations.idempotent import (
    Outcome,
    StoredOutcome,
    document_fingerprint,
    find_outcome,
    run_once,
)
from service.operations.quoting.quote_answer import encode_answer
from service.operations.repricing.repricing_issue import IssueRequest, issue_drafts
from service.operations.ruled import read_document
from service.storage import Connection, Store


async def issue_repricing(request: Request) -> Response:
    """Issue the drafts that a write made, all or those named, on one day. Each has its outcome; a
    draft that was withdrawn, replaced or issued since keeps no other from going out."""
    refuse_parameters(request)
    document = await read_json(request)
    catalog, run_id = get_catalog(request), read_id(request)
    call = read_call(request, document_fingerprint(document))

    def run(store: Store) -> StoredOutcome:
        earlier = find_outcome(store, call)
        if earlier is not None:
            return earlier
        asked = read_document(IssueRequest, document, catalog)

        def work(connection: Connection) -> Outcome:
            with refusals():
                answer = issue_drafts(connection, run_id, asked, store.now(), catalog)
            return Outcome(status=200, body=encode_answer(answer))

        return run_once(store, call, work)

    return stored_response(await run_storing(request, run))
