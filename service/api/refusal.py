"""A problem as the server itself answers it, to a request that never reaches the application."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass

from service.api.front import SENT_WITH_ALL
from service.api.problems import MEDIA_TYPE, encode, problem_document


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Status, headers and body of an answer after which the connection is closed."""

    status: int
    headers: list[tuple[bytes, bytes]]
    body: bytes


def refusal(
    code: str,
    *,
    detail: str | None = None,
    status: int | None = None,
    headers: Mapping[str, str] | None = None,
) -> Refusal:
    """The problem with a request id of its own and the headers that every answer has."""
    instance = uuid.uuid4().hex
    document = problem_document(code, detail=detail, status=status, instance=instance)
    body = encode(document)
    sent = {
        "Content-Type": MEDIA_TYPE,
        "Content-Length": str(len(body)),
        "Connection": "close",
        "Cache-Control": "no-store",
        "X-Request-ID": instance,
        **(headers or {}),
    }
    raw = [(name.lower().encode("ascii"), value.encode("ascii")) for name, value in sent.items()]
    return Refusal(status=document["status"], headers=[*raw, *SENT_WITH_ALL], body=body)
