"""How many connections a service may have open at once."""

from __future__ import annotations

import resource
import socket
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

from tests.given.raw_caller import HOST, LIVE, call
from tests.given.service_process import running_workers


@contextmanager
def few_files() -> Iterator[tuple[int, int]]:
    """What is started in here may have few files open by its soft limit: some more than this
    process has; that one, and the hard one."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    few = 64 + max(int(file.name) for file in Path("/proc/self/fd").iterdir())
    resource.setrlimit(resource.RLIMIT_NOFILE, (few, hard))
    try:
        yield few, hard
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


@pytest.mark.parametrize("workers", [1, 2])
def test_service_takes_as_many_connections_as_the_system_grants(workers: int) -> None:
    """More callers than the soft limit of files are held at once, and another one is answered."""
    with ExitStack() as held:
        with few_files() as (few, hard):
            started = running_workers(workers, log=subprocess.DEVNULL)
            process, port = held.enter_context(started)
        assert resource.prlimit(process.pid, resource.RLIMIT_NOFILE) == (hard, hard)
        for _ in range(few + 100):
            connection = held.enter_context(socket.create_connection((HOST, port), timeout=60))
            connection.sendall(LIVE)
            assert connection.recv(65536).startswith(b"HTTP/1.1 200")
        assert call(port, LIVE.replace(b"Host", b"Connection: close\r\nHost")).status == 200
