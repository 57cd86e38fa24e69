"""`GET /v1/saved-quotes/export`: all quotes that fit, as lines of JSON or CSV, streamed."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from service.api.accept import CSV, NDJSON, choose_form
from service.api.dependencies import run_stored
from service.api.openapi import answer_schema
from service.api.problems import ProblemError
from service.api.schemas import lines_schema
from service.api.storing import READING_RESPONSES
from service.api.v1.pages import read_parameters
from service.api.v1.saved_quote_parameters import (
    FILTER_NAMES,
    FILTERS,
    VIEW,
    read_filter,
    read_view,
)
from service.api.v1.saved_quote_path import PREFIX
from service.operations.saved.quote_export import Form, export_quotes
from service.operations.saved.saved_quote_answer import SavedQuoteAnswer
from service.storage import Store

_FORMAT: dict[str, Any] = {
    "name": "format",
    "in": "query",
    "required": False,
    "description": "The form of the answer, in place of `Accept`.",
    "schema": {"type": "string", "enum": ["ndjson", "csv"]},
}


def saved_quote_export_router() -> APIRouter:
    """The route that exports; it stands before those with an id in the same place."""
    router = APIRouter(prefix=PREFIX, tags=["saved quotes"])
    router.add_api_route(
        "/export",
        export_saved_quotes,
        methods=["GET"],
        # The answer is no JSON, so the framework is not to document any.
        response_class=Response,
        summary="Export saved quotes as lines of JSON or CSV",
        openapi_extra={
            "parameters": [*FILTERS, VIEW, _FORMAT],
            "responses": {
                "200": {
                    "description": "A quote a line, the newest first; the last line of JSON is "
                    '{"end": true, "quotes": 2}.',
                    "content": {
                        NDJSON: {"schema": lines_schema(answer_schema(SavedQuoteAnswer), "quotes")},
                        CSV: {"schema": {"type": "string"}},
                    },
                },
                **READING_RESPONSES,
            },
        },
    )
    return router


async def export_saved_quotes(request: Request) -> Response:
    """Every quote that fits the parameters, however many. CSV holds the facts of the current
    revision; with `view=full` lines of JSON bring request and answer as well."""
    given = read_parameters(request, (*FILTER_NAMES, VIEW["name"], _FORMAT["name"]))
    wanted, full = read_filter(given), read_view(given)
    form = _form(request, given.get("format"))
    if form == "csv" and full:
        raise ProblemError("parameter-invalid", "view=full goes with lines of JSON only.")

    def begin(store: Store) -> Iterator[bytes]:
        # The first page is read before the answer begins, so that a failure is answered as one.
        parts = export_quotes(store, wanted, form, full=full)
        return itertools.chain([next(parts)], parts)

    media_type = f"{CSV}; charset=utf-8" if form == "csv" else NDJSON
    return StreamingResponse(await run_stored(request, begin), media_type=media_type)


def _form(request: Request, named: str | None) -> Form:
    if named is None:
        return "csv" if choose_form(request, (NDJSON, CSV)) == CSV else "ndjson"
    if named == "csv":
        return "csv"
    if named == "ndjson":
        return "ndjson"
    raise ProblemError("parameter-invalid", "format is ndjson or csv.")
