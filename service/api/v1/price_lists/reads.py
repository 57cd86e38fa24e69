"""Price lists by revision: list, read, compare.

A list is a file of the catalog, with the one revision that stands in it, or is kept in the
database, where it is published to. A revision never changes.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import msgspec
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import IMMUTABLE, REVALIDATED, content_response, read_response
from service.api.dependencies import get_catalog, run_stored
from service.api.operation import Parameter
from service.api.parameters import DAY_SCHEMA
from service.api.v1.pages import link_header, read_page, read_parameters, refuse_parameters
from service.api.v1.price_lists.address import (
    latest_url,
    read_day,
    read_list_id,
    read_number,
    revision_url,
)
from service.catalog import Catalog
from service.operations.conditions import etag_of
from service.operations.prices.price_list_answer import (
    PriceListPage,
    RevisionPage,
    RevisionSummary,
)
from service.operations.prices.price_list_reads import (
    file_difference,
    list_ids,
    list_numbers,
    read_difference,
    read_file,
    read_revision,
    summarize,
    summarize_revisions,
    summary_of_file,
)

# Numbers as text of one length sort like numbers.
_DIGITS = 10


AS_OF = Parameter(
    name="as_of",
    within="query",
    description="The highest revision that holds on this day, in place of the latest of all.",
    schema=DAY_SCHEMA,
    component="AsOf",
)


async def list_price_lists(request: Request) -> Response:
    """Every price list with its newest revision, by id."""
    catalog = get_catalog(request)
    ids = await run_stored(request, lambda store: list_ids(store, catalog))
    page, next_page = read_page(request, ids)
    lists = await run_stored(request, lambda store: summarize(store, catalog, page))
    document = msgspec.to_builtins(PriceListPage(items=lists, next=next_page))
    return read_response(request, document, headers=link_header(next_page))


async def list_price_list_revisions(request: Request) -> Response:
    """The revisions of one list without their items, from the first."""
    list_id, catalog = read_list_id(request), get_catalog(request)
    if list_id in catalog.price_lists:
        _, next_page = read_page(request, ["file"], elsewhere=_elsewhere(list_id))
        revisions: tuple[RevisionSummary, ...] = (summary_of_file(catalog, list_id),)
    else:
        numbers = await run_stored(request, lambda store: list_numbers(store, catalog, list_id))
        ids = [f"{number:0{_DIGITS}d}" for number in numbers]
        keys, next_page = read_page(request, ids, elsewhere=_elsewhere(list_id))
        chosen = [int(key) for key in keys]
        revisions = await run_stored(
            request, lambda store: summarize_revisions(store, catalog, list_id, chosen)
        )
    document = msgspec.to_builtins(RevisionPage(items=revisions, next=next_page))
    return read_response(request, document, headers=link_header(next_page))


async def read_price_list_revision(request: Request) -> Response:
    """One revision with all its items. It never changes."""
    list_id, number = read_list_id(request), read_number(request, "revision")
    refuse_parameters(request, elsewhere=_elsewhere(list_id))
    return await _read(request, list_id, number)


async def read_latest_price_list_revision(request: Request) -> Response:
    """The latest revision with all its items, or with `?as_of=` the highest one that holds on a
    day; `Content-Location` names it. Its ETag goes with the next publication."""
    list_id = read_list_id(request)
    given = read_parameters(request, (AS_OF.name,))
    as_of = read_day(given[AS_OF.name], AS_OF.name) if AS_OF.name in given else None
    return await _read(request, list_id, None, as_of)


async def _read(
    request: Request, list_id: str, number: int | None, as_of: date | None = None
) -> Response:
    catalog = get_catalog(request)
    if list_id in catalog.price_lists:
        return _read_file(request, catalog, list_id, number, as_of)
    head, answer = await run_stored(
        request, lambda store: read_revision(store, catalog, list_id, number, as_of)
    )
    # The tag is that of the kept content, which a change names in If-Match.
    body, tag = msgspec.json.encode(answer), etag_of(head.content_digest)
    if number is not None:
        return content_response(request, body, tag=tag, cache_control=IMMUTABLE)
    located = {"Content-Location": revision_url(list_id, head.number)}
    return content_response(request, body, tag=tag, headers=located)


async def read_price_list_difference(request: Request) -> Response:
    """Items that were added, removed and changed, with their old and new costs."""
    list_id, catalog = read_list_id(request), get_catalog(request)
    refuse_parameters(request, elsewhere=_elsewhere(list_id))
    old, new = read_number(request, "revision"), read_number(request, "other")
    if list_id in catalog.price_lists:
        document = file_difference(catalog, list_id, old, new)
    else:
        document = await run_stored(
            request, lambda store: read_difference(store, catalog, list_id, old, new)
        )
    fixed = IMMUTABLE if old is not None and new is not None else REVALIDATED
    return content_response(request, msgspec.json.encode(document), cache_control=fixed)


def _elsewhere(list_id: str) -> Mapping[str, str]:
    """Where the day is read that other addresses of a list don't take."""
    return {AS_OF.name: f"{latest_url(list_id)}?{AS_OF.name}=2026-06-01"}


def _read_file(
    request: Request, catalog: Catalog, list_id: str, number: int | None, as_of: date | None
) -> Response:
    """A list as it stands in its file: `latest` is an alias of the file's revision."""
    document = read_file(catalog, list_id, number, as_of)
    if number is not None:
        return read_response(request, document, cache_control=IMMUTABLE)
    located = {"Content-Location": revision_url(list_id, document["revision"])}
    return read_response(request, document, headers=located)
