"""The service in a process of its own while its database is locked, gone, replaced or frozen."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from service.cli.loopback import Answered, call
from service.storage import Store
from tests.cluster import Cluster
from tests.given.savers import EXAMPLE
from tests.given.served import JSON
from tests.given.service_process import HOST, running_service, running_workers

pytestmark = pytest.mark.no_cover  # processes that are killed tell of no coverage

SAVES = "/v1/saved-quotes"
WAITING = 60
# What needs no database is answered so soon, whatever others wait for.
SOON_S = 2.0
# What needs one that is gone is refused within this.
REFUSED_S = 20.0


@dataclass(slots=True)
class Caller:
    """A caller of a service, who notes how long each answer took."""

    port: int
    longest: dict[str, float] = field(default_factory=dict)

    def ask(self, method: str, path: str, body: bytes = b"") -> Answered:
        """One call."""
        begun = time.monotonic()
        answered = call(f"http://{HOST}:{self.port}", method, path, body, JSON if body else {})
        took = time.monotonic() - begun
        self.longest[path] = max(took, self.longest.get(path, 0.0))
        return answered

    def save(self) -> Answered:
        """Save the example."""
        quote = json.loads(EXAMPLE.read_bytes())
        del quote["reference"]  # one quote alone may carry it
        return self.ask("POST", SAVES, json.dumps({"quote": quote}).encode())

    def quote(self) -> Answered:
        """Quote the example, which needs no database."""
        return self.ask("POST", "/v1/quotes", EXAMPLE.read_bytes())

    def needs_no_database(self) -> None:
        """What is answered whatever state the database is in, and soon."""
        assert self.quote().status == 200
        assert self.ask("GET", "/health/live").status == 200
        for path in ("/v1/quotes", "/health/live"):
            assert self.longest[path] < SOON_S, self.longest

    def is_refused(self, code: str, answered: Answered) -> None:
        """It was 503 with this code, and said when to ask again."""
        assert (answered.status, json.loads(answered.body)["code"]) == (503, code)
        assert int(answered.headers["retry-after"]) > 0


def saved(caller: Caller) -> int:
    """How many saved quotes there are."""
    return len(json.loads(caller.ask("GET", SAVES).body)["items"])


@contextmanager
def service_on(url: str) -> Iterator[Caller]:
    """A service on a database, and somebody who calls it."""
    settings = {"SERVICE_DATABASE_URL": url}
    with running_service(log=subprocess.DEVNULL, **settings) as (_, port):
        yield Caller(port)


def test_a_lock_holds_up_those_alone_who_store(tmp_path: Path) -> None:
    """While another program holds the database's lock, and more calls wait for it than there are
    threads, reads, health and quotes are answered at once; those that wait are 503 with the
    code `storage-busy`; afterwards all is well."""
    file = tmp_path / "store.sqlite"
    with service_on(f"sqlite:///{file}") as caller:
        assert caller.save().status == 201
        answers: list[Answered] = []
        waiting = [
            threading.Thread(target=lambda: answers.append(Caller(caller.port).save()))
            for _ in range(WAITING)
        ]
        with closing(sqlite3.connect(file, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            for each in waiting:
                each.start()
            while threading.active_count() < WAITING / 2:
                time.sleep(0.01)
            time.sleep(1)
            caller.longest.clear()
            for _ in range(3):
                caller.needs_no_database()
                assert caller.ask("GET", SAVES).status == 200
            caller.is_refused("storage-busy", caller.ask("GET", "/health/ready"))
            assert caller.longest[SAVES] < SOON_S
            assert caller.longest["/health/ready"] < 5
            for each in waiting:
                each.join()
        codes = Counter(json.loads(each.body).get("code") for each in answers)
        print(dict(codes), caller.longest)  # noqa: T201  the counts belong into the log
        assert codes == {"storage-busy": WAITING}
        assert caller.save().status == 201
        assert caller.ask("GET", "/health/ready").status == 200


def test_a_file_that_is_gone_acknowledges_nothing(tmp_path: Path) -> None:
    """A deleted file: saves are refused with the code `storage-moved`, quotes go on, and with a
    copy in its place the service works on that by itself."""
    file, copy = tmp_path / "store.sqlite", tmp_path / "copy.sqlite"
    with service_on(f"sqlite:///{file}") as caller:
        assert caller.save().status == 201
        store = Store.open(f"sqlite:///{file}")
        store.backup(copy)
        store.close()
        assert caller.save().status == 201
        file.unlink()
        for answered in (caller.save(), caller.ask("GET", "/health/ready")):
            caller.is_refused("storage-moved", answered)
            assert str(tmp_path) not in answered.body.decode()
        caller.needs_no_database()
        copy.rename(file)
        assert caller.ask("GET", "/health/ready").status == 200
        assert caller.save().status == 201
        assert saved(caller) == 2


@pytest.mark.parametrize("workers", [1, 2])
def test_a_log_that_is_gone_acknowledges_nothing(tmp_path: Path, workers: int) -> None:
    """A deleted write-ahead log: saves are refused with the code `storage-moved` and quotes go
    on. A stop in order writes all that was acknowledged into the file, and so much is there
    afterwards, also where that service is killed."""
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    settings = {"SERVICE_DATABASE_URL": url}
    with closing(Store.open(url)) as store:
        store.migrate()
    with running_workers(workers, log=subprocess.DEVNULL, **settings) as (process, port):
        caller = Caller(port)
        assert [caller.save().status for _ in range(8)] == [201] * 8
        Path(f"{tmp_path / 'store.sqlite'}-wal").unlink()
        for _ in range(4):
            caller.is_refused("storage-moved", caller.save())
            ready = caller.ask("GET", "/health/ready")
            # A process that nobody asked before can't see if there are keys: it tells the word.
            unasked = workers > 1 and json.loads(ready.body)["code"] == "not-ready"
            caller.is_refused("not-ready" if unasked else "storage-moved", ready)
        caller.needs_no_database()
        process.terminate()
        process.wait(timeout=30)
    with service_on(url) as caller:
        assert caller.ask("GET", "/health/ready").status == 200
        assert saved(caller) == 8
        assert caller.save().status == 201
    with service_on(url) as caller:
        assert saved(caller) == 9


def processes_of(cluster: Cluster) -> list[int]:
    """The server's process and its children."""
    first = int((cluster.folder / "data" / "postmaster.pid").read_text("utf-8").split()[0])
    found = [first]
    for entry in Path("/proc").glob("[0-9]*/stat"):
        parent = entry.read_text("utf-8").rpartition(")")[2].split()[1]
        if int(parent) == first:
            found.append(int(entry.parent.name))
    return found


@contextmanager
def frozen(cluster: Cluster) -> Iterator[None]:
    """A server that stands still: it keeps its connections and answers nothing."""
    stopped = processes_of(cluster)
    for process in stopped:
        os.kill(process, signal.SIGSTOP)
    try:
        yield
    finally:
        for process in stopped:
            os.kill(process, signal.SIGCONT)


def test_a_frozen_server_is_unavailable(cluster: Cluster) -> None:
    """While PostgreSQL stands still every call that needs it is 503 within seconds, again and
    again, and those that need none are answered at once; when it goes on, so does the service.
    The same of a server that was stopped."""
    with service_on(cluster.url) as caller:
        assert caller.save().status == 201
        with frozen(cluster):
            for _ in range(2):
                caller.is_refused("storage-unavailable", caller.save())
                caller.is_refused("storage-unavailable", caller.ask("GET", SAVES))
                caller.is_refused("storage-unavailable", caller.ask("GET", "/health/ready"))
                caller.needs_no_database()
        print(caller.longest)  # noqa: T201  the times belong into the log
        assert caller.longest[SAVES] < REFUSED_S
        assert caller.longest["/health/ready"] < 6
        assert caller.save().status == 201
        assert caller.ask("GET", "/health/ready").status == 200
        cluster.stop()
        caller.is_refused("storage-unavailable", caller.save())
        caller.is_refused("storage-unavailable", caller.ask("GET", "/health/ready"))
        cluster.start()
        assert caller.save().status == 201
        assert caller.ask("GET", "/health/ready").status == 200


def test_a_foreign_file_is_one_sentence_at_start(tmp_path: Path) -> None:
    """A service that finds no database of its own says so in one line and ends with 1."""
    file = tmp_path / "store.sqlite"
    file.write_text("no database\n" * 100, encoding="utf-8")
    done = subprocess.run(
        (sys.executable, "-m", "service", "serve", "--port", "0"),
        env={**os.environ, "SERVICE_DATABASE_URL": f"sqlite:///{file}"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (1, "")
    (line,) = done.stderr.splitlines()
    assert "is no SQLite database" in line
    assert str(file) in line
