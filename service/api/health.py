"""Whether the process lives, and whether it can answer: what it loaded, what it keeps."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import Response

from service.api.admission.admission import Admission
from service.api.answers import json_response
from service.api.dependencies import get_caller, get_catalog, get_gates, get_store_shelf
from service.api.failures import log_storage_error
from service.api.operation import READS_STORED, JsonSchema, Operation, json_answer
from service.api.problems import RETRY_SECONDS, ProblemError
from service.api.storing_gate import Gate
from service.catalog import Catalog
from service.storage import StorageError, StorageGoneError

if TYPE_CHECKING:
    from service.storage import Store

# The database has to answer within this.
LOOK_SECONDS = 4.0

_LIVE: JsonSchema = {
    "type": "object",
    "title": "Live",
    "additionalProperties": False,
    "required": ["status"],
    "properties": {"status": {"type": "string", "enum": ["live"]}},
}
CATALOG_STATE: JsonSchema = {
    "type": "object",
    "title": "CatalogState",
    "description": "The catalog as loaded.",
    "additionalProperties": False,
    "required": ["version", "counts"],
    "properties": {
        "version": {
            "type": "string",
            "pattern": "^[0-9a-f]{64}$",
            "description": "SHA-256 over all loaded entries; a quote names it.",
        },
        "counts": {
            "type": "object",
            "description": "How many entries of each kind are loaded.",
            "additionalProperties": {"type": "integer", "minimum": 0},
        },
    },
}
_DATABASE_STATE: JsonSchema = {
    "type": "object",
    "title": "DatabaseState",
    "description": "The database; left out while no call has needed one.",
    "additionalProperties": False,
    "required": ["version", "at_head"],
    "properties": {
        "version": {"type": "string", "maxLength": 100, "examples": ["SQLite 3.51.3"]},
        "at_head": {
            "type": "boolean",
            "description": "Whether its tables are those this version of the service works with.",
        },
    },
}
_WARNINGS = ("proxy-not-trusted", "webhook-switched-off")
_READY: JsonSchema = {
    "type": "object",
    "title": "Ready",
    "additionalProperties": False,
    "required": ["status"],
    "properties": {
        "status": {"type": "string", "enum": ["ready"]},
        "catalog": {"$ref": "#/$defs/CatalogState"},
        "database": {"$ref": "#/$defs/DatabaseState"},
        "warnings": {
            "type": "array",
            "maxItems": 20,
            "items": {"type": "string", "maxLength": 100, "x-words": list(_WARNINGS)},
            "description": (
                "What should be looked at. `proxy-not-trusted`: calls come through a proxy that "
                "SERVICE_TRUSTED_PROXIES doesn't name, so all of them count as one address. "
                "`webhook-switched-off`: GET /v1/webhooks says which, and why."
            ),
        },
    },
    "$defs": {"CatalogState": CATALOG_STATE, "DatabaseState": _DATABASE_STATE},
}


async def read_live(_request: Request) -> Response:
    """Answers as long as the process runs; looks at nothing else."""
    return json_response({"status": "live"})


async def read_ready(request: Request) -> Response:
    """The catalog's version and how many entries of each kind it holds; the database's version.
    Once there are keys these are for a key with the scope `admin`, and all others are told the
    word alone.

    503 while a database that is in use can't be reached, is held by others, can't be written to,
    was replaced, or has the tables of another version; 507 while it has no room. The problem's
    code says which; when it is over this says so by itself. Whoever is told the word alone is told
    503 `not-ready` in all these cases.
    """
    ready: dict[str, Any] = {"status": "ready"}
    store = get_store_shelf(request).opened
    is_told = "admin" in get_caller(request).scopes
    database, off = None, False
    if store is not None:
        try:
            database, off = await _database_state(store, get_gates(request).looking)
        except StorageError as error:
            if is_told:
                raise
            log_storage_error(error)
            raise ProblemError("not-ready", headers={"Retry-After": RETRY_SECONDS}) from error
    if is_told:
        ready |= _details(request, database, off=off)
    return json_response(ready)


def _details(request: Request, database: dict[str, Any] | None, *, off: bool) -> dict[str, Any]:
    """What whoever runs the service wants to know of one that is ready."""
    details: dict[str, Any] = {"catalog": catalog_state(get_catalog(request))}
    if database is not None:
        details["database"] = database
    admission: Admission = request.app.state.admission
    seen = zip(_WARNINGS, (admission.untrusted_proxy, off), strict=True)
    if warnings := [word for word, is_so in seen if is_so]:
        details["warnings"] = warnings
    return details


async def _database_state(store: Store, gate: Gate) -> tuple[dict[str, Any], bool]:
    """What there is to say of the database, within seconds, and whatever other calls wait for;
    whether a webhook is switched off."""

    def look() -> tuple[str, bool]:
        from service.operations.callers.webhooks import (  # noqa: PLC0415  loaded with the store
            has_switched_off,
        )

        store.check()
        return store.version(), has_switched_off(store)

    try:
        async with asyncio.timeout(LOOK_SECONDS):
            version, off = await gate.run(look)
    except TimeoutError as error:
        raise StorageGoneError("it gives no answer") from error
    return {"version": version, "at_head": True}, off


def catalog_state(catalog: Catalog) -> dict[str, Any]:
    """The catalog's version and the number of its entries by kind."""
    return {"version": catalog.version, "counts": dict(catalog.counts)}


OPERATIONS = (
    Operation(
        method="GET",
        path="/health/live",
        handler=read_live,
        scopes=("public",),
        tag="health",
        summary="Tell that the process lives",
        answers=(json_answer(_LIVE, description="It lives."),),
    ),
    Operation(
        method="GET",
        path="/health/ready",
        handler=read_ready,
        scopes=("public",),
        tag="health",
        summary="Tell that the service can answer, and from which catalog",
        answers=(json_answer(_READY, description="It can answer."),),
        refuses=(*READS_STORED, 507),
    ),
)
