"""Answers that stay the same: plain, packed and digested once, then sent as they are."""

from __future__ import annotations

import asyncio
import gzip
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import etag, has_it
from service.api.compression import MINIMUM_BYTES, takes_gzip


@dataclass(frozen=True, slots=True)
class Prepared:
    """The bytes of an answer, as they are and packed, with their media type and the headers that
    go with them. `packed` is None where packing gains nothing."""

    plain: bytes
    packed: bytes | None
    tag: str
    media_type: str
    headers: Mapping[str, str]


class Once:
    """What is made at first need, in a thread, while other calls are answered; all who ask for it
    meanwhile wait for the one."""

    def __init__(self, make: Callable[[], Prepared]) -> None:
        self._make = make
        self._made: list[Prepared] = []
        self._lock = asyncio.Lock()

    async def get(self) -> Prepared:
        """The one answer."""
        if not self._made:
            async with self._lock:
                if not self._made:
                    self._made.append(await asyncio.to_thread(self._make))
        return self._made[0]


def prepare(plain: bytes, media_type: str, headers: Mapping[str, str] | None = None) -> Prepared:
    """Pack and digest bytes."""
    packed = gzip.compress(plain, mtime=0) if len(plain) >= MINIMUM_BYTES else plain
    gains = len(packed) < len(plain)
    return Prepared(plain, packed if gains else None, etag(plain), media_type, headers or {})


def prepared_response(request: Request, prepared: Prepared) -> Response:
    """The answer, packed where the caller takes it; 304 where it has it already."""
    headers = {"ETag": prepared.tag, "Vary": "Accept-Encoding", **prepared.headers}
    if has_it(request, prepared.tag):
        return Response(status_code=304, headers=headers)
    body = prepared.plain
    if prepared.packed is not None and takes_gzip(request.headers):
        body = prepared.packed
        headers["Content-Encoding"] = "gzip"
    return Response(body, media_type=prepared.media_type, headers=headers)
