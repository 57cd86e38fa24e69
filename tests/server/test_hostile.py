"""Hostile bytes against the running service: one shape of refusals, and nobody else is held up."""

from __future__ import annotations

import http.client
import json
import socket
import subprocess
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass

import pytest

from tests.given.hostile_requests import hostile_requests
from tests.given.raw_caller import HOST
from tests.given.service_process import running_service

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

CASES = hostile_requests()
DEADLINES = {
    "SERVICE_HEAD_SECONDS": "0.3",
    "SERVICE_BODY_SECONDS": "0.3",
    "SERVICE_IDLE_SECONDS": "1",
}
# Of a machine that has other things to do: alone the longest is below 0.1. Who were answered after
# those who send nothing more would wait longer than the second, mostly.
LONGEST_SECONDS = 5.0
USUAL_SECONDS = 1.0
# Deliberate ones: a coding or a version that is not spoken.
BEYOND_500 = {501, 505}


@dataclass(frozen=True)
class Told:
    """Answers by case; seconds that the other caller waited, each time."""

    answers: dict[str, bytes]
    waits: list[float]


@pytest.fixture(scope="module")
def told() -> Iterator[Told]:
    """What each case was told by a running service, sixteen at a time, and how long another
    caller waited meanwhile, who asked again and again."""
    with running_service(log=subprocess.DEVNULL, **DEADLINES) as (_, port):
        with probing(port) as waits, ThreadPoolExecutor(16) as callers:
            found = callers.map(lambda data: ask(port, data), CASES.values())
            answers = dict(zip(CASES, found, strict=True))
        yield Told(answers=answers, waits=waits)


def test_hostile_requests_are_many() -> None:
    """There are at least 200 cases, no two of them alike."""
    assert len(set(CASES.values())) >= 200


@pytest.mark.parametrize("name", CASES)
def test_hostile_request_is_refused_in_one_shape(told: Told, name: str) -> None:
    """Whatever comes: no failure of the service, each refusal a problem with its code, status and
    request id, and the connection shut in time."""
    found = [*answers(told.answers[name])]
    assert found
    for status, head, body in found:
        assert status < 500 or status in BEYOND_500
        if status >= 400:
            assert b"content-type: application/problem+json" in head
            problem = json.loads(body)
            assert problem["status"] == status
            assert problem["type"] == f"/problems/{problem['code']}"
            assert b"x-request-id: " + problem["instance"].encode("ascii") in head


def test_hostile_requests_hold_nobody_up(told: Told) -> None:
    """Another caller is answered all the while, and not after those whose time runs out."""
    assert len(told.waits) > 20
    assert max(told.waits) < LONGEST_SECONDS
    assert sorted(told.waits)[len(told.waits) // 2] < USUAL_SECONDS


def ask(port: int, data: bytes) -> bytes:
    """What comes back until the service shuts the connection, which it does in time."""
    answer = b""
    with socket.create_connection((HOST, port), timeout=8) as connection:
        with suppress(ConnectionError):
            connection.sendall(data)
        with suppress(ConnectionError):
            while chunk := connection.recv(1 << 20):
                answer += chunk
    return answer


def answers(data: bytes) -> Iterator[tuple[int, bytes, bytes]]:
    """Status, head in lower case and body of each answer."""
    while data:
        head, blank, rest = data.partition(b"\r\n\r\n")
        assert blank, data[:200]
        assert head.startswith(b"HTTP/1.1 "), data[:200]
        head = head.lower()
        lengths = [line for line in head.split(b"\r\n") if line.startswith(b"content-length: ")]
        size = int(lengths[0].partition(b" ")[2]) if lengths else 0
        status = int(head[9:12])
        assert len(rest) >= size, data[:200]
        yield status, head, rest[:size]
        data = rest[size:]


@contextmanager
def probing(port: int) -> Iterator[list[float]]:
    """The seconds that another caller, who asks again and again, waits for each answer."""
    seconds: list[float] = []
    done = threading.Event()

    def probe() -> None:
        while not (seconds and done.is_set()):
            began = time.monotonic()
            connection = http.client.HTTPConnection(HOST, port, timeout=8)
            connection.request("GET", "/health/live")
            assert connection.getresponse().read() == b'{"status":"live"}'
            connection.close()
            seconds.append(time.monotonic() - began)
            done.wait(0.05)

    caller = threading.Thread(target=probe)
    caller.start()
    try:
        yield seconds
    finally:
        done.set()
        caller.join()
