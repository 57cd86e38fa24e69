"""Answers that reads give: JSON with a strong ETag from the content, 304 when nothing changed."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from starlette.requests import Request
from starlette.responses import Response

from service.api.problems import encode

# Kept by the caller alone, and asked about each time.
REVALIDATED = "private, no-cache"
# A numbered revision never changes.
IMMUTABLE = "private, immutable, max-age=31536000"


def json_response(document: object, headers: Mapping[str, str] | None = None) -> Response:
    """A document as JSON."""
    return Response(encode(document), media_type="application/json", headers=headers)


def read_response(
    request: Request,
    document: object,
    *,
    cache_control: str = REVALIDATED,
    headers: Mapping[str, str] | None = None,
) -> Response:
    """A document as the answer to a read: with its ETag, or 304 when the caller has it already."""
    body = encode(document)
    return content_response(request, body, cache_control=cache_control, headers=headers)


def content_response(
    request: Request,
    body: bytes,
    *,
    tag: str | None = None,
    cache_control: str = REVALIDATED,
    headers: Mapping[str, str] | None = None,
    media_type: str = "application/json",
) -> Response:
    """The same for bytes; `tag` is that of what they were made from, left out their own."""
    tag = tag or etag(body)
    sent = {"ETag": tag, "Cache-Control": cache_control, **(headers or {})}
    if has_it(request, tag):
        return Response(status_code=304, headers=sent)
    return Response(body, media_type=media_type, headers=sent)


def etag(body: bytes) -> str:
    """A strong entity tag: the SHA-256 of the content."""
    return f'"{hashlib.sha256(body).hexdigest()}"'


def has_it(request: Request, tag: str) -> bool:
    """Whether `If-None-Match` names a tag (RFC 9110, 13.1.2: weak comparison)."""
    if_none_match = request.headers.get("if-none-match")
    if if_none_match is None:
        return False
    if if_none_match.strip() == "*":
        return True
    return tag in (given.strip().removeprefix("W/") for given in if_none_match.split(","))
