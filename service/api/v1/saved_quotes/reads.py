"""Reads of saved quotes: lists, revisions as they were kept, states, differences."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode

import msgspec
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import content_response
from service.api.dependencies import run_stored, written_address
from service.api.v1.pages import link_header, read_limit, read_parameters, refuse_parameters
from service.api.v1.saved_quotes.address import read_id
from service.api.v1.saved_quotes.filters import (
    FILTER_NAMES,
    SEVERAL,
    VIEW,
    read_filter,
    read_view,
)
from service.api.v1.saved_quotes.named import is_named
from service.api.v1.saved_quotes.orders import (
    ORDER_BY,
    number_cursor,
    place_cursor,
    read_number_cursor,
    read_order,
    read_place,
)
from service.operations.quoting.quote_answer import encode_answer
from service.operations.saved.quote_customer import read_customer, read_metadata, read_notes
from service.operations.saved.quote_moves import read_state, read_unnamed_state
from service.operations.saved.saved_quote import known_quote, read_quote, read_unnamed_quote
from service.operations.saved.saved_quote_answer import listed_answer, quote_tag, revision_item
from service.operations.saved.unnamed_answer import unnamed_listed
from service.storage import Connection, Store
from service.storage.quote_lists import list_quotes
from service.storage.saved_quotes import find_heads

PAGE_NAMES = ("limit", "cursor")


async def list_saved_quotes(request: Request) -> Response:
    """Saved quotes that fit every parameter given; each is judged by its current revision."""
    names = (*PAGE_NAMES, *FILTER_NAMES, ORDER_BY.name, VIEW.name)
    given = read_parameters(request, names, several=SEVERAL)
    wanted, full = read_filter(given), read_view(given)
    limit, order = read_limit(given), read_order(given)
    answer = listed_answer if is_named(request, given) else unnamed_listed
    after = read_place(given, order)

    def read(store: Store) -> tuple[bytes, str | None]:
        with store.read() as connection:
            found = list_quotes(
                connection, wanted, limit=limit + 1, order=order, after=after, full=full
            )
        page, more = found[:limit], len(found) > limit
        cursor = place_cursor(page[-1].place) if more else None
        next_page = _next(request, given, cursor)
        items = tuple(answer(quote) for quote in page)
        return _page(items, next_page), next_page

    body, next_page = await run_stored(request, read)
    return content_response(request, body, headers=link_header(next_page))


async def read_saved_quote(request: Request) -> Response:
    """A saved quote, with the facts of its current revision. Its ETag is that of all that stands
    beside it, and the one that every change of it takes."""
    return await read_of_quote(request, read_quote if is_named(request) else read_unnamed_quote)


async def read_quote_state(request: Request) -> Response:
    """The state of a quote, of each revision, what may come next, and every move so far."""
    return await read_of_quote(request, read_state if is_named(request) else read_unnamed_state)


async def read_quote_customer(request: Request) -> Response:
    """Name and address, kept apart from what was quoted."""
    return await read_of_quote(request, read_customer)


async def read_quote_metadata(request: Request) -> Response:
    """What the caller keeps beside the quote."""
    return await read_of_quote(request, read_metadata)


async def read_quote_notes(request: Request) -> Response:
    """The notes on a quote."""
    return await read_of_quote(request, read_notes)


async def list_quote_revisions(request: Request) -> Response:
    """The revisions of a quote, the newest first."""
    given = read_parameters(request, PAGE_NAMES)
    limit, before = read_limit(given), read_number_cursor(given)
    quote_id = read_id(request)

    def read(store: Store) -> tuple[bytes, str | None]:
        with store.read() as connection:
            known_quote(connection, quote_id)
            heads = find_heads(connection, quote_id, limit=limit + 1, before=before)
        page, more = heads[:limit], len(heads) > limit
        next_page = _next(request, given, number_cursor(page[-1].revision) if more else None)
        return _page(tuple(revision_item(head) for head in page), next_page), next_page

    body, next_page = await run_stored(request, read)
    return content_response(request, body, headers=link_header(next_page))


async def read_of_quote(
    request: Request, answer: Callable[[Connection, str], msgspec.Struct]
) -> Response:
    """The same for what changes with the quote: under its ETag."""
    refuse_parameters(request)
    quote_id = read_id(request)

    def read(store: Store) -> tuple[bytes, str]:
        with store.read() as connection:
            body = encode_answer(answer(connection, quote_id))
            return body, quote_tag(known_quote(connection, quote_id))

    body, tag = await run_stored(request, read)
    return content_response(request, body, tag=tag)


async def read_answer(
    request: Request, answer: Callable[[Connection, str], msgspec.Struct]
) -> Response:
    """Answer a read that takes nothing but what stands in the address."""
    refuse_parameters(request)
    quote_id = read_id(request)

    def read(store: Store) -> bytes:
        with store.read() as connection:
            return encode_answer(answer(connection, quote_id))

    return content_response(request, await run_stored(request, read))


def _next(request: Request, given: dict[str, str], cursor: str | None) -> str | None:
    """The address of the next page: what was asked for, from the cursor on."""
    if cursor is None:
        return None
    again = {name: text.split(SEVERAL.get(name, "\n")) for name, text in given.items()}
    query = urlencode({**again, "cursor": [cursor]}, doseq=True)
    return written_address(request, f"{request.scope['path']}?{query}")


def _page(items: tuple[msgspec.Struct, ...], next_page: str | None) -> bytes:
    return msgspec.json.encode({"items": items, "next": next_page})
