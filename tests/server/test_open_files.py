"""How many connections a service may have open at once."""

from __future__ import annotations

import resource
import socket
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import pytest

from tests.given.raw_caller import HOST, LIVE, call
from tests.given.service_process import running_workers

FEW = 128


@contextmanager
def few_files() -> Iterator[int]:
    """What is started in here may have few files open by its soft limit; the hard one."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (FEW, hard))
    try:
        yield hard
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


@pytest.mark.parametrize("workers", [1, 2])
def test_service_takes_as_many_connections_as_the_system_grants(workers: int) -> None:
    """With a soft limit of 128 files, 300 callers are held at once and another one is answered."""
    with ExitStack() as held:
        with few_files() as hard:
            started = running_workers(workers, log=subprocess.DEVNULL)
            process, port = held.enter_context(started)
        assert resource.prlimit(process.pid, resource.RLIMIT_NOFILE) == (hard, hard)
        for _ in range(300):
            connection = held.enter_context(socket.create_connection((HOST, port), timeout=60))
            connection.sendall(LIVE)
            assert connection.recv(65536).startswith(b"HTTP/1.1 200")
        assert call(port, LIVE.replace(b"Host", b"Connection: close\r\nHost")).status == 200
