"""The parser of heads and framing, stricter than h11 where h11 lets doubt pass."""

from __future__ import annotations

import h11

# A body comes in at most this many chunks, and one more for each so many of its bytes: a chunk
# takes some 5 microseconds however small it is.
MOST_CHUNKS, BYTES_PER_FURTHER_CHUNK = 5_000, 256
_VERSIONS = {b"1.0", b"1.1"}
_MALFORMED, _VERSION_NOT_SUPPORTED = 400, 505


class DoubtError(h11.RemoteProtocolError):
    """A request that h11 would read, and another parser otherwise; its text is for the caller."""


class StrictConnection(h11.Connection):
    """h11's server side. `refused` is why the last request couldn't be read."""

    refused: h11.RemoteProtocolError | None = None
    chunks = 0
    body_bytes = 0

    def next_event(self) -> type[h11.NEED_DATA | h11.PAUSED] | h11.Event:
        """The next event. Raises RemoteProtocolError for what can't be read, for a request that
        frames its body twice or is of another version of HTTP, and for a body in crumbs."""
        try:
            event = super().next_event()
            if isinstance(event, h11.Request):
                _check(event)
                self.chunks = self.body_bytes = 0
            elif isinstance(event, h11.Data):
                self._count(event)
        except h11.RemoteProtocolError as error:
            self.refused = error
            raise
        return event

    def _count(self, data: h11.Data) -> None:
        self.chunks += data.chunk_start
        self.body_bytes += len(data.data)
        if self.chunks > MOST_CHUNKS + self.body_bytes // BYTES_PER_FURTHER_CHUNK:
            raise DoubtError("The body comes in too many small chunks.", _MALFORMED)


def _check(request: h11.Request) -> None:
    names = {name for name, _ in request.headers}
    if {b"content-length", b"transfer-encoding"} <= names:
        raise DoubtError("Content-Length and Transfer-Encoding exclude each other.", _MALFORMED)
    if request.http_version not in _VERSIONS:
        raise DoubtError("HTTP/1.1 and HTTP/1.0 are spoken here.", _VERSION_NOT_SUPPORTED)
