"""The service as a process of its own, as it is started by hand."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HOST = "127.0.0.1"
START_SECONDS = 120  # two are usual; a machine with much else to do takes longer
Running = tuple[subprocess.Popen[str], int]


@contextmanager
def running_service(*, log: int = subprocess.PIPE, **settings: str) -> Iterator[Running]:
    """A service with these settings that answers already, and its port; killed at the end.

    `log` says where its log goes.
    """
    with running_workers(1, log=log, **settings) as running:
        yield running


@contextmanager
def running_workers(
    workers: int, *words: str, log: int = subprocess.PIPE, **settings: str
) -> Iterator[Running]:
    """The same of so many processes that answer; `words` are further options of `serve`."""
    port = free_port()
    command = [sys.executable, "-m", "service", "serve", "--port", str(port)]
    with subprocess.Popen(
        [*command, "--workers", str(workers), *words],
        cwd=ROOT,
        env={**os.environ, **settings},
        stdout=subprocess.PIPE,
        stderr=log,
        text=True,
        bufsize=1,
    ) as process:
        try:
            wait_until_it_answers(port)
            yield process, port
        finally:
            process.kill()


def free_port() -> int:
    """A port of this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port: int = probe.getsockname()[1]
    return port


def wait_until_it_answers(port: int) -> None:
    """Try until somebody listens on a port."""
    end = time.monotonic() + START_SECONDS
    while time.monotonic() < end:
        try:
            socket.create_connection((HOST, port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise AssertionError("the service did not start")
