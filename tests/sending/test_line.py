"""One message over one line: what the receiver gets, and how it may misbehave."""

import contextlib
import logging
import socket
import ssl
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from httpcore2 import ConnectTimeout, SyncBackend

from service.sending import line
from service.sending.line import Answered, send
from service.sending.targets import Target, read_target
from tests.given.certificates import certificate
from tests.given.listener import Listener, Reply, dripping, endless, listening, reply, silent

BRIEF = 0.5
LONGEST = 15.0  # on a machine with other things to do; whoever keeps the line waits for 20


def target(port: int) -> Target:
    """A receiver on this machine that was named."""
    return read_target(f"http://127.0.0.1:{port}/hooks", {f"127.0.0.1:{port}"})


def test_send_posts_the_body_as_it_is() -> None:
    """A POST with the body and the headers, and nothing of a cookie or a coding."""
    with listening() as listener:
        assert send(target(listener.port), {"X-A": "1"}, b'{"a":1}') == Answered(status=204)
    assert listener.body() == b'{"a":1}'
    assert listener.headers() == {
        ":line": "POST /hooks HTTP/1.1",
        "host": f"127.0.0.1:{listener.port}",
        "content-length": "7",
        "connection": "close",
        "x-a": "1",
    }


@pytest.mark.parametrize(
    ("answer", "expected"),
    [
        (reply(200), Answered(status=200)),
        (reply(500), Answered(status=500)),
        (reply(410), Answered(status=410)),
        (reply(429, "Retry-After: 120"), Answered(status=429, retry_after=120)),
        (reply(503, "Retry-After: Wed, 21 Oct 2026 07:28:00 GMT"), Answered(status=503)),
        (reply(429, "Retry-After: 99999999999"), Answered(status=429)),
        (lambda caller: caller.sendall(b"no HTTP\r\n\r\n"), Answered(why="answer-malformed")),
        (lambda caller: caller.close(), Answered(why="answer-malformed")),
    ],
)
def test_send_tells_the_status_or_why_there_is_none(answer: Reply, expected: Answered) -> None:
    """What a receiver answers is told by its status alone."""
    with listening(answer) as listener:
        assert send(target(listener.port), {}, b"{}") == expected


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("answer", "expected"),
    [
        (silent, Answered(why="timed-out")),
        (dripping, Answered(why="timed-out")),
        (endless, Answered(status=200)),
    ],
    ids=["silent", "dripping", "endless"],
)
def test_send_ends_in_time(answer: Reply, expected: Answered) -> None:
    """One that says nothing, a little at a time, or never stops, is left in time."""
    with listening(answer) as listener:
        begun = time.monotonic()
        assert send(target(listener.port), {}, b"{}", seconds=BRIEF) == expected
        assert time.monotonic() - begun < LONGEST


def test_send_ends_in_time_when_a_name_is_never_found() -> None:
    """Whoever should know the target's name and gives no answer is left in the same time."""
    never = threading.Event()

    def hang(_host: str, _port: int) -> list[str]:
        never.wait(20)
        return []

    there = read_target("https://receiver.example/")
    begun = time.monotonic()
    assert send(there, {}, b"{}", seconds=BRIEF, resolve=hang) == Answered(why="timed-out")
    assert time.monotonic() - begun < LONGEST
    never.set()


def test_send_leaves_the_rest_of_its_time_to_the_receiver(monkeypatch: pytest.MonkeyPatch) -> None:
    """Looking a name up and waiting for the receiver share one time: of ten seconds, of which the
    name took eight by the clock, two are left to connect."""
    clock, left = [100.0], list[float | None]()
    monkeypatch.setattr(line, "time", SimpleNamespace(monotonic=lambda: clock[0]))

    def slowly(_host: str, _port: int) -> list[str]:
        clock[0] += 8
        return ["127.0.0.1"]

    def connect(_: SyncBackend, _host: str, _port: int, timeout: float, *_more: object) -> None:
        left.append(timeout)
        raise ConnectTimeout

    monkeypatch.setattr(SyncBackend, "connect_tcp", connect)
    there = read_target("http://receiver.example:81/", {"receiver.example:81"})
    assert send(there, {}, b"{}", seconds=10, resolve=slowly) == Answered(why="timed-out")
    assert left == [2.0]


def test_send_tells_that_a_name_stands_for_nothing() -> None:
    """What looking a name up fails with is an answer that didn't come, not a failure of ours."""

    def unknown(host: str, _port: int) -> list[str]:
        raise socket.gaierror(socket.EAI_NONAME, host)

    there = read_target("https://receiver.example/")
    assert send(there, {}, b"{}", resolve=unknown) == Answered(why="unreachable")


def test_send_reads_little_of_a_long_answer() -> None:
    """Of an answer at most 64 KiB are read, and what the kernel holds: no stream is drained."""
    taken = 0

    def pour(caller: socket.socket) -> None:
        nonlocal taken
        caller.sendall(b"HTTP/1.1 200 x\r\nConnection: close\r\n\r\n")
        while taken < 200 * 1024 * 1024:
            caller.sendall(b"x" * 65536)
            taken += 65536

    with listening(pour) as listener:
        assert send(target(listener.port), {}, b"{}") == Answered(status=200)
    assert taken < 20 * 1024 * 1024


def test_send_tells_that_nobody_is_there() -> None:
    """A port on which nobody listens."""
    with listening() as listener:
        port = listener.port
    assert send(target(port), {}, b"{}") == Answered(why="unreachable")


def test_send_logs_nothing_of_an_answer(caplog: pytest.LogCaptureFixture) -> None:
    """Whatever level is logged, no head and no body of an answer is."""
    answer = reply(500, "X-Inside: whispered")
    with caplog.at_level(logging.DEBUG), listening(answer) as listener:
        send(target(listener.port), {"webhook-signature": "v1,spoken"}, b"{}")
    assert "whispered" not in caplog.text
    assert "spoken" not in caplog.text


@pytest.fixture
def receiver(tmp_path: Path) -> Iterator[tuple[int, ssl.SSLContext, list[str | None]]]:
    """A receiver on loopback with a certificate for receiver.example: its port, who trusts it,
    and the names that it is asked for."""
    file = certificate(tmp_path, "receiver.example")
    names: list[str | None] = []
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(file)
    serving.sni_callback = lambda _socket, name, _context: names.append(name)
    server = socket.create_server(("127.0.0.1", 0))

    def serve() -> None:
        with contextlib.suppress(OSError):
            while True:
                caller, _ = server.accept()
                with contextlib.suppress(OSError), serving.wrap_socket(caller, True) as secured:
                    Listener(reply(204)).take(secured)  # the whole request: else it is cut off

    threading.Thread(target=serve, daemon=True).start()
    yield server.getsockname()[1], ssl.create_default_context(cafile=str(file)), names
    server.shutdown(socket.SHUT_RDWR)
    server.close()


@pytest.mark.parametrize(
    ("host", "expected"),
    [
        ("receiver.example", Answered(status=204)),
        ("another.example", Answered(why="unreachable")),
    ],
)
def test_send_asks_for_the_certificate_of_the_name(
    receiver: tuple[int, ssl.SSLContext, list[str | None]],
    monkeypatch: pytest.MonkeyPatch,
    host: str,
    expected: Answered,
) -> None:
    """The connection goes to the address, TLS to the name: it is told to the receiver, and a
    certificate for another name is refused."""
    port, trust, names = receiver
    monkeypatch.setattr(line, "_trust", lambda: trust)
    monkeypatch.setattr(line, "is_outside", lambda address: address == "127.0.0.1")
    there = Target(scheme="https", host=host, port=port, path="/", any_address=False)
    assert send(there, {}, b"{}", resolve=lambda _host, _port: ["127.0.0.1"]) == expected
    assert names == [host]


def test_send_trusts_no_certificate_that_nobody_vouches_for(
    receiver: tuple[int, ssl.SSLContext, list[str | None]],
) -> None:
    """A receiver that vouches for itself is refused, a named one too."""
    port, _, _ = receiver
    there = read_target(f"https://127.0.0.1:{port}/", {f"127.0.0.1:{port}"})
    assert send(there, {}, b"{}") == Answered(why="unreachable")
