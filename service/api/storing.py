"""Calls that store: their key, their conditions, and what they are answered.

`Idempotency-Key` is text in quotes (a structured field, RFC 9651) or bare, 1 to 255 visible
characters. `If-Match` names the state that is to be changed.
"""

from __future__ import annotations

import re
from typing import Any, NoReturn

from starlette.requests import Request
from starlette.responses import Response

from service.api.problems import ProblemError, problem_response
from service.operations.conditions import (
    ConditionFailedError,
    ConditionMissingError,
    Conditions,
)
from service.operations.idempotent import KeyReusedError, KeyRunningError, StoredOutcome
from service.storage import StorageError, StorageFullError
from service.storage.idempotency import KeyedCall

REPLAYED = "Idempotent-Replayed"
RETRY_SECONDS = "2"

_KEY = re.compile(r"[\x21\x23-\x7e]{1,255}", re.ASCII)
_QUOTED_KEY = re.compile(r'"((?:[\x20\x21\x23-\x5b\x5d-\x7e]|\\["\\]){1,255})"', re.ASCII)
_TAGS = re.compile(r'(?:W/)?"[\x21\x23-\x7e]*"(?:\s*,\s*(?:W/)?"[\x21\x23-\x7e]*")*', re.ASCII)
_TAG = re.compile(r'(?:W/)?"[^"]*"', re.ASCII)
_MOST_TAGS = 20

KEY_PARAMETER: dict[str, Any] = {
    "name": "Idempotency-Key",
    "in": "header",
    "required": False,
    "description": "Names this call, so that it can be repeated without being done twice: the "
    "same key and body get the first outcome again for 24 hours.",
    "schema": {"type": "string", "minLength": 1, "maxLength": 512},
}
IF_MATCH_PARAMETER: dict[str, Any] = {
    "name": "If-Match",
    "in": "header",
    "required": False,
    "description": "The ETag of the state that is to be changed, as it was read.",
    "schema": {"type": "string", "maxLength": 400},
}
IF_NONE_MATCH_PARAMETER: dict[str, Any] = {
    "name": "If-None-Match",
    "in": "header",
    "required": False,
    "description": "`*` where there is nothing yet.",
    "schema": {"type": "string", "maxLength": 400},
}
REPLAYED_HEADER: dict[str, Any] = {
    "description": "`true` where this is the outcome of an earlier call with the same key.",
    "schema": {"type": "string", "enum": ["true"]},
}
# Further answers of a call that stores, beside those of every call.
STORING_RESPONSES: dict[str, Any] = {
    "409": {"description": "What is stored stands against it."},
    "503": {"description": "The database can't be reached; `Retry-After` says when to ask again."},
    "507": {"description": "The database has no room left."},
}
CONDITION_RESPONSES: dict[str, Any] = {
    "412": {"description": "Somebody was first: the state is not the one in `If-Match`."},
    "428": {"description": "`If-Match` is missing."},
}
READING_RESPONSES: dict[str, Any] = {"503": STORING_RESPONSES["503"]}


def read_call(request: Request, fingerprint: str) -> KeyedCall | None:
    """The call by its Idempotency-Key and the fingerprint of what it brings; None without a key.

    Raises ProblemError for a key that is none.
    """
    given = request.headers.getlist("idempotency-key")
    if not given:
        return None
    query = request.scope["query_string"].decode("latin-1")
    return KeyedCall(
        caller=caller_of(request),
        method=request.scope["method"],
        path=request.scope["path"] + (f"?{query}" if query else ""),
        key=_key(given),
        fingerprint=fingerprint,
    )


def caller_of(_request: Request) -> str:
    """Who calls; without API keys all callers are one."""
    return ""


def read_conditions(request: Request) -> Conditions:
    """The conditions in the head of a request. Raises ProblemError for what can't be read."""
    none_match = request.headers.get("if-none-match")
    if none_match not in {None, "*"}:
        _malformed("If-None-Match takes only * here.")
    match = request.headers.get("if-match", "")
    # `*` names no state, so it counts as nothing said.
    if match.strip() in {"", "*"}:
        return Conditions(if_none=none_match == "*")
    tags = _TAG.findall(match) if _TAGS.fullmatch(match.strip()) else []
    if not tags or len(tags) > _MOST_TAGS:
        _malformed('If-Match takes the ETag as it was answered, in its quotes: "0a1b…".')
    return Conditions(if_match=tuple(tags), if_none=none_match == "*")


def stored_response(stored: StoredOutcome) -> Response:
    """The answer to a call that stores."""
    headers = dict(stored.outcome.headers)
    if stored.replayed:
        headers[REPLAYED] = "true"
    return Response(
        stored.outcome.body,
        status_code=stored.outcome.status,
        media_type="application/json",
        headers=headers,
    )


async def on_key_reused(_request: Request, _error: KeyReusedError) -> Response:
    """The key came before with another body."""
    return problem_response("idempotency-key-reused")


async def on_key_running(_request: Request, _error: KeyRunningError) -> Response:
    """The call with this key is still under way."""
    return problem_response("idempotency-key-running", headers={"Retry-After": RETRY_SECONDS})


async def on_condition_missing(_request: Request, error: ConditionMissingError) -> Response:
    """The caller did not say what it wants to change."""
    return problem_response("precondition-required", headers=_tag(error.etag))


async def on_condition_failed(_request: Request, error: ConditionFailedError) -> Response:
    """Somebody was first."""
    return problem_response("precondition-failed", headers=_tag(error.etag))


async def on_storage_error(_request: Request, error: StorageError) -> Response:
    """The database is full, or can't be reached."""
    if isinstance(error, StorageFullError):
        return problem_response("storage-full")
    return problem_response("storage-unavailable", headers={"Retry-After": RETRY_SECONDS})


def _tag(etag: str | None) -> dict[str, str]:
    return {} if etag is None else {"ETag": etag}


def _key(given: list[str]) -> str:
    text = given[0].strip() if len(given) == 1 else ""
    if quoted := _QUOTED_KEY.fullmatch(text):
        return re.sub(r"\\(.)", r"\1", quoted[1])
    if not _KEY.fullmatch(text):
        raise ProblemError("idempotency-key-invalid")
    return text


def _malformed(words: str) -> NoReturn:
    raise ProblemError("request-malformed", words)
