"""One message over one line: to an address that was checked, within a time, to the end.

The name is looked up once, in that same time. Every address that it stands for is checked, and the
connection goes to one of these very addresses, while `Host` and the name in TLS stay those of the
target: a name that answers otherwise a moment later changes nothing. Redirects are not followed, no
proxy of the environment is used, and of the answer only its status is told.
"""

from __future__ import annotations

import logging
import ssl
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

import httpcore2

from service.sending.names import Resolve, look_up, look_up_within
from service.sending.targets import Target, is_outside

SECONDS = 5.0
MOST_ANSWER_BYTES = 64 * 1024

# It tells of each step, heads of answers included, which are nobody's business.
logging.getLogger("httpcore2").setLevel(logging.WARNING)

Why = Literal["target-refused", "timed-out", "unreachable", "answer-malformed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """What came of sending: the status of the answer, or why there is none. `retry_after`: the
    seconds for which the receiver asks not to be called again."""

    status: int | None = None
    why: Why | None = None
    retry_after: int | None = None


class _InsideError(Exception):
    """The name stands for an address inside."""


def send(
    target: Target,
    headers: Mapping[str, str],
    body: bytes,
    *,
    seconds: float = SECONDS,
    resolve: Resolve = look_up,
) -> Answered:
    """Send a body by POST. Whatever happens is told by what is returned, within `seconds`."""
    line = _Line(target, time.monotonic() + seconds, resolve)
    url = httpcore2.URL(
        scheme=target.scheme, host=target.host, port=target.port, target=target.path
    )
    try:
        with (
            httpcore2.ConnectionPool(ssl_context=_trust(), network_backend=line) as pool,
            pool.stream("POST", url, headers=_whole(target, headers, body), content=body) as answer,
        ):
            _read_out(answer.iter_stream())
            return Answered(status=answer.status, retry_after=_retry_after(answer.headers))
    except _InsideError:
        return Answered(why="target-refused")
    except httpcore2.TimeoutException:
        return Answered(why="timed-out")
    except httpcore2.ProtocolError:
        return Answered(why="answer-malformed")
    except (httpcore2.NetworkError, OSError, ValueError):
        return Answered(why="unreachable")


def _whole(
    target: Target, headers: Mapping[str, str], body: bytes
) -> list[tuple[bytes | str, bytes | str]]:
    name = f"[{target.host}]" if ":" in target.host else target.host
    usual = {"https": 443, "http": 80}[target.scheme]
    host = name if target.port == usual else f"{name}:{target.port}"
    length = str(len(body))
    said = {"Host": host, "Content-Length": length, "Connection": "close", **headers}
    return [*said.items()]


def _read_out(parts: Iterable[bytes]) -> None:
    """Take in the rest of an answer, so far as it is short and comes in time: its status has been
    said."""
    length = 0
    try:
        for part in parts:
            length += len(part)
            if length > MOST_ANSWER_BYTES:
                return
    except (httpcore2.TimeoutException, httpcore2.NetworkError, httpcore2.ProtocolError):
        return


def _retry_after(headers: Iterable[tuple[bytes, bytes]]) -> int | None:
    """The seconds that an answer asks for; a date is left to the ordinary times."""
    for name, value in headers:
        if name.lower() == b"retry-after" and value.isdigit() and len(value) <= len("9999999"):
            return int(value)
    return None


@cache
def _trust() -> ssl.SSLContext:
    return httpcore2.default_ssl_context()


class _Line(httpcore2.NetworkBackend):
    """Connects to checked addresses alone, until a moment."""

    def __init__(self, target: Target, deadline: float, resolve: Resolve) -> None:
        self._target = target
        self._deadline = deadline
        self._resolve = resolve

    def connect_tcp(
        self,
        host: str,
        port: int,
        timeout: float | None = None,
        local_address: str | None = None,
        socket_options: Iterable[httpcore2.SOCKET_OPTION] | None = None,
    ) -> httpcore2.NetworkStream:
        """Look the name up, check what it stands for, connect to the first that answers."""
        del timeout, local_address
        addresses = self._look_up(host, port)
        if not self._target.any_address and not all(map(is_outside, addresses)):
            raise _InsideError
        for address in addresses[:-1]:
            try:
                return self._connect(address, port, socket_options)
            except httpcore2.ConnectError:
                continue
        if not addresses:
            raise httpcore2.ConnectError
        return self._connect(addresses[-1], port, socket_options)

    def connect_unix_socket(
        self,
        path: str,
        timeout: float | None = None,
        socket_options: Iterable[httpcore2.SOCKET_OPTION] | None = None,
    ) -> httpcore2.NetworkStream:
        """Never: messages go over the net."""
        del path, timeout, socket_options
        raise _InsideError

    def _look_up(self, host: str, port: int) -> list[str]:
        try:
            seconds = _left(self._deadline, httpcore2.ConnectTimeout)
            return look_up_within(seconds, self._resolve, host, port)
        except TimeoutError as error:
            raise httpcore2.ConnectTimeout from error

    def _connect(
        self, address: str, port: int, options: Iterable[httpcore2.SOCKET_OPTION] | None
    ) -> httpcore2.NetworkStream:
        seconds = _left(self._deadline, httpcore2.ConnectTimeout)
        stream = httpcore2.SyncBackend().connect_tcp(address, port, seconds, None, options or ())
        return _Timed(stream, self._deadline)


class _Timed(httpcore2.NetworkStream):
    """A stream whose every step ends at one moment, however little each of them brings."""

    def __init__(self, stream: httpcore2.NetworkStream, deadline: float) -> None:
        self._stream = stream
        self._deadline = deadline

    def read(self, max_bytes: int, timeout: float | None = None) -> bytes:
        """What has come."""
        del timeout
        return self._stream.read(max_bytes, _left(self._deadline, httpcore2.ReadTimeout))

    def write(self, buffer: bytes, timeout: float | None = None) -> None:
        """Send bytes."""
        del timeout
        self._stream.write(buffer, _left(self._deadline, httpcore2.WriteTimeout))

    def close(self) -> None:
        """Hang up."""
        self._stream.close()

    def start_tls(
        self,
        ssl_context: ssl.SSLContext,
        server_hostname: str | None = None,
        timeout: float | None = None,
    ) -> httpcore2.NetworkStream:
        """Encrypt; the certificate must be that of the target's name."""
        del timeout
        seconds = _left(self._deadline, httpcore2.ConnectTimeout)
        return _Timed(self._stream.start_tls(ssl_context, server_hostname, seconds), self._deadline)

    def get_extra_info(self, info: str) -> object:
        """What the stream beneath says."""
        return self._stream.get_extra_info(info)


def _left(deadline: float, late: type[Exception]) -> float:
    left = deadline - time.monotonic()
    if left <= 0:
        raise late
    return left
