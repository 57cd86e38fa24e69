"""Answers to reads, sent compressed when asked (RFC 9110, 12.5.3): lists, documents, exports.

The ETag of an answer stays the same, packed or not: it names what is stored, and a caller sends it
back to change just that. `Vary` keeps the two apart in caches.
"""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.middleware.gzip import GZipResponder
from starlette.types import ASGIApp, Receive, Scope, Send

from service.api.accept import quality
from service.api.table import PLACE, Place

# Smaller ones gain nothing.
MINIMUM_BYTES = 1000
LEVEL = 6
_FORMS = frozenset({"json", "chosen"})


class Compression:
    """Stands below the front, which says what is served; passes all else on as it is."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a read, packed where the caller takes it."""
        place: Place | None = scope.get(PLACE)
        reads = place is not None and place.form in _FORMS and scope["method"] == "GET"
        app = self._app
        if reads and takes_gzip(Headers(scope=scope)):
            app = GZipResponder(app, MINIMUM_BYTES, compresslevel=LEVEL)
        await app(scope, receive, send)


def takes_gzip(headers: Headers) -> bool:
    """Whether a caller takes gzip: it is named, or anything is taken, and not with quality 0."""
    liked: dict[str, float] = {}
    for part in headers.get("accept-encoding", "").lower().split(","):
        name, *parameters = (piece.strip() for piece in part.split(";"))
        liked[name] = quality(parameters)
    return liked.get("gzip", liked.get("*", 0.0)) > 0
