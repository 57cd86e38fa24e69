"""`POST /v1/quotes/batch`: many requests, each answered as it would be alone; nothing is stored."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from service.api import bodies
from service.api.batch import Batch
from service.api.batch_calculated import answered_document
from service.api.bodies import (
    BATCH_BOUNDS,
    JSON,
    parse_json,
    read_json_bytes,
    read_media_type,
    said_type,
)
from service.api.calculating import in_thread, while_connected
from service.api.dependencies import get_caller, get_catalog, get_door, get_stored_prices
from service.api.line_stream import LineStream
from service.api.problems import REQUEST_ID, ProblemError
from service.api.quoting import quoting_for
from service.api.v1.pages import refuse_parameters
from service.calculators import Door
from service.core.errors import Fault

MAX_ITEMS = 100


async def quote_batch(request: Request) -> Response:
    """Quote many requests, one JSON document a line, of any number. Nothing is stored.

    Each line is answered by one line, in order, while further lines still arrive; blank lines are
    passed over but counted. The last line says how many there were, or why the batch was broken
    off, so an answer without it was cut. A line may have 1 MiB; a longer one is answered by a 413
    and the batch goes on. The status is 200 whatever the lines say: look at each of them.
    After the first 20 problems of a batch each has its first fault alone; `errors_total` counts
    all of them.

    A JSON array of at most 100 requests, 150,000 values in all, gets the same answers as `items`,
    all at once, with 207.
    """
    refuse_parameters(request)
    batch = Batch(
        get_catalog(request),
        request.scope[REQUEST_ID],
        get_stored_prices(request),
        quoting_for(get_caller(request)),
    )
    match read_media_type(request):
        case bodies.NDJSON:
            return LineStream(batch, get_door(request))
        case bodies.JSON:
            return await _answer_array(request, batch)
    raise ProblemError("media-type-unsupported", said_type(request, _MEDIA_TYPES))


_MEDIA_TYPES = (
    "send one JSON request a line as application/x-ndjson, or an array of requests as "
    "application/json, in UTF-8, without Content-Encoding"
)


async def _answer_array(request: Request, batch: Batch) -> Response:
    document = await in_thread(parse_json, await read_json_bytes(request), BATCH_BOUNDS)
    documents, door = _to_items(document), get_door(request)
    items = await while_connected(request, _items(batch, door, documents))
    body = b'{"items":[' + b",".join(items) + b"]}"
    return Response(body, status_code=207, media_type=JSON)


async def _items(batch: Batch, door: Door, documents: list[object]) -> list[bytes]:
    numbered = enumerate(documents, start=1)
    return [await answered_document(batch, door, number, each) for number, each in numbered]


def _to_items(document: object) -> list[object]:
    """The requests of an array. Raises ProblemError (422) for another number of them."""
    if not isinstance(document, list):
        message = "a batch in JSON is an array of requests; a single one goes to /v1/quotes"
        raise _refused("wrong-type", message)
    if not document:
        raise _refused("too-short", "the array is empty; a batch has at least one request")
    if len(document) > MAX_ITEMS:
        message = f"{len(document)} requests are given, at most {MAX_ITEMS} are read"
        raise _refused("too-long", message, "send one request a line as application/x-ndjson")
    return document


def _refused(code: str, message: str, hint: str | None = None) -> ProblemError:
    fault = Fault(code=code, at=(), message=message, hint=hint)
    return ProblemError(code, faults=[fault])
