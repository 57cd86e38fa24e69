"""A crowd of callers who hold connections and don't go on: silent ones, half heads, heads in
drips, half bodies, bodies in drips, and those who don't read what they asked for."""

from __future__ import annotations

import socket
import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from itertools import cycle, islice

from tests.given.raw_caller import HOST, LIVE, quote_head
from tests.given.tcp_table import held_callers

SMALL_WINDOW = 4096
UNREAD = "unread answers"
# Whoever is answered at all is answered within this, on a busy machine too.
PATIENCE_SECONDS = 60.0
_ASKED = b"GET /openapi.json HTTP/1.1\r\nHost: localhost\r\n\r\n" * 40
# What each kind sends first, and then again and again.
KINDS: Mapping[str, tuple[bytes, bytes]] = {
    "silent": (b"", b""),
    "half heads": (b"GET / HT", b""),
    "heads in drips": (b"GET /health/live HTTP/1.1\r\nHost: localhost\r\nX: ", b"a"),
    "half bodies": (quote_head(5000) + b"{", b""),
    "bodies in drips": (quote_head(5000) + b"{", b" "),
    UNREAD: (_ASKED, b""),
}


@dataclass
class Crowd:
    """The callers by their sockets, with their kinds; `shut` has for each kind the seconds after
    which the last one was shut out."""

    port: int
    held: dict[socket.socket, str]
    began: float = field(default_factory=time.monotonic)
    shut: dict[str, float] = field(default_factory=dict)

    def go_on(self) -> None:
        """Send the drips, and see who was shut out."""
        there = held_callers(self.port)
        for each, kind in list(self.held.items()):
            if kind == UNREAD:
                is_shut = each.getsockname()[1] not in there
            else:
                is_shut = _is_shut(each, KINDS[kind][1])
            if is_shut:
                del self.held[each]
                self.shut[kind] = time.monotonic() - self.began


@contextmanager
def idle_crowd(port: int, number: int) -> Iterator[Crowd]:
    """So many of them, all kinds alike, until the end of the block."""
    with ExitStack() as stack:
        held: dict[socket.socket, str] = {}
        for kind in islice(cycle(KINDS), number):
            connection = stack.enter_context(socket.socket())
            if kind == UNREAD:
                connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, SMALL_WINDOW)
            connection.settimeout(PATIENCE_SECONDS)
            connection.connect((HOST, port))
            connection.settimeout(0)
            held[connection] = kind
            with suppress(BlockingIOError):
                connection.sendall(KINDS[kind][0])
        yield Crowd(port=port, held=held)


def newcomer_seconds(port: int) -> float:
    """How long a new caller waits for an answer, its connection included."""
    began = time.monotonic()
    with socket.create_connection((HOST, port), timeout=PATIENCE_SECONDS) as connection:
        connection.sendall(LIVE)
        assert connection.recv(65536).startswith(b"HTTP/1.1 200")
    return time.monotonic() - began


def _is_shut(connection: socket.socket, drip: bytes) -> bool:
    """Whether the service has closed a connection, whatever it said before."""
    try:
        if drip:
            connection.sendall(drip)
        while connection.recv(65536):
            pass
    except BlockingIOError:
        return False
    except ConnectionError:
        return True
    return True
