"""Suppliers' files: how they are read, what importing one would change, and doing just that."""

from __future__ import annotations

import re

from starlette.requests import Request
from starlette.responses import Response

from service import json_text
from service.api.answers import content_response
from service.api.bodies import media_type_name, read_file, read_json
from service.api.dependencies import get_catalog, run_stored
from service.api.operation import Parameter
from service.api.parameters import DAY_SCHEMA, PRINTED, text
from service.api.problems import ParameterError, ProblemError
from service.api.storing import read_call, read_conditions, stored_response
from service.api.v1.pages import read_parameters, refuse_parameters
from service.api.v1.price_lists.address import read_day, read_list_id
from service.operations.idempotent import document_fingerprint, fingerprint
from service.operations.prices.column_mapping import (
    mapping_for,
    read_mapping,
    save_mapping,
    saved_mapping,
)
from service.operations.prices.price_imports import (
    PriceFile,
    encode_preview,
    preview_import,
    write_import,
)
from service.operations.prices.worksheet import FileKind
from service.storage import Store
from service.units import found

MEDIA_TYPES: dict[str, FileKind] = {
    "text/csv": "csv",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": "xlsx",
}
# What most clients can send; such a file says by `format` which it is.
OCTETS = "application/octet-stream"
_FORMATS: dict[str, FileKind] = {"csv": "csv", "xlsx": "xlsx"}
_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)
_MOST_NOTE = 2000


EFFECTIVE_FROM = Parameter(
    name="effective_from",
    within="query",
    description="The first day on which the prices hold.",
    schema=DAY_SCHEMA,
    component="EffectiveFrom",
    required=True,
)
MODE = Parameter(
    name="mode",
    within="query",
    description="`preview` shows what would change; `write` does it. Left out: `preview`.",
    schema={"type": "string", "enum": ["preview", "write"]},
    component="ImportMode",
)
PREVIEW = Parameter(
    name="preview",
    within="query",
    description="With `write`: what the preview answered as `preview`.",
    schema={"type": "string", "pattern": "^[0-9a-f]{64}$", "maxLength": 64},
    component="ImportPreviewDigest",
)
NOTE = Parameter(
    name="note",
    within="query",
    description="A note on the revision.",
    schema={**text(1, _MOST_NOTE), "pattern": f"^{PRINTED}*$"},
    component="RevisionNote",
)
MAPPING = Parameter(
    name="mapping",
    within="query",
    description="A column mapping as JSON, for this call alone; left out, the saved one holds.",
    schema=text(2, 12_000),
    component="ImportMapping",
)
FORMAT = Parameter(
    name="format",
    within="query",
    description="What a file is that is sent as `application/octet-stream`.",
    schema={"type": "string", "enum": list(_FORMATS)},
    component="ImportFormat",
)
PARAMETERS = (EFFECTIVE_FROM, MODE, PREVIEW, NOTE, MAPPING, FORMAT)


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
    given = read_parameters(request, [each.name for each in PARAMETERS])
    list_id, catalog = read_list_id(request), get_catalog(request)
    preview = _preview(given)
    effective_from = read_day(given.get("effective_from", ""), "effective_from")
    note, mapping = _note(given), _mapping(given)
    conditions = read_conditions(request)
    kind, data = await read_file(request, _media_types(request, given))
    call = read_call(request, fingerprint(data))

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
    stored = await run_stored(
        request,
        lambda store: write_import(store, catalog, list_id, read(store), preview, conditions, call),
    )
    return stored_response(stored)


def _media_types(request: Request, given: dict[str, str]) -> dict[str, FileKind]:
    """What each media type stands for: those of files, and octets where `format` says it.

    Raises ParameterError for a format that isn't there, and for octets without one.
    """
    named = given.get("format")
    if named is None:
        if media_type_name(request.headers.get("content-type", "")) == OCTETS:
            message = f"{OCTETS} doesn't say what the file is"
            raise ParameterError("format", message, "add format=csv or format=xlsx")
        return MEDIA_TYPES
    if named not in _FORMATS:
        raise ParameterError("format", f"format: {found(named)} is neither csv nor xlsx")
    kind = _FORMATS[named]
    own = {name: meant for name, meant in MEDIA_TYPES.items() if meant == kind}
    return {**own, OCTETS: kind}


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
