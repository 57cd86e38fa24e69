"""`POST /v1/quotes` and `POST /v1/comparisons`: calculated, answered, and stored nowhere."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from service.api.bodies import JSON, read_json_sized
from service.api.calculating import compared, quoted
from service.api.v1.pages import refuse_parameters


async def quote_walls(request: Request) -> Response:
    """Quote one or more walls. Nothing is stored: the same request gives the same bytes."""
    document, size = await _read(request)
    return Response(await quoted(request, document, size), media_type=JSON)


async def compare_quotes(request: Request) -> Response:
    """Quote the same walls with other wall systems or sections, side by side.

    With `heights_that_fit`, also find for each wall the next finished heights that take a course
    less and a course more, and what they cost.
    """
    document, size = await _read(request)
    return Response(await compared(request, document, size), media_type=JSON)


async def _read(request: Request) -> tuple[object, int]:
    """The document, and its size in bytes."""
    refuse_parameters(request)
    return await read_json_sized(request)
