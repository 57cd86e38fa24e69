"""The parser of heads and framing, stricter than h11 where h11 lets doubt pass."""

from __future__ import annotations

import h11

_VERSIONS = {b"1.0", b"1.1"}
_MALFORMED, _VERSION_NOT_SUPPORTED = 400, 505


class DoubtError(h11.RemoteProtocolError):
    """A request that h11 would read, and another parser otherwise; its text is for the caller."""


class StrictConnection(h11.Connection):
    """h11's server side. `refused` is why the last request couldn't be read."""

    refused: h11.RemoteProtocolError | None = None

    def next_event(self) -> type[h11.NEED_DATA | h11.PAUSED] | h11.Event:
        """The next event. Raises RemoteProtocolError for what can't be read, and for a request
        that frames its body twice or is of another version of HTTP."""
        try:
            event = super().next_event()
            if isinstance(event, h11.Request):
                _check(event)
        except h11.RemoteProtocolError as error:
            self.refused = error
            raise
        return event


def _check(request: h11.Request) -> None:
    names = {name for name, _ in request.headers}
    if {b"content-length", b"transfer-encoding"} <= names:
        raise DoubtError("Content-Length and Transfer-Encoding exclude each other.", _MALFORMED)
    if request.http_version not in _VERSIONS:
        raise DoubtError("HTTP/1.1 and HTTP/1.0 are spoken here.", _VERSION_NOT_SUPPORTED)
