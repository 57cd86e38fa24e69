"""The items of a re-pricing: pages of JSON, or everything as lines of JSON or CSV."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import msgspec
from starlette.concurrency import iterate_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from service.api.accept import CSV, NDJSON, choose_form
from service.api.answers import read_response
from service.api.dependencies import run_stored, written_address
from service.api.parameters import one_word
from service.api.problems import ParameterError
from service.api.v1.pages import cursor_of, link_header, read_limit, read_parameters
from service.api.v1.repricings.address import PREFIX, read_id, read_position, refusals
from service.operations.repricing.repricing_answer import RepricedItem
from service.operations.repricing.repricing_export import ONLY, Only, csv_rows, fits, ndjson
from service.operations.repricing.repricing_reads import each_item, read_items, read_repricing
from service.storage import Connection, Store
from service.units import found

FORMS = ("application/json", NDJSON, CSV)
PIECE_BYTES = 1 << 16
ONLY_PARAMETER = one_word(
    "only", "Only", ONLY, "Only these items: those with this outcome, or under the margin floor."
)


async def list_repricing_items(request: Request) -> Response:
    """One item a quote, in the order of the quotes' numbers: pages as JSON, or everything that
    is there as `application/x-ndjson` or `text/csv`, by `Accept`.

    While the run goes on, `next` of the last page so far leads to what comes.
    """
    form = choose_form(request, FORMS)
    run_id = read_id(request)
    names = ("limit", "cursor", "only") if form == FORMS[0] else ("only",)
    given = read_parameters(request, names)
    only = read_only(given)
    if form == FORMS[0]:
        return await _items_page(request, run_id, given, only)

    def known(store: Store) -> Store:
        with store.read() as connection, refusals():
            read_repricing(connection, run_id, store.now())
        return store

    store = await run_stored(request, known)
    items = (item for item in each_item(store, run_id) if fits(item, only))
    parts = ndjson(items) if form == FORMS[1] else csv_rows(items)
    return StreamingResponse(iterate_in_threadpool(_joined(parts)), media_type=form)


def _joined(parts: Iterator[bytes], size: int = PIECE_BYTES) -> Iterator[bytes]:
    """Parts put together to pieces worth sending."""
    held: list[bytes] = []
    length = 0
    for part in parts:
        held.append(part)
        length += len(part)
        if length >= size:
            yield b"".join(held)
            held, length = [], 0
    yield b"".join(held)


@dataclass(frozen=True, slots=True)
class _Page:
    items: list[RepricedItem]
    position: int
    more: bool


async def _items_page(
    request: Request, run_id: str, given: dict[str, str], only: Only | None
) -> Response:
    limit, start = read_limit(given), read_position(given)

    def read(store: Store) -> _Page:
        with store.read() as connection, refusals():
            return _read_page(connection, run_id, (start, limit), only)

    page = await run_stored(request, read)
    next_page = None
    if page.more:
        cursor = cursor_of(str(page.position))
        kept = f"&only={only}" if only else ""
        path = f"{PREFIX}/{run_id}/items?limit={limit}&cursor={cursor}{kept}"
        next_page = written_address(request, path)
    document = {"items": msgspec.to_builtins(page.items), "next": next_page}
    return read_response(request, document, headers=link_header(next_page))


def _read_page(
    connection: Connection, run_id: str, bounds: tuple[int, int], only: Only | None
) -> _Page:
    """Items from a position on until a page is full, or nothing more is there."""
    position, limit = bounds
    found: list[RepricedItem] = []
    while True:
        items, more = read_items(connection, run_id, position)
        for at, item in enumerate(items):
            if len(found) == limit:
                return _Page(found, position + at, more=True)
            if fits(item, only):
                found.append(item)
        position += len(items)
        if not items or not more:
            return _Page(found, position, more)


def read_only(given: dict[str, str]) -> Only | None:
    """Which items are asked for; None: all. Raises ProblemError."""
    for only in ONLY:
        if given.get("only") == only:
            return only
    if "only" in given:
        message = f"only: {found(given['only'])} is not one of {', '.join(ONLY)}"
        raise ParameterError("only", message)
    return None
