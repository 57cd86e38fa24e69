"""Publishing a revision of a price list."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from service.api.bodies import read_json
from service.api.dependencies import get_catalog, run_stored
from service.api.storing import read_call, read_conditions, stored_response
from service.api.v1.pages import refuse_parameters
from service.api.v1.price_lists.address import read_list_id
from service.operations.idempotent import document_fingerprint
from service.operations.prices.price_lists import publish


async def publish_price_list(request: Request) -> Response:
    """Publish a whole list, or changes to the latest revision of it.

    `If-Match` names the ETag of `latest`, the first revision takes `If-None-Match: *`. What
    `latest` says already, whole, answers 200 with `latest` and makes no revision.
    """
    refuse_parameters(request)
    list_id, catalog = read_list_id(request), get_catalog(request)
    document = await read_json(request)
    conditions = read_conditions(request)
    call = read_call(request, document_fingerprint(document))
    stored = await run_stored(
        request, lambda store: publish(store, catalog, list_id, document, conditions, call)
    )
    return stored_response(stored)
