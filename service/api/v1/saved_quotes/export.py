"""`GET /v1/saved-quotes/export`: all quotes that fit, as lines of JSON or CSV, streamed."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from service.api.accept import CSV, NDJSON, choose_form
from service.api.dependencies import get_catalog, run_stored
from service.api.operation import Parameter
from service.api.problems import ParameterError
from service.api.v1.pages import read_parameters
from service.api.v1.saved_quotes.filters import FILTER_NAMES, SEVERAL, VIEW, read_filter, read_view
from service.api.v1.saved_quotes.named import is_named
from service.operations.saved.quote_export import Form, export_quotes
from service.storage import Store
from service.units import found

FORMAT = Parameter(
    name="format",
    within="query",
    description="The form of the answer, in place of `Accept`.",
    schema={"type": "string", "enum": ["ndjson", "csv"]},
    component="Format",
)
ROWS = Parameter(
    name="rows",
    within="query",
    description="What a row of CSV is: a quote, or a price line of one.",
    schema={"type": "string", "enum": ["quotes", "lines"]},
    component="Rows",
)


async def export_saved_quotes(request: Request) -> Response:
    """Every quote that fits the parameters, however many. CSV holds the facts of the current
    revision; with `view=full` lines of JSON bring request and answer as well."""
    given = read_parameters(
        request, (*FILTER_NAMES, VIEW.name, FORMAT.name, ROWS.name), several=SEVERAL
    )
    wanted, full, catalog = read_filter(given), read_view(given), get_catalog(request)
    form, named = _form(request, given.get("format")), is_named(request, given)
    if form == "csv" and full:
        message = "view: full goes with lines of JSON only"
        raise ParameterError("view", message, "format=ndjson")
    form = _by_rows(form, given.get("rows", "quotes"))

    def begin(store: Store) -> Iterator[bytes]:
        # The first page is read before the answer begins, so that a failure is answered as one.
        parts = export_quotes(store, catalog, wanted, form, full=full, named=named)
        return itertools.chain([next(parts)], parts)

    media_type = NDJSON if form == "ndjson" else f"{CSV}; charset=utf-8"
    return StreamingResponse(await run_stored(request, begin), media_type=media_type)


def _by_rows(form: Form, rows: str) -> Form:
    """The form by what a row is."""
    if rows not in {"quotes", "lines"}:
        raise ParameterError("rows", f"rows: {found(rows)} is neither quotes nor lines")
    if rows == "quotes":
        return form
    if form != "csv":
        raise ParameterError("rows", "rows: lines goes with CSV only", "format=csv")
    return "lines"


def _form(request: Request, named: str | None) -> Form:
    if named is None:
        return "csv" if choose_form(request, (NDJSON, CSV)) == CSV else "ndjson"
    if named == "csv":
        return "csv"
    if named == "ndjson":
        return "ndjson"
    raise ParameterError("format", f"format: {found(named)} is neither ndjson nor csv")
