"""A running service as it is measured: calls of many callers, their times, and its memory."""

from __future__ import annotations

import http.client
import json
import re
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

from tests.given.processes import spawned_by
from tests.given.service_process import HOST

HEAD = {"Content-Type": "application/json"}


class Caller:
    """A caller who keeps its connection."""

    def __init__(self, port: int) -> None:
        self._connection = http.client.HTTPConnection(HOST, port, timeout=300)

    def seconds(self, path: str, body: object = None) -> float:
        """How long an answer takes, which is one of success."""
        data = None if body is None else json.dumps(body).encode()
        method = "GET" if data is None else "POST"
        began = time.perf_counter()
        self._connection.request(method, path, data, HEAD)
        answer = self._connection.getresponse()
        told = answer.read()
        assert answer.status < 300, told[:500]
        return time.perf_counter() - began

    def close(self) -> None:
        """Go."""
        self._connection.close()

    def until(self, done: Callable[[], bool], path: str, body: object = None) -> list[float]:
        """The same again and again until something holds."""
        found: list[float] = []
        while not done():
            found.append(self.seconds(path, body))
        return found


def once(port: int, path: str, body: object) -> float:
    """Seconds of one call."""
    with closing(Caller(port)) as caller:
        return caller.seconds(path, body)


def crowd(port: int, callers: int, calls: int, path: str, body: object) -> list[float]:
    """Seconds of each call of so many callers together, who call so many times each."""

    def many(_number: int) -> list[float]:
        with closing(Caller(port)) as caller:
            return [caller.seconds(path, body) for _ in range(calls)]

    with ThreadPoolExecutor(callers) as pool:
        return [each for found in pool.map(many, range(callers)) for each in found]


def share(seconds: Sequence[float], part: float) -> float:
    """What so large a part of the times lies below."""
    return sorted(seconds)[min(len(seconds) - 1, int(part * len(seconds)))]


def memory_mib(process: int) -> float:
    """Memory of a process and all that it began, what they share counted once; none of one that
    is gone by now."""
    try:
        own = Path(f"/proc/{process}/smaps_rollup").read_text(encoding="ascii")
    except OSError:
        return 0.0
    found = re.search(r"^Pss:\s+(\d+) kB", own, re.MULTILINE)
    mine = int(found[1]) / 1024 if found else 0.0
    return mine + sum(map(memory_mib, spawned_by(process)))
