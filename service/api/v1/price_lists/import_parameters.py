"""What comes with a supplier's file in the address: its day, what is accepted, how it is read."""

from __future__ import annotations

import re
from typing import Any, get_args

from starlette.requests import Request

from service import json_text
from service.api.dependencies import get_largest_price_change
from service.api.operation import Parameter
from service.api.parameters import DAY_SCHEMA, text
from service.api.problems import ParameterError
from service.api.v1.price_lists.address import read_day
from service.operations.prices.import_acceptance import ACCEPTANCES, CHANGES, REMOVALS
from service.operations.prices.worksheet import FileKind
from service.units import found

# A file without a type of its own says in `format` what it is.
MEDIA_TYPES: dict[str, FileKind | None] = {
    "text/csv": "csv",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": "xlsx",
    "application/octet-stream": None,
}
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
    description="`preview` shows what would change, as where it is left out; `write` does it.",
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
    schema=text(1, _MOST_NOTE),
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
    description="What the file is; needed where it is sent as `application/octet-stream`.",
    schema={"type": "string", "enum": [*get_args(FileKind)]},
    component="ImportFormat",
)
_ACCEPTED = {"type": "boolean"}
ACCEPT_CHANGES = Parameter(
    name=CHANGES,
    within="query",
    description="With `write`: costs may change by more than the service's share (0.25 unless "
    "its settings say otherwise), to 0 and from 0, as the preview lists in `to_accept`.",
    schema=_ACCEPTED,
    component="AcceptChanges",
)
ACCEPT_REMOVALS = Parameter(
    name=REMOVALS,
    within="query",
    description="With `write`: what the preview lists as `removed` may go.",
    schema=_ACCEPTED,
    component="AcceptRemovals",
)
PARAMETERS = (
    EFFECTIVE_FROM,
    MODE,
    PREVIEW,
    FORMAT,
    ACCEPT_CHANGES,
    ACCEPT_REMOVALS,
    NOTE,
    MAPPING,
)


def read_described(request: Request, given: dict[str, str]) -> dict[str, Any]:
    """What the query says of the revision, and what it accepts."""
    return {
        "effective_from": read_day(given.get("effective_from", ""), "effective_from"),
        "note": _note(given),
        "accepted": frozenset(name for name in ACCEPTANCES if _is_true(given, name)),
        "largest_change": get_largest_price_change(request),
    }


def _is_true(given: dict[str, str], name: str) -> bool:
    words = given.get(name, "false")
    if words not in {"true", "false"}:
        raise ParameterError(name, f"{name}: {found(words)} is neither", "true or false")
    return words == "true"


def read_kind(kind: FileKind | None, given: dict[str, str]) -> FileKind:
    """What a file is, by its media type or by `format`."""
    named = given.get("format")
    kinds: dict[str, FileKind] = {each: each for each in get_args(FileKind)}
    if named is not None and named not in kinds:
        raise ParameterError("format", f"format: {found(named)} is none", "csv or xlsx")
    if named is None and kind is None:
        message = "a file sent as application/octet-stream needs format"
        raise ParameterError("format", message, "csv or xlsx")
    if named is not None and kind not in {None, named}:
        message = f"format is {named}, the media type says {kind}"
        raise ParameterError("format", message, "the two say the same, or one is left out")
    return kind or kinds[named or ""]


def read_preview(given: dict[str, str]) -> str | None:
    """The preview that a write names; None where a preview is asked for."""
    mode, named = given.get("mode", "preview"), given.get("preview")
    if mode == "preview" and named is None:
        return None
    if mode != "write":
        message = f"mode: {found(mode)} writes nothing"
        raise ParameterError("mode", message, "preview, or write with the preview it writes")
    if named is None or not _DIGEST.fullmatch(named):
        raise ParameterError(
            "preview",
            "a write names its preview",
            "what the preview answered as preview, 64 hexadecimal digits",
        )
    return named


def _note(given: dict[str, str]) -> str | None:
    note = given.get("note")
    if note is not None and not (0 < len(note) <= _MOST_NOTE and note.isprintable()):
        message = "note is no text of 1 to 2000 printable characters"
        raise ParameterError("note", message, "leave it out where there is nothing to say")
    return note


def read_mapping_text(given: dict[str, str]) -> object:
    """The mapping in the query as plain objects; None where there is none."""
    if "mapping" not in given:
        return None
    try:
        return json_text.loads(given["mapping"].encode("utf-8", "replace"))
    except json_text.JsonTextInvalidError as error:
        hint = 'a column mapping as JSON, such as {"delimiter": ";"}'
        raise ParameterError("mapping", f"mapping: {error}", hint) from error
