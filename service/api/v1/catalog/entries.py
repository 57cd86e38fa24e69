"""The catalog as loaded, with sources: lists and entries of every kind.

All kinds read alike, so their handlers come from one list. Price lists are read by revision:
service/api/v1/price_lists/.
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import read_response
from service.api.dependencies import get_catalog
from service.api.operation import Scope
from service.api.problems import ParameterError, ProblemError
from service.api.v1.pages import link_header, read_page, refuse_parameters
from service.catalog import Catalog, Entry
from service.core.errors import Fault
from service.fields import ID_PATTERN
from service.units import found

# Rates and terms say what work costs and what is earned: nothing for those who build.
_ID = re.compile(ID_PATTERN, re.ASCII)
_PRICED: tuple[Scope, ...] = ("quotes", "prices")

Endpoint = Callable[[Request], Awaitable[Response]]


@dataclass(frozen=True, slots=True)
class Resource:
    """One kind of catalog entry as a resource: its path, its kind in the catalog, its words, and
    whose keys may read it."""

    path: str
    kind: str
    one: str
    words: str
    scopes: tuple[Scope, ...] = ("field",)

    @property
    def unknown(self) -> str:
        """The problem's code when an id is not there."""
        return f"unknown-{self.one.replace('_', '-')}"


RESOURCES = (
    Resource("wall-systems", "wall_systems", "wall_system", "wall systems"),
    Resource("sections", "sections", "section", "typical sections"),
    Resource("soils", "soils", "soil", "soils"),
    Resource("materials", "materials", "material", "materials"),
    Resource(
        "production-rates", "production_rates", "production_rates", "production rates", _PRICED
    ),
    Resource("site-work", "site_work", "site_work", "tasks of site work"),
    Resource("terms", "terms", "terms", "sets of terms", _PRICED),
    Resource("screening-bases", "screening_bases", "screening_basis", "rule books of screening"),
    Resource("loads", "loads", "load", "loads above a wall"),
    Resource("jurisdictions", "jurisdictions", "jurisdiction", "jurisdictions"),
)


def list_of(resource: Resource) -> Endpoint:
    """The handler that lists the entries of a kind."""

    async def list_entries(request: Request) -> Response:
        catalog = get_catalog(request)
        ids, next_page = read_page(request, catalog.ids(resource.kind))
        entries = catalog.entries(resource.kind)
        document = {"items": [entries[id_].document for id_ in ids], "next": next_page}
        return read_response(request, document, headers=link_header(next_page))

    return list_entries


def entry_of(resource: Resource) -> Endpoint:
    """The handler that reads an entry of a kind."""

    async def read_entry(request: Request) -> Response:
        refuse_parameters(request)
        entry = find_entry(get_catalog(request), resource, request.path_params["id"])
        return read_response(request, entry.document)

    return read_entry


def find_entry(catalog: Catalog, resource: Resource, id_: str) -> Entry:
    """One entry by its id. Raises the 404 problem, with the nearest known id as its hint."""
    entry = catalog.entries(resource.kind).get(id_)
    if entry is None and not _ID.fullmatch(id_):
        near = catalog.nearest(resource.kind, id_)
        hint = f"did you mean {near}?" if near else None
        raise ParameterError("id", f"{found(id_)} is not an id", hint, code="id-invalid")
    if entry is None:
        fault = Fault(
            code=resource.unknown,
            at=(),
            message=f"The catalog has no {resource.one.replace('_', ' ')} {id_[:64]!r}.",
            hint=catalog.nearest(resource.kind, id_),
        )
        raise ProblemError(resource.unknown, faults=(fault,), status=404)
    return entry
