"""`POST /v1/quotes/batch`: many requests, each answered as it would be alone; nothing is stored."""

from __future__ import annotations

from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response

from service.api import bodies
from service.api.batch import Batch
from service.api.bodies import JSON, read_json, read_media_type, said_type
from service.api.dependencies import get_catalog, get_stored_prices
from service.api.line_stream import LineStream, calculate
from service.api.problems import REQUEST_ID, ProblemError
from service.api.v1.pages import refuse_parameters
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

    A JSON array of at most 100 requests gets the same answers as `items`, all at once, with 207.
    """
    refuse_parameters(request)
    batch = Batch(get_catalog(request), request.scope[REQUEST_ID], get_stored_prices(request))
    match read_media_type(request):
        case bodies.NDJSON:
            return LineStream(batch)
        case bodies.JSON:
            return await _answer_array(request, batch)
    raise ProblemError("media-type-unsupported", said_type(request, _MEDIA_TYPES))


_MEDIA_TYPES = (
    "send one JSON request a line as application/x-ndjson, or an array of requests as "
    "application/json, in UTF-8, without Content-Encoding"
)


async def _answer_array(request: Request, batch: Batch) -> Response:
    items: list[bytes] = []
    for number, document in enumerate(_to_items(await read_json(request)), start=1):
        if await request.is_disconnected():
            raise ClientDisconnect
        items.append(await calculate(batch.answer_document, number, document))
    body = b'{"items":[' + b",".join(items) + b"]}"
    return Response(body, status_code=207, media_type=JSON)


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
