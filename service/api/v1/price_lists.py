"""Price lists by revision: list, read, publish, compare.

A list is a file of the catalog, with the one revision that stands in it, or is kept in the
database, where it is published to. A revision never changes.
"""

from __future__ import annotations

import re
from datetime import date
from typing import Any, TypeVar

import msgspec
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import IMMUTABLE, REVALIDATED, content_response, read_response
from service.api.bodies import read_json
from service.api.dependencies import get_catalog, run_stored
from service.api.openapi import answer_schema, json_content, text
from service.api.problems import ProblemError, problem_response
from service.api.storing import (
    CONDITION_RESPONSES,
    IF_MATCH_PARAMETER,
    IF_NONE_MATCH_PARAMETER,
    KEY_PARAMETER,
    READING_RESPONSES,
    REPLAYED_HEADER,
    STORING_RESPONSES,
    read_call,
    read_conditions,
    stored_response,
)
from service.api.v1.catalog import ID_PARAMETER, IF_NONE_MATCH, NOT_MODIFIED
from service.api.v1.pages import (
    PARAMETERS,
    link_header,
    read_page,
    read_parameters,
    refuse_parameters,
)
from service.catalog import Catalog, document_schema
from service.catalog.schemas import TomlSchema
from service.operations.idempotent import document_fingerprint
from service.operations.prices.price_list_answer import (
    DifferenceAnswer,
    PriceListPage,
    PriceListRevision,
    PublishedRevision,
    RevisionPage,
    RevisionSummary,
)
from service.operations.prices.price_list_request import ChangesRequest, WholeRequest
from service.operations.prices.price_lists import (
    PriceListFixedError,
    PriceListMissingError,
    list_ids,
    list_numbers,
    missing_list,
    missing_revision,
    publish,
    read_difference,
    read_revision,
    summarize,
    summarize_revisions,
    summary_of_file,
)

_Json = dict[str, Any]
T = TypeVar("T")

LATEST = "latest"
_NUMBER = re.compile(r"[1-9][0-9]{0,8}", re.ASCII)
_LIST_ID = re.compile(r"[a-z0-9_]{1,64}", re.ASCII)
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
# Numbers as text of one length sort like numbers.
_DIGITS = 10


def _revision_parameter(name: str) -> _Json:
    return {
        "name": name,
        "in": "path",
        "required": True,
        "description": "Number of the revision, or `latest`.",
        "schema": {"type": "string", "pattern": "^(latest|[1-9][0-9]{0,8})$", "maxLength": 9},
    }


_AS_OF: _Json = {
    "name": "as_of",
    "in": "query",
    "required": False,
    "description": "With `latest`: the highest revision that holds on this day.",
    "schema": {"type": "string", "format": "date", "maxLength": 10},
}


def price_lists_router() -> APIRouter:
    """The routes of price lists."""
    router = APIRouter(prefix="/v1/price-lists", tags=["prices"])
    router.add_api_route(
        "",
        list_price_lists,
        methods=["GET"],
        summary="List the price lists of the catalog and of the database",
        openapi_extra={
            "parameters": [*PARAMETERS, IF_NONE_MATCH],
            "responses": _read(answer_schema(PriceListPage)),
        },
    )
    router.add_api_route(
        "/{id}/revisions",
        list_price_list_revisions,
        methods=["GET"],
        summary="List the revisions of a price list",
        openapi_extra={
            "parameters": [ID_PARAMETER, *PARAMETERS, IF_NONE_MATCH],
            "responses": _read(answer_schema(RevisionPage)),
        },
    )
    router.add_api_route(
        "/{id}/revisions",
        publish_price_list,
        methods=["POST"],
        summary="Publish a revision: the whole list, or changes to the latest",
        openapi_extra=_publishing(),
    )
    router.add_api_route(
        "/{id}/revisions/{revision}",
        read_price_list_revision,
        methods=["GET"],
        summary="Read one revision of a price list",
        openapi_extra={
            "parameters": [ID_PARAMETER, _revision_parameter("revision"), _AS_OF, IF_NONE_MATCH],
            "responses": _read(_revision_schema()),
        },
    )
    router.add_api_route(
        "/{id}/revisions/{revision}/difference/{other}",
        read_price_list_difference,
        methods=["GET"],
        summary="Tell what leads from one revision to another",
        openapi_extra={
            "parameters": [
                ID_PARAMETER,
                _revision_parameter("revision"),
                _revision_parameter("other"),
                IF_NONE_MATCH,
            ],
            "responses": _read(answer_schema(DifferenceAnswer)),
        },
    )
    return router


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
        _, next_page = read_page(request, ["file"])
        revisions: tuple[RevisionSummary, ...] = (summary_of_file(catalog, list_id),)
    else:
        numbers = await run_stored(request, lambda store: list_numbers(store, catalog, list_id))
        keys, next_page = read_page(request, [f"{number:0{_DIGITS}d}" for number in numbers])
        chosen = [int(key) for key in keys]
        revisions = await run_stored(
            request, lambda store: summarize_revisions(store, catalog, list_id, chosen)
        )
    document = msgspec.to_builtins(RevisionPage(items=revisions, next=next_page))
    return read_response(request, document, headers=link_header(next_page))


async def publish_price_list(request: Request) -> Response:
    """Publish a whole list, or changes to the latest revision of it.

    `If-Match` names the ETag of `latest`, the first revision takes `If-None-Match: *`. What
    `latest` says already, whole, answers 200 with `latest` and makes no revision.
    """
    refuse_parameters(request)
    list_id, catalog = read_list_id(request), get_catalog(request)
    document = await read_json(request)
    conditions = read_conditions(request)
    call = read_call(request, document_fingerprint(document))
    stored = await run_stored(
        request, lambda store: publish(store, catalog, list_id, document, conditions, call)
    )
    return stored_response(stored)


async def read_price_list_revision(request: Request) -> Response:
    """One revision with all its items; `latest` with `?as_of=` is the one that holds on a day."""
    list_id, catalog = read_list_id(request), get_catalog(request)
    number = read_number(request, "revision")
    as_of = _as_of(request, number)
    if list_id in catalog.price_lists:
        return _read_file(request, catalog, list_id, number, as_of)
    head, stored = await run_stored(
        request, lambda store: read_revision(store, catalog, list_id, number, as_of)
    )
    if number is not None:
        return content_response(request, stored.content, cache_control=IMMUTABLE)
    located = {"Content-Location": _address(list_id, head.number)}
    return content_response(request, stored.content, headers=located)


async def read_price_list_difference(request: Request) -> Response:
    """Items that were added, removed and changed, with their old and new costs."""
    refuse_parameters(request)
    list_id, catalog = read_list_id(request), get_catalog(request)
    old, new = read_number(request, "revision"), read_number(request, "other")
    if list_id in catalog.price_lists:
        document = _file_difference(catalog, list_id, old, new)
    else:
        document = await run_stored(
            request, lambda store: read_difference(store, catalog, list_id, old, new)
        )
    fixed = IMMUTABLE if old is not None and new is not None else REVALIDATED
    return content_response(request, msgspec.json.encode(document), cache_control=fixed)


async def on_missing(_request: Request, error: PriceListMissingError) -> Response:
    """No such list, or no such revision: in a path that is 404."""
    return problem_response(error.fault.code, (error.fault,), status=404)


async def on_fixed(_request: Request, error: PriceListFixedError) -> Response:
    """The list is a file."""
    return problem_response(error.fault.code, (error.fault,))


def read_list_id(request: Request) -> str:
    """The id in the path. Raises PriceListMissingError for what can't be one."""
    list_id: str = request.path_params["id"]
    if not _LIST_ID.fullmatch(list_id):
        raise missing_list(list_id)
    return list_id


def read_number(request: Request, name: str) -> int | None:
    """A revision in the path; None for `latest`. Raises ProblemError for what can't be one."""
    asked: str = request.path_params[name]
    if asked == LATEST:
        return None
    if not _NUMBER.fullmatch(asked):
        raise ProblemError(
            "unknown-revision", "A revision is a whole number from 1, or latest.", status=404
        )
    return int(asked)


def read_day(words: str, name: str) -> date:
    """A date in a query parameter. Raises ProblemError for what is none."""
    try:
        if _DAY.fullmatch(words):
            return date.fromisoformat(words)
    except ValueError:
        pass
    raise ProblemError("parameter-invalid", f"{name} is a date such as 2026-05-04.")


def _as_of(request: Request, number: int | None) -> date | None:
    given = read_parameters(request, () if number is not None else ("as_of",))
    return read_day(given["as_of"], "as_of") if "as_of" in given else None


def _read_file(
    request: Request, catalog: Catalog, list_id: str, number: int | None, as_of: date | None
) -> Response:
    """A list as it stands in its file: `latest` is an alias of the file's revision."""
    document = catalog.price_lists[list_id].document
    there: int = document["revision"]
    if number not in {None, there}:
        raise missing_revision(list_id, str(number), there)
    if as_of is not None and as_of < date.fromisoformat(document["effective_from"]):
        raise missing_revision(list_id, f"that holds on {as_of}", there)
    if number is not None:
        return read_response(request, document, cache_control=IMMUTABLE)
    located = {"Content-Location": _address(list_id, there)}
    return read_response(request, document, headers=located)


def _file_difference(
    catalog: Catalog, list_id: str, old: int | None, new: int | None
) -> DifferenceAnswer:
    """A file has one revision, which does not differ from itself."""
    there: int = catalog.price_lists[list_id].document["revision"]
    for number in (old, new):
        if number not in {None, there}:
            raise missing_revision(list_id, str(number), there)
    return DifferenceAnswer(id=list_id, old=there, new=there, added=(), removed=(), changed=())


def _address(list_id: str, number: int) -> str:
    return f"/v1/price-lists/{list_id}/revisions/{number}"


def _read(schema: _Json) -> _Json:
    headers = {"ETag": {"description": "Strong; from the content.", "schema": text(3, 100)}}
    return {
        "200": {"content": json_content(schema), "headers": headers},
        "304": NOT_MODIFIED,
        **READING_RESPONSES,
    }


def _revision_schema() -> _Json:
    """A revision in the database, or a file of the catalog."""
    stored, file = answer_schema(PriceListRevision), document_schema("price_lists")
    definitions = {**stored.pop("$defs"), **file.pop("$defs")}
    definitions["PriceListRevision"], definitions["PriceListDocument"] = stored, file
    names = ("PriceListRevision", "PriceListDocument")
    return {"anyOf": [{"$ref": f"#/$defs/{name}"} for name in names], "$defs": definitions}


def publication_answers() -> _Json:
    """Answers of a call that publishes."""
    headers = {
        "ETag": {"description": "That of the revision.", "schema": text(3, 100)},
        "Location": {"description": "Address of the revision.", "schema": text(1, 200)},
        "Idempotent-Replayed": REPLAYED_HEADER,
    }
    content = json_content(answer_schema(PublishedRevision))
    return {
        "200": {
            "description": "The latest revision says this already; nothing was stored.",
            "content": content,
            "headers": headers,
        },
        "201": {"description": "A new revision.", "content": content, "headers": headers},
        **STORING_RESPONSES,
        **CONDITION_RESPONSES,
    }


def _publishing() -> _Json:
    whole = WholeRequest.model_json_schema(schema_generator=TomlSchema)
    changes = ChangesRequest.model_json_schema(schema_generator=TomlSchema)
    definitions = {**whole.pop("$defs", {}), **changes.pop("$defs", {})}
    definitions |= {"WholeRequest": whole, "ChangesRequest": changes}
    names = ("WholeRequest", "ChangesRequest")
    body = {"anyOf": [{"$ref": f"#/$defs/{name}"} for name in names], "$defs": definitions}
    return {
        "parameters": [ID_PARAMETER, KEY_PARAMETER, IF_MATCH_PARAMETER, IF_NONE_MATCH_PARAMETER],
        "requestBody": {"required": True, "content": json_content(body)},
        "responses": publication_answers(),
    }
