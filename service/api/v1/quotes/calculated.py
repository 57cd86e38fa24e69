"""`POST /v1/quotes` and `POST /v1/comparisons`: calculated, answered, and stored nowhere."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
from starlette.requests import Request
from starlette.responses import Response

from service.api.bodies import read_json
from service.api.dependencies import get_catalog, get_gates, get_stored_prices
from service.api.v1.pages import refuse_parameters
from service.catalog import Catalog
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.comparison import compare_document
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer
from service.operations.quoting.quote_request import names_stored_list

_Operation = Callable[[object, Catalog, StoredPrices | None], msgspec.Struct]


async def quote_walls(request: Request) -> Response:
    """Quote one or more walls. Nothing is stored: the same request gives the same bytes."""
    return await _calculate(request, quote_document)


async def compare_quotes(request: Request) -> Response:
    """Quote the same walls with other wall systems or sections, side by side.

    With `heights_that_fit`, also find for each wall the next finished heights that take a course
    less and a course more, and what they cost.
    """
    return await _calculate(request, compare_document)


async def _calculate(request: Request, operation: _Operation) -> Response:
    """Calculate at once; in a thread where prices have to be asked of the database."""
    refuse_parameters(request)
    document = await read_json(request)
    catalog = get_catalog(request)
    if names_stored_list(document, catalog):
        stored = get_stored_prices(request)
        gate = get_gates(request).reading
        answer = await gate.run(lambda: operation(document, catalog, stored))
    else:
        answer = operation(document, catalog, None)
    return Response(encode_answer(answer), media_type="application/json")
