"""Callers that speak bytes: slow, silent, broken, or gone."""

from __future__ import annotations

import json
import socket
import time
from dataclasses import dataclass
from typing import Any

HOST = "127.0.0.1"
LIVE = b"GET /health/live HTTP/1.1\r\nHost: localhost\r\n\r\n"


def quote_head(length: int, more: bytes = b"") -> bytes:
    """The head of a quote whose body is announced with a length."""
    return (
        b"POST /v1/quotes HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
        + more
        + b"Content-Length: %d\r\n\r\n" % length
    )


@dataclass(frozen=True)
class Told:
    """What a caller got until the service closed the connection, and after how many seconds;
    `closed` False: it was still open when the caller gave up."""

    answer: bytes
    seconds: float
    closed: bool

    @property
    def status(self) -> int | None:
        """The status of the first answer; None without one."""
        return int(self.answer[9:12]) if self.answer.startswith(b"HTTP/1.1 ") else None

    @property
    def problem(self) -> dict[str, Any]:
        """The body of the last answer."""
        return dict(json.loads(self.answer.rpartition(b"\r\n\r\n")[2]))


def call(
    port: int, data: bytes, *, drip: bytes = b"", half_close: bool = False, patience: float = 8.0
) -> Told:
    """Send bytes, then more of them every tenth of a second, and read until the end."""
    began, answer, closed = time.monotonic(), b"", False
    with socket.create_connection((HOST, port), timeout=patience) as connection:
        connection.sendall(data)
        if half_close:
            connection.shutdown(socket.SHUT_WR)
        connection.settimeout(0.1)
        while not closed and time.monotonic() - began < patience:
            try:
                chunk = connection.recv(65536)
                answer, closed = answer + chunk, not chunk
            except TimeoutError:
                closed = bool(drip) and not _sent(connection, drip)
            except ConnectionError:
                closed = True
    return Told(answer=answer, seconds=time.monotonic() - began, closed=closed)


def _sent(connection: socket.socket, data: bytes) -> bool:
    try:
        connection.sendall(data)
    except ConnectionError:
        return False
    return True
