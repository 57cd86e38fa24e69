"""Suppliers' files: how they are read, what importing one would change, and doing just that."""

from __future__ import annotations

import re
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from service import json_text
from service.api.answers import content_response
from service.api.bodies import read_file, read_json
from service.api.dependencies import get_catalog, run_stored
from service.api.openapi import answer_schema, json_content, text
from service.api.problems import ProblemError, problem_response
from service.api.storing import (
    CONDITION_RESPONSES,
    IF_MATCH_PARAMETER,
    IF_NONE_MATCH_PARAMETER,
    KEY_PARAMETER,
    READING_RESPONSES,
    STORING_RESPONSES,
    read_call,
    read_conditions,
    stored_response,
)
from service.api.v1.catalog import ID_PARAMETER, IF_NONE_MATCH, NOT_MODIFIED
from service.api.v1.pages import read_parameters, refuse_parameters
from service.api.v1.price_lists import publication_answers, read_day, read_list_id
from service.catalog.schemas import TomlSchema
from service.operations.idempotent import document_fingerprint, fingerprint
from service.operations.prices.column_mapping import (
    ColumnMapping,
    mapping_for,
    read_mapping,
    save_mapping,
    saved_mapping,
)
from service.operations.prices.price_imports import (
    ImportPreview,
    PreviewChangedError,
    PriceFile,
    encode_preview,
    preview_import,
    write_import,
)
from service.operations.prices.sheet import FileKind
from service.storage import Store

_Json = dict[str, Any]

MEDIA_TYPES: dict[str, FileKind] = {
    "text/csv": "csv",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": "xlsx",
}
_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)
_MOST_NOTE = 2000


def _query(name: str, words: str, schema: _Json, *, required: bool = False) -> _Json:
    return {
        "name": name,
        "in": "query",
        "required": required,
        "description": words,
        "schema": schema,
    }


_PARAMETERS = [
    _query(
        "effective_from",
        "The first day on which the prices hold.",
        {"type": "string", "format": "date", "maxLength": 10},
        required=True,
    ),
    _query(
        "mode",
        "`preview` shows what would change; `write` does it.",
        {"type": "string", "enum": ["preview", "write"], "default": "preview"},
    ),
    _query(
        "preview",
        "With `write`: what the preview answered as `preview`.",
        {"type": "string", "pattern": "^[0-9a-f]{64}$", "maxLength": 64},
    ),
    _query("note", "A note on the revision.", text(1, _MOST_NOTE)),
    _query(
        "mapping",
        "A column mapping as JSON, for this call alone; left out, the saved one holds.",
        text(2, 12_000),
    ),
]


def price_imports_router() -> APIRouter:
    """The routes of suppliers' files."""
    router = APIRouter(prefix="/v1/price-lists", tags=["prices"])
    mapping = ColumnMapping.model_json_schema(schema_generator=TomlSchema)
    headers = {"ETag": {"description": "Strong; from the content.", "schema": text(3, 100)}}
    saved = {"content": json_content(mapping), "headers": headers}
    router.add_api_route(
        "/{id}/column-mapping",
        read_column_mapping,
        methods=["GET"],
        summary="Read how a supplier's file is read",
        openapi_extra={
            "parameters": [ID_PARAMETER, IF_NONE_MATCH],
            "responses": {"200": saved, "304": NOT_MODIFIED, **READING_RESPONSES},
        },
    )
    router.add_api_route(
        "/{id}/column-mapping",
        save_column_mapping,
        methods=["PUT"],
        summary="Say how a supplier's file is read",
        openapi_extra={
            "parameters": [
                ID_PARAMETER,
                KEY_PARAMETER,
                IF_MATCH_PARAMETER,
                IF_NONE_MATCH_PARAMETER,
            ],
            "requestBody": {"required": True, "content": json_content(mapping)},
            "responses": {
                "200": saved,
                "201": {"description": "The first one.", **saved},
                **STORING_RESPONSES,
                **CONDITION_RESPONSES,
            },
        },
    )
    router.add_api_route(
        "/{id}/imports",
        import_price_file,
        methods=["POST"],
        summary="Import a supplier's file: preview what it would change, then write that",
        openapi_extra=_importing(),
    )
    return router


async def read_column_mapping(request: Request) -> Response:
    """The column mapping that was saved for a price list."""
    refuse_parameters(request)
    list_id = read_list_id(request)
    saved = await run_stored(request, lambda store: saved_mapping(store, list_id))
    return content_response(request, saved.content)


async def save_column_mapping(request: Request) -> Response:
    """Save it for all later imports: `If-None-Match: *` the first time, `If-Match` later."""
    refuse_parameters(request)
    list_id, catalog = read_list_id(request), get_catalog(request)
    document = await read_json(request)
    conditions = read_conditions(request)
    call = read_call(request, document_fingerprint(document))
    stored = await run_stored(
        request, lambda store: save_mapping(store, catalog, list_id, document, conditions, call)
    )
    return stored_response(stored)


async def import_price_file(request: Request) -> Response:
    """Preview answers what the file would change and every fault by its cell; it stores nothing.

    Write takes the `preview` of that answer and the ETag of `latest` as `If-Match` (the first
    revision `If-None-Match: *`). All rows become one revision or, with a fault in any, none does.
    """
    given = read_parameters(request, ("effective_from", "mode", "preview", "note", "mapping"))
    list_id, catalog = read_list_id(request), get_catalog(request)
    preview = _preview(given)
    effective_from = read_day(given.get("effective_from", ""), "effective_from")
    note, mapping = _note(given), _mapping(given)
    kind, data = await read_file(request, MEDIA_TYPES)

    def read(store: Store) -> PriceFile:
        chosen = mapping_for(store, catalog, list_id)
        if mapping is not None:
            chosen = read_mapping(mapping, catalog)
        return PriceFile(
            data=data, kind=kind, mapping=chosen, effective_from=effective_from, note=note
        )

    if preview is None:
        shown = await run_stored(
            request, lambda store: preview_import(store, catalog, list_id, read(store))
        )
        return Response(encode_preview(shown), media_type="application/json")
    conditions, call = read_conditions(request), read_call(request, fingerprint(data))
    stored = await run_stored(
        request,
        lambda store: write_import(store, catalog, list_id, read(store), preview, conditions, call),
    )
    return stored_response(stored)


async def on_preview_changed(_request: Request, _error: PreviewChangedError) -> Response:
    """What would be written is not what was shown."""
    return problem_response("changed-since-preview")


def _preview(given: dict[str, str]) -> str | None:
    """The preview that a write names; None where a preview is asked for."""
    mode, named = given.get("mode", "preview"), given.get("preview")
    if mode == "preview" and named is None:
        return None
    if mode != "write":
        raise ProblemError(
            "parameter-invalid", "mode is preview, or write with the preview it writes."
        )
    if named is None or not _DIGEST.fullmatch(named):
        raise ProblemError(
            "parameter-invalid",
            "A write names its preview: send what the preview answered as `preview`.",
        )
    return named


def _note(given: dict[str, str]) -> str | None:
    note = given.get("note")
    if note is not None and not (0 < len(note) <= _MOST_NOTE and note.isprintable()):
        raise ProblemError("parameter-invalid", "note is a text of 1 to 2000 printable characters.")
    return note


def _mapping(given: dict[str, str]) -> object:
    """The mapping in the query as plain objects; None where there is none."""
    if "mapping" not in given:
        return None
    try:
        return json_text.loads(given["mapping"].encode("utf-8", "replace"))
    except json_text.JsonTextInvalidError as error:
        raise ProblemError("parameter-invalid", f"mapping: {error}") from error


def _importing() -> _Json:
    file = {"type": "string", "format": "binary", "maxLength": 16 * 1024 * 1024}
    answers = publication_answers()
    shown = answer_schema(ImportPreview)
    published = answers["200"]["content"]["application/json"]["schema"]
    definitions = {**shown.pop("$defs"), **published.get("$defs", {})}
    written = {key: value for key, value in published.items() if key != "$defs"}
    definitions |= {"ImportPreview": shown, "PublishedRevision": written}
    names = ("ImportPreview", "PublishedRevision")
    both = {"anyOf": [{"$ref": f"#/$defs/{name}"} for name in names], "$defs": definitions}
    answers["200"] = {
        **answers["200"],
        "description": "What importing would change; or, of a write, that latest says it already.",
        "content": json_content(both),
    }
    return {
        "parameters": [
            ID_PARAMETER,
            *_PARAMETERS,
            KEY_PARAMETER,
            IF_MATCH_PARAMETER,
            IF_NONE_MATCH_PARAMETER,
        ],
        "requestBody": {
            "required": True,
            "content": {name: {"schema": file} for name in MEDIA_TYPES},
        },
        "responses": answers,
    }
