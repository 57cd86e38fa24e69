"""What a batch costs, against the same quotes in a loop, and what it holds.

Run by name (`python .ci/tasks.py benchmarks`). The service is a process of its own; time is that
process's own, so that the caller's share does not count.
"""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import re
import subprocess
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from service import json_text
from service.catalog import load_catalog
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer
from tests.given.batch_caller import NDJSON, PATH
from tests.given.quote_requests import level_wall, shipped_request
from tests.given.service_process import running_service

QUOTES = 300
ROUNDS = 5
HOST = "127.0.0.1"


class Service:
    """The service as its own process."""

    def __init__(self, process: subprocess.Popen[str], port: int) -> None:
        self.process = process
        self.port = port

    def seconds(self) -> float:
        """Processor time so far."""
        fields = Path(f"/proc/{self.process.pid}/stat").read_text(encoding="utf-8").split()
        return (int(fields[13]) + int(fields[14])) / os.sysconf("SC_CLK_TCK")

    def peak_kib(self) -> int:
        """The most memory it ever had."""
        status = Path(f"/proc/{self.process.pid}/status").read_text(encoding="utf-8")
        found = re.search(r"VmHWM:\s+([0-9]+) kB", status)
        assert found is not None
        return int(found[1])

    def batch(self, lines: Iterator[bytes]) -> bytes:
        """Send lines, read the answers meanwhile; gives the last one."""
        connection = http.client.HTTPConnection(HOST, self.port)
        connection.connect()
        wire = connection.sock
        head = f"POST {PATH} HTTP/1.1\r\nHost: {HOST}\r\nContent-Type: {NDJSON}\r\n"
        wire.sendall(f"{head}Transfer-Encoding: chunked\r\n\r\n".encode())

        def send() -> None:
            for line in lines:
                wire.sendall(b"%x\r\n%s\r\n" % (len(line), line))
            wire.sendall(b"0\r\n\r\n")

        sender = threading.Thread(target=send)
        sender.start()
        last = b""
        with contextlib.closing(http.client.HTTPResponse(wire)) as response:
            response.begin()
            for line in response:
                last = line
        sender.join()
        connection.close()
        return last


@pytest.fixture
def service() -> Iterator[Service]:
    """A new process, so that its peak is that of one test."""
    with running_service(log=subprocess.DEVNULL) as running:
        yield Service(*running)


def requests() -> list[bytes]:
    """Quotes that differ, with labor and terms."""
    more = {"rates": "small_crew", "terms": "standard"}
    walls = [level_wall(f"{20 + n % 97} ft", f"{2 + n % 5} ft") for n in range(QUOTES)]
    return [json.dumps(shipped_request(wall, **more)).encode() + b"\n" for wall in walls]


def test_a_batch_is_nearly_as_fast_as_a_loop(service: Service) -> None:
    """Quotes a second of processor time / those of a loop in one process without a server."""
    catalog, lines = load_catalog(()), requests()

    def loop() -> float:
        began = time.process_time()
        for line in lines:
            encode_answer(quote_document(json_text.loads(line), catalog))
        return time.process_time() - began

    def batch() -> float:
        began = service.seconds()
        assert json.loads(service.batch(iter(lines)))["failed"] == 0
        return service.seconds() - began

    pairs = [(loop(), batch()) for _ in range(ROUNDS + 1)][1:]
    alone, served = (min(column) for column in zip(*pairs, strict=True))
    print(  # noqa: T201
        f"loop {QUOTES / alone:.0f}/s, batch {QUOTES / served:.0f}/s: {alone / served:.3f}"
    )
    assert alone / served >= 0.85


def test_memory_is_flat_from_a_thousand_to_a_hundred_thousand_lines(service: Service) -> None:
    """Peak memory of the process after 10^5 requests / after 10^3; small ones, which fail."""
    peaks = []
    for count in (1_000, 100_000):
        last = json.loads(service.batch(b"{}\n" for _ in range(count)))
        assert last == {"end": True, "lines": count, "failed": count}
        peaks.append(service.peak_kib())
    few, many = peaks
    print(f"10^3 lines {few} KiB, 10^5 lines {many} KiB: {many / few:.3f}")  # noqa: T201
    assert many / few <= 1.1
