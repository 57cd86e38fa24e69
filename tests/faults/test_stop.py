"""A stop: what was asked is answered, and the SQLite file alone holds everything."""

from __future__ import annotations

import json
import shutil
import signal
import socket
import sqlite3
import subprocess
import threading
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from tests.given.savers import EXAMPLE
from tests.given.served import JSON
from tests.given.service_process import HOST, running_service

CALLERS = 200
SAVED = b"HTTP/1.1 201"


def request(path: str, body: bytes) -> bytes:
    """A whole request as it goes over the wire."""
    head = [f"POST {path} HTTP/1.1", f"Host: {HOST}", f"Content-Length: {len(body)}"]
    head += [f"{name}: {value}" for name, value in JSON.items()]
    return "\r\n".join([*head, "\r\n"]).encode() + body


def saving() -> bytes:
    """A call that saves the example."""
    quote = json.loads(EXAMPLE.read_bytes())
    return request("/v1/saved-quotes", json.dumps({"quote": quote}).encode())


def ask(port: int, data: bytes, answers: list[bytes], sent: threading.Semaphore) -> None:
    """Call once, and keep the first line of the answer."""
    with closing(socket.create_connection((HOST, port), timeout=60)) as connection:
        connection.sendall(data)
        sent.release()
        try:
            answers.append(connection.recv(65536).split(b"\r\n")[0])
        except OSError as error:
            answers.append(type(error).__name__.encode())


def stopped(running: subprocess.Popen[str], by: signal.Signals) -> str:
    """What a service logs to its end."""
    running.send_signal(by)
    _, log = running.communicate(timeout=90)
    return log


def count_quotes(file: Path) -> int:
    """How many quotes an SQLite file holds."""
    with closing(sqlite3.connect(file)) as connection:
        (count,) = connection.execute("SELECT count(*) FROM quote").fetchone()
        return int(count)


@pytest.mark.parametrize("by", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_serve_leaves_one_file(tmp_path: Path, by: signal.Signals) -> None:
    """After a stop the file alone, copied without anything beside it, holds what was saved; no
    log of writes is left, and the process ends with 0."""
    file = tmp_path / "store.sqlite"
    answers: list[bytes] = []
    with running_service(SERVICE_DATABASE_URL=f"sqlite:///{file}") as (running, port):
        ask(port, saving(), answers, threading.Semaphore(0))
        # The control: while it runs, what was saved stands beside the file.
        assert Path(f"{file}-wal").stat().st_size > 0
        log = stopped(running, by)
        assert running.returncode == 0, log
    assert answers[0].startswith(SAVED)
    assert [*tmp_path.iterdir()] == [file]
    alone = shutil.copy(file, tmp_path / "alone.sqlite")
    assert count_quotes(Path(alone)) == 1


def test_serve_killed_leaves_its_log(tmp_path: Path) -> None:
    """The control: after a kill the file alone does not hold what was saved; with its log it
    does."""
    file = tmp_path / "store.sqlite"
    with running_service(SERVICE_DATABASE_URL=f"sqlite:///{file}") as (running, port):
        ask(port, saving(), [], threading.Semaphore(0))
        stopped(running, signal.SIGKILL)
    alone = Path(shutil.copy(file, tmp_path / "alone.sqlite"))
    assert count_quotes(alone) == 0
    assert count_quotes(file) == 1


def test_serve_answers_all_who_asked_before_the_stop(tmp_path: Path) -> None:
    """Callers who have sent a quote when the stop comes, read or not, are all answered; and so
    is one who is connected and sends it right after."""
    answers: list[bytes] = []
    sent = threading.Semaphore(0)
    data = request("/v1/quotes", EXAMPLE.read_bytes())
    settings = {"SERVICE_DATABASE_URL": f"sqlite:///{tmp_path / 'store.sqlite'}"}
    with running_service(log=subprocess.DEVNULL, **settings) as (running, port):
        late = socket.create_connection((HOST, port), timeout=60)
        callers = [
            threading.Thread(target=ask, args=(port, data, answers, sent)) for _ in range(CALLERS)
        ]
        for caller in callers:
            caller.start()
        for _ in callers:
            assert sent.acquire(timeout=60)
        running.send_signal(signal.SIGTERM)
        late.sendall(data)
        for caller in callers:
            caller.join(90)
        answers.append(late.recv(65536).split(b"\r\n")[0])
        late.close()
        running.wait(60)
    counts = Counter(answers)
    print(dict(counts))  # noqa: T201  the counts belong into the log
    assert counts == {b"HTTP/1.1 200 OK": CALLERS + 1}
