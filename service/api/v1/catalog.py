"""The catalog as loaded, with sources: lists and entries of every kind, and the reload.

All kinds read alike, so their routes come from one table. Price lists are read by revision:
api/v1/price_lists.py.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import json_response, read_response
from service.api.bodies import read_no_body
from service.api.dependencies import get_catalog, get_shelf
from service.api.health import CATALOG_STATE, catalog_state
from service.api.openapi import json_content, text
from service.api.problems import ProblemError
from service.api.v1.pages import MAX_LIMIT, PARAMETERS, link_header, read_page, refuse_parameters
from service.catalog import Catalog, CatalogInvalidError, Entry, document_schema
from service.core.errors import Fault

Endpoint = Callable[[Request], Awaitable[Response]]
_Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Resource:
    """One kind of catalog entry as a resource: its path, its kind in the catalog, its words."""

    path: str
    kind: str
    one: str
    words: str

    @property
    def unknown(self) -> str:
        """The problem's code when an id is not there."""
        return f"unknown-{self.one.replace('_', '-')}"


RESOURCES = (
    Resource("wall-systems", "wall_systems", "wall_system", "wall systems"),
    Resource("sections", "sections", "section", "typical sections"),
    Resource("soils", "soils", "soil", "soils"),
    Resource("materials", "materials", "material", "materials"),
    Resource("production-rates", "production_rates", "production_rates", "production rates"),
    Resource("site-work", "site_work", "site_work", "tasks of site work"),
    Resource("terms", "terms", "terms", "sets of terms"),
    Resource("screening-bases", "screening_bases", "screening_basis", "rule books of screening"),
    Resource("loads", "loads", "load", "loads above a wall"),
    Resource("jurisdictions", "jurisdictions", "jurisdiction", "jurisdictions"),
)
NOT_MODIFIED: _Json = {"description": "Nothing has changed since the ETag in `If-None-Match`."}
IF_NONE_MATCH: _Json = {
    "name": "If-None-Match",
    "in": "header",
    "required": False,
    "description": "ETags of the answers the caller has.",
    "schema": {"type": "string"},
}
ID_PARAMETER: _Json = {
    "name": "id",
    "in": "path",
    "required": True,
    "schema": {"type": "string", "pattern": "^[a-z0-9_]{1,64}$", "maxLength": 64},
}
_NO_BODY: _Json = {
    "required": False,
    "content": json_content({"type": "object", "maxProperties": 0, "additionalProperties": False}),
}


def catalog_router() -> APIRouter:
    """The routes of every kind, and of the reload."""
    router = APIRouter(prefix="/v1", tags=["catalog"])
    for resource in RESOURCES:
        _add_reads(router, resource)
    router.add_api_route(
        "/catalog/reload",
        reload_catalog,
        methods=["POST"],
        summary="Load the catalog again, all or nothing",
        openapi_extra={
            "requestBody": _NO_BODY,
            "responses": {"200": {"content": json_content(CATALOG_STATE)}},
        },
    )
    return router


def _add_reads(router: APIRouter, resource: Resource) -> None:
    """The list and the entry route of one kind."""
    schema = document_schema(resource.kind)
    router.add_api_route(
        f"/{resource.path}",
        _list_of(resource),
        methods=["GET"],
        name=f"list_{resource.kind}",
        summary=f"List the {resource.words} of the catalog",
        openapi_extra={
            "parameters": [*PARAMETERS, IF_NONE_MATCH],
            "responses": _answers(_page_schema(schema)),
        },
    )
    router.add_api_route(
        f"/{resource.path}/{{id}}",
        _entry_of(resource),
        methods=["GET"],
        name=f"read_{resource.one}",
        summary=f"Read one of the {resource.words}",
        openapi_extra={"parameters": [ID_PARAMETER, IF_NONE_MATCH], "responses": _answers(schema)},
    )


def _list_of(resource: Resource) -> Endpoint:
    async def list_entries(request: Request) -> Response:
        catalog = get_catalog(request)
        ids, next_page = read_page(request, catalog.ids(resource.kind))
        entries = catalog.entries(resource.kind)
        document = {"items": [entries[id_].document for id_ in ids], "next": next_page}
        return read_response(request, document, headers=link_header(next_page))

    return list_entries


def _entry_of(resource: Resource) -> Endpoint:
    async def read_entry(request: Request) -> Response:
        refuse_parameters(request)
        entry = find_entry(get_catalog(request), resource, request.path_params["id"])
        return read_response(request, entry.document)

    return read_entry


async def reload_catalog(request: Request) -> Response:
    """Read the catalog's folders again. With any fault in any file the old catalog stays."""
    refuse_parameters(request)
    await read_no_body(request)
    try:
        catalog = await get_shelf(request).reload()
    except CatalogInvalidError as error:
        raise ProblemError("catalog-invalid", faults=error.faults) from error
    return json_response(catalog_state(catalog))


def find_entry(catalog: Catalog, resource: Resource, id_: str) -> Entry:
    """One entry by its id. Raises the 404 problem, with the nearest known id as its hint."""
    entry = catalog.entries(resource.kind).get(id_)
    if entry is None:
        fault = Fault(
            code=resource.unknown,
            at=(),
            message=f"The catalog has no {resource.one.replace('_', ' ')} {id_[:64]!r}.",
            hint=catalog.nearest(resource.kind, id_),
        )
        raise ProblemError(resource.unknown, faults=(fault,), status=404)
    return entry


def _answers(schema: _Json) -> _Json:
    headers = {"ETag": {"description": "Strong; from the content.", "schema": text(3, 100)}}
    return {
        "200": {"content": json_content(schema), "headers": headers},
        "304": NOT_MODIFIED,
    }


def _page_schema(item: _Json) -> _Json:
    """Schema of a page of such items."""
    item = dict(item)
    definitions = item.pop("$defs", {})
    title = item.get("title", "")
    return {
        "$defs": {**definitions, title: item},
        "type": "object",
        "additionalProperties": False,
        "required": ["items", "next"],
        "properties": {
            "items": {
                "type": "array",
                "maxItems": MAX_LIMIT,
                "items": {"$ref": f"#/$defs/{title}"},
            },
            "next": {
                "type": ["string", "null"],
                "maxLength": 400,
                "description": "Address of the next page; null on the last one.",
            },
        },
    }
