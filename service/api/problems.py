"""Errors as RFC 9457 problem documents: one shape for every error and every status.

`ProblemError` is raised anywhere between the front and a route; `problem_response` makes the
answer, `problem_document` the bare object (for places that put a problem into something larger).
The request id is filled in as `instance` when the answer leaves.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from service.api.faults import KINDS, ProblemKind
from service.core.errors import MOST_FAULTS, Fault
from service.faults import pointer

MEDIA_TYPE = "application/problem+json"
REQUEST_ID = "service.request_id"

MAX_ERRORS = 100
MAX_ERRORS_BYTES = 48 * 1024
MAX_TEXT = 400
# When to ask again for what is amiss now.
RETRY_SECONDS = "2"


class ProblemError(Exception):
    """A request that gets a problem as its answer; `status` replaces the code's usual one."""

    def __init__(
        self,
        code: str,
        detail: str | None = None,
        *,
        faults: Iterable[Fault] = (),
        status: int | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.code = code
        self.detail = detail
        self.faults = tuple(faults)
        self.status = status
        self.headers = dict(headers or {})
        super().__init__(code)


@dataclass(frozen=True, slots=True, kw_only=True)
class ParameterFault(Fault):
    """One mistake in a parameter of the path, the query or the head, by the parameter's name."""

    parameter: str


class ParameterError(ProblemError):
    """A request with a parameter that can't be read; `hint` says what would be right."""

    def __init__(
        self,
        parameter: str,
        message: str,
        hint: str | None = None,
        *,
        code: str = "parameter-invalid",
        headers: Mapping[str, str] | None = None,
    ) -> None:
        fault = ParameterFault(code=code, at=(), parameter=parameter, message=message, hint=hint)
        super().__init__(code, faults=(fault,), headers=headers)


class ProblemResponse(Response):
    """A problem document on its way out."""

    media_type = MEDIA_TYPE

    def __init__(
        self, document: Mapping[str, Any], headers: Mapping[str, str] | None = None
    ) -> None:
        self.document = dict(document)
        sent = {"Cache-Control": "no-store", **(headers or {})}
        super().__init__(status_code=self.document["status"], headers=sent)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Fill in the request id, then answer."""
        self.document["instance"] = scope.get(REQUEST_ID, self.document["instance"])
        self.body = encode(self.document)
        self.headers["content-length"] = str(len(self.body))
        await super().__call__(scope, receive, send)


def encode(document: object) -> bytes:
    """Compact UTF-8 JSON; half a surrogate pair, which UTF-8 can't carry, becomes a `?`."""
    text = json.dumps(document, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.encode("utf-8", "replace")


def problem_document(
    code: str,
    faults: Iterable[Fault] = (),
    *,
    detail: str | None = None,
    status: int | None = None,
    instance: str = "",
) -> dict[str, Any]:
    """The problem as an object. `detail` is the only fault's message, or their number."""
    kind = KINDS.get(code) or KINDS["request-invalid"]
    found = tuple(faults)
    return {
        "type": f"/problems/{kind.code}",
        "title": kind.title,
        "status": status or kind.status,
        "detail": _clip(detail or _detail(kind, found)),
        "instance": instance,
        "code": kind.code,
        "errors": _entries(found),
        "errors_total": min(len(found), MOST_FAULTS),
    }


def problem_response(
    code: str,
    faults: Iterable[Fault] = (),
    *,
    detail: str | None = None,
    status: int | None = None,
    headers: Mapping[str, str] | None = None,
) -> ProblemResponse:
    """The problem as an answer."""
    return ProblemResponse(problem_document(code, faults, detail=detail, status=status), headers)


def number_of_faults(total: int) -> str:
    """How many faults there are, as it is said: from `MOST_FAULTS` on they are not counted."""
    return f"{total}" if total < MOST_FAULTS else f"{MOST_FAULTS} or more"


def faults_code(faults: Iterable[Fault]) -> str:
    """The problem's code for faults of a request: theirs if they share one, else a general one."""
    codes = {fault.code for fault in faults}
    return codes.pop() if len(codes) == 1 else "request-invalid"


def faults_response(faults: Iterable[Fault]) -> ProblemResponse:
    """Faults in a request's body as an answer."""
    found = tuple(faults)
    return problem_response(faults_code(found), found)


def response_for(error: ProblemError) -> ProblemResponse:
    """The answer to a `ProblemError`."""
    return problem_response(
        error.code,
        error.faults,
        detail=error.detail,
        status=error.status,
        headers=error.headers,
    )


def _detail(kind: ProblemKind, faults: tuple[Fault, ...]) -> str:
    if not faults:
        return kind.explanation
    if len(faults) == 1:
        return faults[0].message
    number = number_of_faults(len(faults))
    return f"{number} faults were found; errors says where each one is and what would be right."


def _entry(fault: Fault) -> dict[str, str | None]:
    """A fault as it is told; `parameter` is there where one is at fault."""
    named = {"parameter": _clip(fault.parameter)} if isinstance(fault, ParameterFault) else {}
    return {
        "pointer": _clip(pointer(fault.at)),
        **named,
        "message": _clip(fault.message),
        "code": fault.code,
        "hint": None if fault.hint is None else _clip(fault.hint),
    }


def _entries(faults: tuple[Fault, ...]) -> list[dict[str, str | None]]:
    """The first faults as entries, as many as the bounds on number and size allow."""
    entries: list[dict[str, str | None]] = []
    size = 0
    for fault in faults[:MAX_ERRORS]:
        entry = _entry(fault)
        size += len(encode(entry))
        if size > MAX_ERRORS_BYTES:
            break
        entries.append(entry)
    return entries


def _clip(text: str) -> str:
    return text if len(text) <= MAX_TEXT else text[: MAX_TEXT - 1] + "…"
