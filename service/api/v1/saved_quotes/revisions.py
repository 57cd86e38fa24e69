"""Reads of one revision of a saved quote: as it was kept, and held against others."""

from __future__ import annotations

from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import IMMUTABLE, REVALIDATED, content_response
from service.api.dependencies import get_catalog, get_stored_prices, run_stored
from service.api.v1.pages import refuse_parameters
from service.api.v1.saved_quotes.address import read_id, read_revision_number, revision_url
from service.api.v1.saved_quotes.named import is_named
from service.api.v1.saved_quotes.reads import read_answer, read_of_quote
from service.operations.quoting.quote_answer import encode_answer
from service.operations.saved.actuals import read_actuals, read_unnamed_actuals
from service.operations.saved.answer_difference import answer_difference
from service.operations.saved.difference_answer import QuoteDifference
from service.operations.saved.recomputation import recompute
from service.operations.saved.saved_quote import LATEST, known_quote, read_revision
from service.operations.saved.saved_quote_answer import quote_tag, revision_answer
from service.storage import Connection, Store
from service.storage.quote_rows import SavedRevision


async def read_quote_revision(request: Request) -> Response:
    """A revision never changes: `latest` is an alias of the newest one, under the quote's ETag. A
    draft that a re-pricing made gets its dates on the day on which it is issued."""
    return await _read_revision(request, lambda saved: encode_answer(revision_answer(saved)), "")


async def read_revision_quote(request: Request) -> Response:
    """The request as it came, its keys in their order and its numbers as written."""
    return await _read_revision(request, lambda saved: saved.request, "/quote")


async def read_revision_answer(request: Request) -> Response:
    """The answer as it was given, byte for byte."""
    return await _read_revision(request, lambda saved: saved.answer, "/answer")


async def read_quote_actuals(request: Request) -> Response:
    """What the job took, held against what was quoted, group by group. `note` is shown to keys
    with the scope `quotes`."""
    number = read_revision_number(request)
    read = read_actuals if is_named(request) else read_unnamed_actuals
    return await read_of_quote(request, lambda c, quote_id: read(c, quote_id, number))


async def read_recomputation(request: Request) -> Response:
    """The revision's request quoted by the engine and catalog of today, at the price-list
    revision it was quoted at, against what was answered then: `same` where no byte differs."""
    number, catalog = read_revision_number(request), get_catalog(request)
    stored = get_stored_prices(request)
    refuse_parameters(request)
    quote_id = read_id(request)

    def read(store: Store) -> bytes:
        with store.read() as connection:
            saved = read_revision(connection, quote_id, number)
        return encode_answer(recompute(saved, catalog, stored))

    return content_response(request, await run_stored(request, read))


async def read_quote_difference(request: Request) -> Response:
    """What differs from the revision to the other one: amounts, groups, lines, hours."""
    numbers = read_revision_number(request), read_revision_number(request, "other")

    def read(connection: Connection, quote_id: str) -> QuoteDifference:
        before, after = (read_revision(connection, quote_id, number) for number in numbers)
        return answer_difference(before.answer, after.answer)

    return await read_answer(request, read)


async def _read_revision(
    request: Request, content: Callable[[SavedRevision], bytes], below: str
) -> Response:
    """Something of a revision that never changes; `below` is its place under the revision."""
    refuse_parameters(request)
    quote_id, number = read_id(request), read_revision_number(request)

    def read(store: Store) -> tuple[SavedRevision, str]:
        with store.read() as connection:
            saved = read_revision(connection, quote_id, number)
            return saved, quote_tag(known_quote(connection, quote_id))

    saved, tag = await run_stored(request, read)
    if number != LATEST:
        kept = REVALIDATED if saved.may_be_dated else IMMUTABLE
        return content_response(request, content(saved), cache_control=kept)
    headers = {"Content-Location": revision_url(quote_id, saved.head.revision) + below}
    # The newest revision is what a further one is made of: it stands under the quote's ETag.
    own = None if below else tag
    return content_response(request, content(saved), tag=own, headers=headers)
