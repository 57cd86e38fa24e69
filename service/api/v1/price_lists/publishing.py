"""Publishing a revision of a price list."""

from __future__ import annotations

import msgspec
from starlette.requests import Request
from starlette.responses import Response

from service.api.bodies import JSON, MOST_VALUES_AT_ONCE, read_json
from service.api.dependencies import get_catalog, run_stored, run_storing
from service.api.operation import Parameter
from service.api.problems import ParameterError
from service.api.storing import read_call, read_conditions, stored_response
from service.api.v1.pages import read_parameters
from service.api.v1.price_lists.address import read_list_id
from service.catalog.documents.price_list import MOST_ITEMS
from service.json_text import Bounds
from service.operations.idempotent import document_fingerprint
from service.operations.prices.price_lists import publish
from service.operations.prices.publication_preview import preview_publication
from service.units import found

_BOUNDS = Bounds(values=MOST_VALUES_AT_ONCE, items=MOST_ITEMS)
MODE = Parameter(
    name="mode",
    within="query",
    description="`write` publishes; `preview` shows what that would change and stores nothing.",
    schema={"type": "string", "enum": ["write", "preview"]},
    component="PublishMode",
)


async def publish_price_list(request: Request) -> Response:
    """Publish a whole list, or changes to the latest revision of it.

    `If-Match` names the ETag of `latest`, the first revision takes `If-None-Match: *`. What
    `latest` says already, whole, answers 200 with `latest` and makes no revision; 5 and 5.00
    are one sum. With `mode=preview` the answer is what would change, and nothing is stored. The
    body has at most 150,000 values; a longer list is imported as a file.
    """
    given = read_parameters(request, (MODE.name,))
    list_id, catalog = read_list_id(request), get_catalog(request)
    mode = given.get(MODE.name, "write")
    if mode not in {"write", "preview"}:
        raise ParameterError(MODE.name, f"mode: {found(mode)} is neither", "write or preview")
    document = await read_json(request, _BOUNDS)
    conditions = read_conditions(request)
    call = read_call(request, document_fingerprint(document))
    if mode == "preview":
        shown = await run_stored(
            request, lambda store: preview_publication(store, catalog, list_id, document)
        )
        return Response(msgspec.json.encode(shown), media_type=JSON)
    stored = await run_storing(
        request, lambda store: publish(store, catalog, list_id, document, conditions, call)
    )
    return stored_response(stored)
