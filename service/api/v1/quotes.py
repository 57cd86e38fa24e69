"""`POST /v1/quotes` and `POST /v1/comparisons`: calculated, answered, and stored nowhere."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
from fastapi import APIRouter
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from service.api.bodies import read_json
from service.api.dependencies import get_catalog, get_stored_prices
from service.api.openapi import answer_schema, json_content
from service.api.storing import READING_RESPONSES
from service.api.v1.pages import refuse_parameters
from service.catalog import Catalog
from service.catalog.schemas import TomlSchema
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.comparison import ComparisonRequest, compare_document
from service.operations.quoting.comparison_answer import ComparisonAnswer
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer
from service.operations.quoting.quote_request import QuoteRequest, names_stored_list

_Json = dict[str, Any]
_Operation = Callable[[object, Catalog, StoredPrices | None], msgspec.Struct]


def quotes_router() -> APIRouter:
    """The routes that calculate."""
    router = APIRouter(prefix="/v1", tags=["quotes"])
    router.add_api_route(
        "/quotes",
        quote_walls,
        methods=["POST"],
        summary="Quote walls: quantities, hours and price, with the arithmetic",
        openapi_extra=_extra(QuoteRequest, QuoteAnswer),
    )
    router.add_api_route(
        "/comparisons",
        compare_quotes,
        methods=["POST"],
        summary="Hold a quote against other systems and sections, and heights that fit",
        openapi_extra=_extra(ComparisonRequest, ComparisonAnswer),
    )
    return router


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
        answer = await run_in_threadpool(operation, document, catalog, stored)
    else:
        answer = operation(document, catalog, None)
    return Response(encode_answer(answer), media_type="application/json")


def _extra(body: type[BaseModel], answer: type[msgspec.Struct]) -> _Json:
    schema = body.model_json_schema(schema_generator=TomlSchema)
    return {
        "requestBody": {"required": True, "content": json_content(schema)},
        "responses": {
            "200": {"content": json_content(answer_schema(answer))},
            **READING_RESPONSES,
        },
    }
