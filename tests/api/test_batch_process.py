"""A batch over a real connection to a real process: order of arrival, pressure, leaving."""

import contextlib
import http.client
import json
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from service.api.lines import MAX_LINE_BYTES
from tests.api.test_batch import SOUND
from tests.given.batch_caller import NDJSON, PATH, Json
from tests.given.quote_requests import level_wall, shipped_request
from tests.given.service_process import running_service

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

HEAD = (
    f"POST {PATH} HTTP/1.1\r\nHost: localhost\r\nContent-Type: {NDJSON}\r\n"
    "Transfer-Encoding: chunked\r\n\r\n"
).encode()
LINE = SOUND + b"\n"
END = b"0\r\n\r\n"


def chunk(data: bytes) -> bytes:
    """A part of a body without a stated length."""
    return b"%x\r\n%s\r\n" % (len(data), data)


class Service:
    """The service as its own process."""

    def __init__(self, process: subprocess.Popen[str], port: int) -> None:
        self.process = process
        self.port = port

    def connect(self) -> socket.socket:
        """A connection that has sent the head of a batch."""
        connection = socket.create_connection(("127.0.0.1", self.port), timeout=20)
        connection.sendall(HEAD)
        return connection

    def next_record(self) -> Json:
        """What the log says of the next call that has ended."""
        assert self.process.stderr is not None
        for line in self.process.stderr:
            record: Json = json.loads(line)
            if record["logger"] == "service.access":
                return record
        raise AssertionError("the service has ended")


@pytest.fixture(scope="module")
def service() -> Iterator[Service]:
    """One process for all tests here; what it logs is read line by line."""
    with running_service(SERVICE_ACCESS_LOG="true") as (process, port):
        assert process.stderr is not None
        assert process.stderr.readline().startswith("Answering at")
        yield Service(process, port)


def seconds_of(do: Callable[[], object]) -> float:
    """How long something takes."""
    began = time.monotonic()
    do()
    return time.monotonic() - began


def ends(service: Service) -> None:
    """Wait until the service notes that a batch has ended."""
    assert service.next_record()["route"] == PATH


@contextlib.contextmanager
def answer_to(connection: socket.socket) -> Iterator[http.client.HTTPResponse]:
    """The answer to a batch, its head read, its lines to be read one by one."""
    with contextlib.closing(http.client.HTTPResponse(connection)) as response:
        response.begin()
        assert response.status == 200
        yield response


def test_answers_come_before_the_body_ends(service: Service) -> None:
    """Over HTTP/1.1 the answer to a line arrives while the caller has lines to send; one without
    its last line was cut."""
    with service.connect() as connection, answer_to(connection) as response:
        for number in (1, 2, 3):
            connection.sendall(chunk(LINE))
            assert json.loads(response.readline())["line"] == number
        connection.sendall(END)
        assert json.loads(response.readline()) == {"end": True, "lines": 3, "failed": 0}
        assert response.readline() == b""
    assert service.next_record()["status"] == 200


def test_who_waits_for_leave_to_send_gets_it(service: Service) -> None:
    """`Expect: 100-continue` is answered before the answer begins."""
    with socket.create_connection(("127.0.0.1", service.port), timeout=20) as connection:
        connection.sendall(HEAD.replace(b"\r\n\r\n", b"\r\nExpect: 100-continue\r\n\r\n"))
        assert connection.recv(65_536, socket.MSG_PEEK).startswith(b"HTTP/1.1 100 ")
        connection.sendall(chunk(LINE) + END)
        with answer_to(connection) as response:
            assert response.read().count(b"\n") == 2
    assert service.next_record()["status"] == 200


def test_a_stated_length_may_be_larger_than_a_json_body(service: Service) -> None:
    """A stream has no limit, in either framing; an array has that of every JSON body."""
    body = LINE + b"\n" * 3_000_000
    connection = http.client.HTTPConnection("127.0.0.1", service.port, timeout=30)
    connection.request("POST", PATH, body, {"Content-Type": NDJSON})
    first, end = connection.getresponse().read().splitlines()
    assert json.loads(first)["status"] == 200
    assert json.loads(end) == {"end": True, "lines": 1, "failed": 0}
    connection.request("POST", PATH, body, {"Content-Type": "application/json"})
    assert connection.getresponse().status == 413
    connection.close()
    assert [service.next_record()["status"] for _ in range(2)] == [200, 413]


def test_health_answers_while_a_batch_runs(service: Service) -> None:
    """Others are served in between: ten probes are answered while a batch of 300 lines runs."""
    with service.connect() as connection, answer_to(connection) as response:
        connection.sendall(chunk(LINE * 300) + END)
        response.readline()
        for _ in range(10):
            probe = http.client.HTTPConnection("127.0.0.1", service.port, timeout=20)
            probe.request("GET", "/health/live")
            assert probe.getresponse().read() == b'{"status":"live"}'
            probe.close()
            assert service.next_record()["route"] == "/health/live"  # the batch still runs
        assert json.loads(response.read().splitlines()[-1])["lines"] == 300
    assert service.next_record()["route"] == PATH


def test_a_slow_reader_stops_the_intake(service: Service) -> None:
    """A caller who reads nothing can't go on sending; once it reads, nothing is missing."""
    with service.connect() as connection:
        connection.settimeout(1.0)
        sent, part = 0, chunk(b"{\n" * 20_000)
        with contextlib.suppress(TimeoutError):
            while sent < 256:
                rest = part
                while rest:
                    rest = rest[connection.send(rest) :]
                sent += 1
        assert sent < 256  # 10 MB of lines ask for 3 GB of answers
        connection.settimeout(20)
        with answer_to(connection) as response:
            for number in range(1, 1001):
                assert json.loads(response.readline())["line"] == number
    assert service.next_record()["route"] == PATH


def test_work_stops_when_the_connection_closes(service: Service) -> None:
    """The call ends soon after its caller has left, with most of its lines unanswered."""
    with service.connect() as connection, answer_to(connection) as response:
        connection.sendall(chunk(LINE * 2_000))
        response.readline()
        took = seconds_of(lambda: [response.readline() for _ in range(100)])
    assert seconds_of(lambda: ends(service)) < 6 * took  # the rest takes nineteen times as long


def test_work_stops_when_a_long_stream_is_left(service: Service) -> None:
    """A caller who leaves with more on its way than is read ahead is noticed as well, before the
    half of that has been worked on."""
    with service.connect() as connection, answer_to(connection) as response:
        connection.sendall(chunk(LINE * 101))
        response.readline()
        took = seconds_of(lambda: [response.readline() for _ in range(100)])
        connection.settimeout(1.0)
        with contextlib.suppress(TimeoutError):
            for _ in range(100):
                connection.sendall(chunk(LINE * 500))
    ahead = MAX_LINE_BYTES / len(LINE)
    assert seconds_of(lambda: ends(service)) < ahead / 2 * took / 100


def test_batches_side_by_side_answer_as_alone(service: Service) -> None:
    """What runs on threads at the same time does not meet: the answers are those of single
    calls."""
    walls = [level_wall(f"{10 + n} ft", f"{2 + n % 3} ft") for n in range(16)]
    lines = [json.dumps(shipped_request(wall, rates="small_crew")).encode() for wall in walls]
    body = b"\n".join(lines)

    def post(path: str, sent: bytes, media_type: str) -> bytes:
        connection = http.client.HTTPConnection("127.0.0.1", service.port, timeout=60)
        with contextlib.closing(connection):
            connection.request("POST", path, sent, {"Content-Type": media_type})
            return connection.getresponse().read()

    alone = [post("/v1/quotes", line, "application/json") for line in lines]
    with ThreadPoolExecutor(3) as callers:
        batches = list(callers.map(lambda _: post(PATH, body, NDJSON), range(3)))
    for batch in batches:
        *answers, _ = batch.splitlines()
        found = [answer.partition(b'"quote":')[2] for answer in answers]
        assert found == [answer + b"}" for answer in alone]
    for _ in range(len(lines) + 3):
        assert service.next_record()["status"] == 200
