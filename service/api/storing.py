"""Calls that store: their key, their conditions, and their answers.

`Idempotency-Key` is text in quotes (a structured field, RFC 9651) or bare, 1 to 255 visible
characters. `If-Match` names the state that is to be changed.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import Response

from service.api.dependencies import get_caller
from service.api.problems import ParameterError
from service.operations.conditions import Conditions
from service.units import found

if TYPE_CHECKING:
    from service.operations.idempotent import StoredOutcome
    from service.storage.idempotency import KeyedCall

REPLAYED = "Idempotent-Replayed"

_KEY = re.compile(r"[\x21\x23-\x7e]{1,255}", re.ASCII)
_QUOTED_KEY = re.compile(r'"((?:[\x20\x21\x23-\x5b\x5d-\x7e]|\\["\\]){1,255})"', re.ASCII)
_TAGS = re.compile(r'(?:W/)?"[\x21\x23-\x7e]*"(?:\s*,\s*(?:W/)?"[\x21\x23-\x7e]*")*', re.ASCII)
_TAG = re.compile(r'(?:W/)?"[^"]*"', re.ASCII)
MOST_TAGS = 20


def read_call(request: Request, fingerprint: str) -> KeyedCall | None:
    """The call by its Idempotency-Key and the fingerprint of what it brings; None without a key.

    Raises ProblemError for a key that is none.
    """
    given = request.headers.getlist("idempotency-key")
    if not given:
        return None
    from service.storage.idempotency import KeyedCall  # noqa: PLC0415  its library is loaded with it

    query = request.scope["query_string"].decode("latin-1")
    return KeyedCall(
        caller=get_caller(request).by,
        method=request.scope["method"],
        path=request.scope["path"] + (f"?{query}" if query else ""),
        key=_key(given),
        fingerprint=fingerprint,
    )


def read_conditions(request: Request) -> Conditions:
    """The conditions in the head of a request. Raises ProblemError for what can't be read."""
    none_match = request.headers.get("if-none-match")
    if none_match not in {None, "*"}:
        message = "If-None-Match takes only * here"
        raise ParameterError("If-None-Match", message, code="request-malformed")
    match = request.headers.get("if-match", "")
    if match.strip() == "*":
        message = "If-Match: * names no state: it would write over whatever stands there by now"
        hint = f"send the ETag that GET {tag_address(request)} gives"
        raise ParameterError("If-Match", message, hint, code="precondition-required")
    if not match.strip():
        return Conditions(if_none=none_match == "*")
    tags = _TAG.findall(match) if _TAGS.fullmatch(match.strip()) else []
    if not tags or len(tags) > MOST_TAGS:
        message = f"If-Match: {found(match)} is not an ETag as it was answered, in its quotes"
        raise ParameterError("If-Match", message, 'such as "0a1b…"', code="request-malformed")
    return Conditions(if_match=tuple(tags), if_none=none_match == "*")


def tag_address(request: Request) -> str:
    """The address that gives the ETag by which what stands at an address is changed."""
    path: str = request.scope["path"]
    whole = "/".join(path.split("/")[:4])
    if path.startswith("/v1/saved-quotes/"):
        return whole
    if path.startswith("/v1/price-lists/") and not path.endswith("/column-mapping"):
        return f"{whole}/revisions/latest"
    return path


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


def _key(given: list[str]) -> str:
    text = given[0].strip() if len(given) == 1 else ""
    if quoted := _QUOTED_KEY.fullmatch(text):
        return re.sub(r"\\(.)", r"\1", quoted[1])
    if not _KEY.fullmatch(text):
        message = "an Idempotency-Key is a text of 1 to 255 visible characters, given once"
        hint = 'such as "8f14e45f-ceea"'
        raise ParameterError("Idempotency-Key", message, hint, code="idempotency-key-invalid")
    return text
