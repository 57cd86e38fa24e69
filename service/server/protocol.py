"""One connection: uvicorn's protocol with deadlines, and refusals in the shape of all others.

It leans on parts of `H11Protocol` that uvicorn doesn't promise: the lock pins the version, and
`tests/server/` drives each of them over real sockets. Framework middleware can't do this: a
caller that sends no whole head never reaches it.
"""

from __future__ import annotations

import asyncio
from functools import partial
from http import HTTPStatus
from typing import Any, Final, assert_never, cast

import h11
from uvicorn.config import Config
from uvicorn.protocols.http.h11_impl import (
    STATUS_PHRASES,
    H11Protocol,
    RequestResponseCycle,
)
from uvicorn.server import ServerState

from service.api.refusal import refusal
from service.server.bounds import Bounds, Crowd
from service.server.parser import DoubtError, StrictConnection
from service.server.sockets import drop_unread_after
from service.server.watch import Awaited, LateLine, Watch

# A body that comes slower than this in a period is no progress.
LEAST_BODY_BYTES: Final = 256
# A whole body has this many times the seconds for which it may stand still, and one more for so
# many bytes that have come.
WHOLE_BODY: Final = 4
BODY_BYTES_A_SECOND: Final = 1000
# What is still read of a body after the answer, so that a caller who sends first sees it.
REST_SECONDS: Final = 1.0
REST_BYTES: Final = 4 * 1024 * 1024
# What a stop leaves to callers that keep it waiting.
STOPPING_SECONDS: Final = 1.0
# Then a caller connects anew, so that no connection is for ever.
MOST_ANSWERS: Final = 1000
RETRY: Final = {"Retry-After": "5"}


def bounded_protocol(bounds: Bounds) -> type[asyncio.Protocol]:
    """What makes a protocol for each connection, as uvicorn asks for it."""
    made = partial(BoundedProtocol, bounds, Crowd(bounds.per_address), LateLine())
    return cast("type[asyncio.Protocol]", made)


class BoundedProtocol(H11Protocol):
    """A connection that waits for nothing longer than its bounds."""

    def __init__(
        self,
        bounds: Bounds,
        crowd: Crowd,
        line: LateLine,
        config: Config,
        server_state: ServerState,
        app_state: dict[str, Any],
        _loop: asyncio.AbstractEventLoop | None = None,
    ) -> None:
        super().__init__(config, server_state, app_state, _loop)
        most = config.h11_max_incomplete_event_size
        self.conn = StrictConnection(h11.SERVER, *(() if most is None else (most,)))
        self.bounds = bounds
        self.crowd = crowd
        self.line = line
        self.watch = Watch(self.loop, line, self._late)
        self.entered: str | None = None
        self.stopping = False
        self.answers = 0
        self.came = 0  # bytes of a body since it was last looked at
        self.body_of: RequestResponseCycle | None = None
        self.body_until = 0.0  # when the whole body of that request is late
        self.unread = 0  # bytes of an answer that were unread then

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Wait for a head, unless the address holds too many connections."""
        super().connection_made(transport)
        drop_unread_after(transport, self.bounds.answer_seconds)
        address = self.client[0] if self.client else ""
        if not self.crowd.enter(address):
            self._refuse("busy", detail="Too many connections of one address.", headers=RETRY)
            return
        self.entered = address
        if 0 < self.bounds.connections < len(self.connections):  # this one is among them
            self.line.make_room()
        self.watch.wait("head", self.bounds.head_seconds)

    def connection_lost(self, exc: Exception | None) -> None:
        """Nothing is waited for any longer."""
        self.watch.stop()
        if self.entered is not None:
            self.crowd.leave(self.entered)
            self.entered = None
        super().connection_lost(exc)

    def eof_received(self) -> bool | None:  # type: ignore[override]
        """A caller that has sent all, and says so, gets its answer."""
        cycle = self._cycle
        if cycle is None or cycle.response_complete or self.conn.their_state is h11.SEND_BODY:
            return None
        cycle.keep_alive = False
        return True

    def data_received(self, data: bytes) -> None:
        """Read on, and see what is waited for next."""
        self.came += len(data)
        self.body_until += len(data) / BODY_BYTES_A_SECOND
        super().data_received(data)
        self._look()

    def handle_events(self) -> None:
        """Begin with a request; the last one that is answered is told that it is."""
        super().handle_events()
        cycle = self._cycle
        if cycle is not None and self.answers >= MOST_ANSWERS - 1 and not cycle.response_started:
            cycle.default_headers = [*cycle.default_headers, (b"connection", b"close")]

    def on_response_complete(self) -> None:
        """Wait for the rest of the body or for the next request."""
        self.answers += 1
        if self.answers >= MOST_ANSWERS and not self.transport.is_closing():
            self.transport.close()
        super().on_response_complete()
        self._linger()
        self._look()

    def pause_writing(self) -> None:
        """The caller does not read as fast as it is answered."""
        super().pause_writing()
        self._linger()

    def resume_writing(self) -> None:
        """It has read on."""
        super().resume_writing()
        self.watch.rest()
        self._look()

    def shutdown(self) -> None:
        """Finish what runs; wait for nobody who does not send or read."""
        self.stopping = True
        super().shutdown()
        if self.watch.awaited is not None:
            self.watch.wait(self.watch.awaited, STOPPING_SECONDS)

    def timeout_keep_alive_handler(self) -> None:
        """No next request came."""
        super().timeout_keep_alive_handler()
        self._linger()

    def send_400_response(self, msg: str) -> None:  # noqa: ARG002  (uvicorn calls it so)
        """Refuse what can't be read."""
        why = cast("StrictConnection", self.conn).refused
        if why is None or why.error_status_hint == HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE:
            self._refuse("head-too-large" if why else "request-malformed")
            return
        detail = str(why) if isinstance(why, DoubtError) else None
        self._refuse("request-malformed", detail=detail, status=why.error_status_hint)

    @property
    def _cycle(self) -> RequestResponseCycle | None:
        """The last request; None before the first one, whatever uvicorn's annotation says."""
        return cast("RequestResponseCycle | None", self.cycle)

    def _look(self) -> None:
        """See what the caller owes."""
        if self.transport.is_closing() or self.watch.awaited == "answer":
            return
        their = self.conn.their_state
        if their is h11.SEND_BODY:
            self._look_at_body()
        elif their is h11.IDLE and self.conn.trailing_data[0]:
            if self.watch.awaited != "head":
                self.watch.wait("head", self._at_most(self.bounds.head_seconds))
        elif their is h11.IDLE and self.answers:
            self.watch.wait("request", self._at_most(self.bounds.idle_seconds))
        elif their is not h11.IDLE:
            self.watch.rest()

    def _look_at_body(self) -> None:
        answered = self._cycle is not None and self._cycle.response_complete
        if answered and self.watch.awaited != "rest":
            self.came = 0
            self.watch.wait("rest", REST_SECONDS)
        elif answered and self.came > REST_BYTES:
            self._late("rest")
        elif not answered and (self.watch.awaited != "body" or self.came >= LEAST_BODY_BYTES):
            self.came = 0
            if self.watch.awaited != "body" or not self.stopping:
                self.watch.wait("body", self._at_most(self._body_seconds()))

    def _body_seconds(self) -> float:
        """How long to wait for more of a body. One that is answered while it comes may take any
        time; the 64 KiB that come before the service holds a caller up give it a minute more."""
        cycle, now, most = self._cycle, self.loop.time(), self.bounds.body_seconds
        if cycle is not self.body_of:
            self.body_of, self.body_until = cycle, now + WHOLE_BODY * most
        if cycle is not None and cycle.response_started:
            return most
        return min(most, self.body_until - now)

    def _at_most(self, seconds: float) -> float:
        return min(seconds, STOPPING_SECONDS) if self.stopping else seconds

    def _linger(self) -> None:
        """Wait for the caller to read what is left of its answer."""
        self.unread = self.transport.get_write_buffer_size()
        if self.unread and (self.flow.write_paused or self.transport.is_closing()):
            self.watch.wait("answer", self._at_most(self.bounds.answer_seconds))

    def _late(self, awaited: Awaited) -> None:
        """What was waited for did not come in time."""
        match awaited:
            case "head":
                if self.conn.trailing_data[0]:
                    self._refuse("request-timeout")
                else:
                    self.transport.close()
            case "body":
                if self.flow.read_paused:  # it is the service that doesn't read on
                    self.watch.wait("body", self._at_most(self.bounds.body_seconds))
                else:
                    self._refuse("request-timeout")
            case "rest" | "request":
                self.transport.close()
                self._linger()
            case "answer":
                if self.transport.get_write_buffer_size() < self.unread and not self.stopping:
                    self._linger()
                else:
                    self.transport.abort()
            case _:
                assert_never(awaited)

    def _refuse(
        self,
        code: str,
        *,
        detail: str | None = None,
        status: int | None = None,
        headers: dict[str, str] | None = None,
    ) -> None:
        """Answer with a problem and close; where an answer has begun, only close."""
        self.watch.rest()
        cycle = self._cycle
        if cycle is not None and not cycle.response_complete:
            cycle.disconnected = True
            cycle.message_event.set()
        if self.conn.our_state not in (h11.IDLE, h11.SEND_RESPONSE):
            self.transport.abort()
            return
        told = refusal(code, detail=detail, status=status, headers=headers)
        reason = STATUS_PHRASES[told.status]
        answer = h11.Response(status_code=told.status, headers=told.headers, reason=reason)
        for event in (answer, h11.Data(data=told.body), h11.EndOfMessage()):
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()
        self._linger()
