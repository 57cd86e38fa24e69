"""Connections of a running service: each has its deadlines, and every refusal one shape."""

from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, suppress
from functools import cache
from pathlib import Path

import h11
import pytest

from service.server.parser import StrictConnection
from service.server.protocol import MOST_ANSWERS
from tests.given.idle_crowd import newcomer_seconds
from tests.given.raw_caller import HOST, LIVE, call, quote_head
from tests.given.service_process import running_service
from tests.given.tcp_table import held_callers

SETTINGS = {
    "SERVICE_HEAD_SECONDS": "1",
    "SERVICE_BODY_SECONDS": "1.5",
    "SERVICE_ANSWER_SECONDS": "1",
    "SERVICE_IDLE_SECONDS": "2",
}
SLACK = 10  # of a machine that has other things to do
EMPTY = quote_head(2) + b"{}"


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    """A service with short deadlines."""
    with running_service(log=subprocess.DEVNULL, **SETTINGS) as (_, port):
        yield port


@pytest.fixture(scope="module")
def impatient() -> Iterator[Callable[[str], int]]:
    """The port of a service that waits a second for one thing, and for all else a minute."""
    with ExitStack() as running:

        @cache
        def start(what: str) -> int:
            settings = {**dict.fromkeys(SETTINGS, "60"), f"SERVICE_{what}_SECONDS": "1"}
            service = running_service(log=subprocess.DEVNULL, **settings)
            return running.enter_context(service)[1]

        yield start


@pytest.mark.parametrize(
    ("sent", "drip", "what"),
    [
        (b"", b"", "HEAD"),
        (b"GET / HT", b"", "HEAD"),
        (b"GET /health/live HTTP/1.1\r\nHost: localhost\r\nX: ", b"a", "HEAD"),
        (quote_head(5000) + b"{", b"", "BODY"),
        (quote_head(5000) + b"{", b" ", "BODY"),
        (
            quote_head(5000).replace(b"Content-Length: 5000", b"Transfer-Encoding: chunked"),
            b"",
            "BODY",
        ),
        (LIVE, b"", "IDLE"),
        (LIVE + b"GET /hea", b"", "HEAD"),
        (EMPTY + EMPTY[:-1], b"", "BODY"),
    ],
    ids=[
        "silent",
        "half a head",
        "a head in drips",
        "half a body",
        "a body in drips",
        "no chunk",
        "idle",
        "half a second head",
        "half a second body",
    ],
)
def test_connection_is_shut_in_time(
    impatient: Callable[[str], int], sent: bytes, drip: bytes, what: str
) -> None:
    """Who doesn't go on is shut out after the time that the settings give for what is waited for,
    whatever else may take; half a request is told why, in the shape of all problems."""
    found = call(impatient(what), sent, drip=drip, patience=30)
    assert found.closed
    assert found.seconds > 0.8
    if sent not in (b"", LIVE):
        assert (found.problem["code"], found.problem["status"]) == ("request-timeout", 408)


def test_connection_of_a_caller_who_does_not_read_is_shut(port: int) -> None:
    """Answers that nobody reads are dropped: of 40 API documents, far more than sockets hold, the
    caller finds only the beginning when it reads at last."""
    ask = b"GET /openapi.json HTTP/1.1\r\nHost: localhost\r\n\r\n"
    whole = len(call(port, ask.replace(b"Host", b"Connection: close\r\nHost")).answer)
    came = 0
    with socket.socket() as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        connection.connect((HOST, port))
        connection.sendall(ask * 40)
        connection.settimeout(8)
        time.sleep(3.5)
        with suppress(ConnectionError):
            while chunk := connection.recv(1 << 20):
                came += len(chunk)
    assert 0 < came < 20 * whole


@pytest.mark.parametrize(
    ("asked", "taken"),
    [(1, 0), (3, 0), (3, 1)],
    ids=["one answer", "more than the system takes", "a byte now and then"],
)
def test_answer_that_nobody_reads_is_not_kept(port: int, asked: int, taken: int) -> None:
    """The system holds an answer of a MB, or its rest, for a caller who takes nothing of it, after
    the service has closed the connection: it is dropped in the time for reading, twice at most.
    Ten bytes a second are nothing, too."""
    ask = b"GET /openapi.json HTTP/1.1\r\nHost: localhost\r\nAccept-Encoding: identity\r\n\r\n"
    with ExitStack() as held:
        callers = {}
        for _ in range(20):
            connection = held.enter_context(socket.socket())
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            connection.connect((HOST, port))
            connection.sendall(ask * asked)
            callers[connection.getsockname()[1]] = connection
        time.sleep(0.5)
        assert len(callers.keys() & held_callers(port)) == 20
        end = time.monotonic() + 2 * 1 + 2 + 2 * SLACK
        while (left := callers.keys() & held_callers(port)) and time.monotonic() < end:
            for caller in left if taken else ():
                callers[caller].recv(taken)
            time.sleep(0.1)
        assert not left


def test_connection_of_a_slow_caller_is_served(port: int) -> None:
    """A body that comes on, 300 bytes every tenth of a second for three seconds, is read."""
    with socket.create_connection((HOST, port), timeout=8) as connection:
        connection.sendall(quote_head(9002))
        for _ in range(30):
            time.sleep(0.1)
            connection.sendall(b" " * 300)
        connection.sendall(b"{}")
        assert connection.recv(65536).startswith(b"HTTP/1.1 422")


def test_body_that_comes_on_for_ever_is_late(port: int) -> None:
    """40 bytes every tenth of a second are progress, and no body: after 4 x 1.5 s, and a second
    for each kB of at most 400 bytes a second (6 s / 0.6), the caller is told."""
    found = call(port, quote_head(1_000_000), drip=b" " * 40, patience=20)
    assert found.closed
    assert 4 * 1.5 < found.seconds < 10 + SLACK
    assert (found.problem["code"], found.problem["status"]) == ("request-timeout", 408)


def test_long_body_of_a_slow_caller_is_served(port: int) -> None:
    """The control: 1,500 bytes a second, for longer than four times the time to stand still."""
    with socket.create_connection((HOST, port), timeout=8) as connection:
        connection.sendall(quote_head(70 * 150 + 2))
        for _ in range(70):
            time.sleep(0.1)
            connection.sendall(b" " * 150)
        connection.sendall(b"{}")
        assert connection.recv(65536).startswith(b"HTTP/1.1 422")


def test_lines_that_are_answered_while_they_come_may_take_any_time(port: int) -> None:
    """A line of 400 bytes a second is answered each time, for longer than a whole body may
    take that isn't."""
    head = quote_head(0).replace(b"quotes ", b"quotes/batch ").replace(b"json", b"x-ndjson")
    line = b"{}" + b" " * 397 + b"\n"
    with socket.create_connection((HOST, port), timeout=8) as connection:
        connection.sendall(head.replace(b"Content-Length: 0", b"Transfer-Encoding: chunked"))
        answer = b""
        for number in range(1, 14):
            connection.sendall(b"%x\r\n%b\r\n" % (len(line), line))
            while answer.count(b'"status":') < number:
                chunk = connection.recv(65536)
                assert chunk, answer
                answer += chunk
            time.sleep(1)
    assert answer.startswith(b"HTTP/1.1 200")


def test_connection_that_is_half_closed_gets_its_answer(impatient: Callable[[str], int]) -> None:
    """Who has sent all may say so, also of a call that waits for the database."""
    listed = LIVE.replace(b"/health/live", b"/v1/saved-quotes")
    for sent, status in ((EMPTY, 422), (listed, 200)):
        found = call(impatient("IDLE"), sent, half_close=True, patience=30)
        assert (found.status, found.closed) == (status, True)


@pytest.mark.parametrize(
    ("sent", "status", "code"),
    [
        (b"\x00\x01 nonsense\r\n\r\n", 400, "request-malformed"),
        (b"GET / HTTP/1.1\r\n\r\n", 400, "request-malformed"),
        (b"GET /a b HTTP/1.1\r\nHost: localhost\r\n\r\n", 400, "request-malformed"),
        (b"GET / HTTP/1.1\nHost : localhost\n\n", 400, "request-malformed"),
        (LIVE.replace(b"1.1", b"9.9"), 505, "request-malformed"),
        (LIVE.replace(b"1.1", b"2.0"), 505, "request-malformed"),
        (quote_head(2, b"Transfer-Encoding: chunked\r\n") + b"0\r\n\r\n", 400, "request-malformed"),
        (quote_head(2, b"Content-Length: 3\r\n") + b"{}", 400, "request-malformed"),
        (quote_head(2, b"Transfer-Encoding: gzip, chunked\r\n"), 501, "request-malformed"),
        (EMPTY.replace(b"Length: 2", b"Length: two"), 400, "request-malformed"),
        (LIVE.replace(b"localhost", b"localhost\r\nX: " + b"x" * 40_000), 431, "head-too-large"),
        (b"GET /" + b"x" * 40_000, 431, "head-too-large"),
        (
            EMPTY.replace(b"Content-Length: 2", b"Transfer-Encoding: chunked") + b"\r\nzz\r\n",
            400,
            "request-malformed",
        ),
    ],
)
def test_refusal_of_the_parser_has_the_shape_of_all_problems(
    port: int, sent: bytes, status: int, code: str
) -> None:
    """Each is a problem with a request id, and the connection is closed."""
    found = call(port, sent)
    head = found.answer.partition(b"\r\n\r\n")[0].lower()
    assert (found.status, found.problem["code"], found.problem["status"]) == (status, code, status)
    assert b"content-type: application/problem+json" in head
    assert b"x-request-id: " + found.problem["instance"].encode("ascii") in head
    assert b"connection: close" in head
    assert b"bytearray" not in found.answer
    assert found.closed


def test_refusal_of_a_body_in_crumbs_costs_little() -> None:
    """A body of 200,000 chunks of one byte is refused in the shape of all problems, and costs no
    more than a few bodies of the 4,000 chunks that are taken; parsing it to the end would cost
    fifty. A caller who sends lines of 300 bytes each may send any number."""
    chunked = b"Transfer-Encoding: chunked\r\nConnection: close"
    head = quote_head(0).replace(b"Content-Length: 0", chunked)
    end = b"2\r\n{}\r\n0\r\n\r\n"
    taken = head + b"1\r\n \r\n" * 4000 + end
    refused = head + b"1\r\n \r\n" * 200_000 + end
    with running_service(log=subprocess.DEVNULL) as (process, port):
        assert call(port, taken).status == 422  # what a first call loads is not counted
        before = cpu_seconds(process.pid)
        for _ in range(5):
            assert call(port, taken).status == 422
        middle = cpu_seconds(process.pid)
        found = call(port, refused)
        took = cpu_seconds(process.pid) - middle
        assert (found.status, found.problem["code"]) == (400, "request-malformed")
        assert "small chunks" in found.problem["detail"]
        assert took < middle - before
        lines = b"".join(b"12c\r\n" + b" " * 300 + b"\r\n" for _ in range(3400))
        assert call(port, head + lines + end).status == 422


def cpu_seconds(process: int) -> float:
    """What a process has used of a processor so far (proc(5): utime and stime)."""
    fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def test_parser_stops_at_a_body_in_crumbs() -> None:
    """5,000 chunks and one for each 256 bytes are parsed, not one more."""
    parser = StrictConnection(h11.SERVER)
    parser.receive_data(
        b"POST / HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\n"
        + b"1\r\n \r\n" * 6000
    )
    for _ in range(1 + 5000 + 19):  # the head; 5,019 bytes bring 19 chunks more
        assert parser.next_event() is not h11.NEED_DATA
    with pytest.raises(h11.RemoteProtocolError):
        parser.next_event()


def test_stop_waits_for_nobody_who_does_not_go_on() -> None:
    """Silent callers, half bodies and unread answers end with the service, long before their own
    deadlines, and without an error line."""
    with running_service() as (process, port), ExitStack() as held:
        for sent in (b"", b"GET / HT", quote_head(5000) + b"{", LIVE):
            connection = held.enter_context(socket.create_connection((HOST, port), timeout=8))
            connection.sendall(sent)
        time.sleep(0.3)
        began = time.monotonic()
        process.send_signal(signal.SIGTERM)
        _, log = process.communicate(timeout=20)
        assert time.monotonic() - began < 1 + 2 * SLACK
        levels = {json.loads(line)["level"] for line in log.splitlines() if line.startswith("{")}
        assert levels <= {"info", "warning"}


def test_a_silent_crowd_goes_before_whoever_comes_anew() -> None:
    """With room for twenty connections sixty silent callers hold twenty at most, the last of them,
    and each newcomer is answered; so is one whose connection is older than all of theirs, if it
    goes on."""
    settings = {**dict.fromkeys(SETTINGS, "60"), "SERVICE_CONNECTIONS": "20"}
    with running_service(log=subprocess.DEVNULL, **settings) as (_, port), ExitStack() as stack:
        going_on = stack.enter_context(closing(http.client.HTTPConnection(HOST, port, SLACK)))
        crowd = []
        for number in range(60):
            crowd.append(stack.enter_context(socket.create_connection((HOST, port), SLACK)))
            if number % 10 == 0:
                newcomer_seconds(port)  # who is answered last has been let in last
                going_on.request("GET", "/health/live")
                assert going_on.getresponse().read()
        crowd[39].settimeout(SLACK)
        assert crowd[39].recv(1) == b""
        for each in crowd:
            each.settimeout(0)
        shut = [number for number, each in enumerate(crowd) if is_shut(each)]
    assert shut == list(range(len(shut)))
    assert 40 <= len(shut) <= 43


def is_shut(connection: socket.socket) -> bool:
    """Whether the service has closed a connection."""
    try:
        return connection.recv(1) == b""
    except BlockingIOError:
        return False


def test_the_last_answer_of_a_connection_says_so(port: int) -> None:
    """A client that keeps its connection is told before it is closed, and connects anew: nobody
    meets a connection that is gone."""
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=20)) as connection:
        said = []
        for _ in range(MOST_ANSWERS + 5):
            connection.request("GET", "/health/live")
            answer = connection.getresponse()
            answer.read()
            said.append(answer.getheader("connection") == "close")
    assert said == [number == MOST_ANSWERS - 1 for number in range(MOST_ANSWERS + 5)]


def test_connection_ends_after_a_thousand_answers(port: int) -> None:
    """Of 1,001 requests sent at once on one connection a thousand are answered, then it closes."""
    found = call(port, LIVE * 1001)
    assert found.answer.count(b"HTTP/1.1 200 OK") == 1000
    assert found.closed
