"""Re-pricing on the job queue: put with the run, done once by any number of workers, and not lost
with a worker that is killed. PostgreSQL alone.

`python -m tests.large "kills of workers"` takes larger numbers.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
import pytest
from httpx2 import Client
from starlette.testclient import TestClient

from service.api.app import create_app
from service.catalog import Catalog
from service.jobs import connect_queue
from service.jobs.queue import JobQueue, do_chunk, plain_address
from service.jobs.start import QueueUnusableError
from service.operations.repricing.repricing_answer import RepricingAnswer
from service.operations.repricing.repricing_reads import read_repricing
from service.operations.repricing.repricing_start import read_repricing_request, start_repricing
from service.operations.saved.saved_quote import known_quote
from service.settings import Settings
from service.storage import Store
from service.storage.repricings import Run
from tests.given.counts import count_of
from tests.given.repricings import catalog_at, save_many
from tests.given.served import BASE_URL
from tests.given.service_process import running_service
from tests.given.stores import Clock, Server, opened

KILLS = count_of("KILLS", 2)
ROOT = Path(__file__).resolve().parents[2]
QUOTES, CHUNK = 40, 2
SEED = 20260504


@pytest.fixture
def store(server: Server, clock: Clock) -> Iterator[Store]:
    """A store on PostgreSQL."""
    with server.migrated_database() as url, opened(url, clock) as made:
        yield made


@pytest.fixture
def summer(tmp_path: Path) -> Catalog:
    """Revision 2: every cost is 10 % higher."""
    return catalog_at(tmp_path, 2, "1.1")


@pytest.fixture
def ids(store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Saved quotes on revision 1; runs take many small chunks."""
    monkeypatch.setattr("service.operations.repricing.repricing_start.QUEUE_CHUNK", CHUNK)
    monkeypatch.setattr("service.operations.repricing.repricing_start.WRITE_CHUNK", CHUNK)
    return save_many(store, catalog_at(tmp_path, 1), QUOTES)


def put(store: Store, catalog: Catalog, **asked: object) -> Run:
    """A run on the queue."""
    queue = JobQueue(store)
    document = asked or {"price_list": "yard"}
    request = read_repricing_request(document, catalog)
    with store.write() as connection:
        run = start_repricing(connection, request, catalog, store.now(), runs_on="queue")
        queue.put(connection, run)
    return run


def jobs(store: Store) -> list[dict[str, Any]]:
    """Every job: its status and its arguments."""
    with psycopg.connect(plain_address(store.url)) as connection:
        rows = connection.execute("SELECT status::text, args FROM procrastinate_jobs ORDER BY id")
        return [{"status": status, **arguments} for status, arguments in rows]


def answer_of(store: Store, run: Run) -> RepricingAnswer:
    """How far a run is."""
    with store.read() as connection:
        return read_repricing(connection, run.asked.id, store.now())


@contextmanager
def worker(store: Store, folder: Path, *options: str) -> Iterator[subprocess.Popen[bytes]]:
    """A worker as it is started by hand."""
    environment = {
        **os.environ,
        "SERVICE_DATABASE_URL": store.url,
        "SERVICE_CATALOG_PATH": str(folder / "at_2_1.1_0"),
        "SERVICE_LOG_LEVEL": "error",
    }
    command = [sys.executable, "-m", "service", "work", "--stalled-after", "1", *options]
    process = subprocess.Popen(command, cwd=ROOT, env=environment)
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def wait_until_over(store: Store, run: Run, seconds: float = 60) -> RepricingAnswer:
    """The run when it is over."""
    end = time.monotonic() + seconds
    while (answer := answer_of(store, run)).status in {"queued", "running"}:
        assert time.monotonic() < end, answer
        time.sleep(0.1)
    return answer


def test_jobs_are_there_with_the_run_or_not_at_all(
    store: Store, summer: Catalog, ids: list[str]
) -> None:
    """A transaction that is taken back leaves neither run nor jobs; one that stands, all."""
    queue = JobQueue(store)
    request = read_repricing_request({"price_list": "yard"}, summer)

    def take_back() -> None:
        with store.write() as connection:
            run = start_repricing(connection, request, summer, store.now(), runs_on="queue")
            queue.put(connection, run)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        take_back()
    assert jobs(store) == []
    run = put(store, summer)
    chunks = [job["chunk"] for job in jobs(store)]
    assert chunks == list(range(len(ids) // CHUNK))
    assert {job["repricing_id"] for job in jobs(store)} == {run.asked.id}


def test_two_workers_do_a_run_once(
    store: Store, summer: Catalog, ids: list[str], tmp_path: Path
) -> None:
    """A preview and its write, by two workers at a time: every quote gets one revision."""
    preview = put(store, summer)
    with worker(store, tmp_path), worker(store, tmp_path):
        assert wait_until_over(store, preview).counts.done == QUOTES
        written = put(store, summer, mode="write", preview=preview.asked.id)
        answer = wait_until_over(store, written)
    assert (answer.status, answer.counts.changed, answer.counts.failed) == ("succeeded", QUOTES, 0)
    with store.read() as connection:
        assert [known_quote(connection, quote_id).latest for quote_id in ids] == [2] * QUOTES


def test_a_killed_worker_loses_and_doubles_nothing(
    store: Store, summer: Catalog, ids: list[str], tmp_path: Path
) -> None:
    """Killed at random in the middle of a write, again and again: another worker takes up its
    job, and every quote has exactly one new revision."""
    preview = put(store, summer)
    with worker(store, tmp_path, "--once") as process:
        assert process.wait(60) == 0
    written = put(store, summer, mode="write", preview=preview.asked.id)
    chance = random.Random(SEED)  # noqa: S311  (which instant is all it decides)
    for _ in range(KILLS):
        with worker(store, tmp_path):
            done = answer_of(store, written).counts.done
            end = time.monotonic() + 30
            while answer_of(store, written).counts.done == done and time.monotonic() < end:
                if answer_of(store, written).status == "succeeded":
                    break
                time.sleep(0.01)
            time.sleep(chance.uniform(0, 0.05))
    with worker(store, tmp_path):
        answer = wait_until_over(store, written)
    assert (answer.status, answer.counts.changed, answer.counts.failed) == ("succeeded", QUOTES, 0)
    with store.read() as connection:
        assert [known_quote(connection, quote_id).latest for quote_id in ids] == [2] * QUOTES
    sys.stdout.write(f"{KILLS} workers killed; seed {SEED}\n")


def test_a_run_whose_jobs_are_gone_is_put_again(
    store: Store, summer: Catalog, ids: list[str]
) -> None:
    """What is left of a run without jobs comes back onto the queue, chunk by chunk."""
    run = put(store, summer)
    do_chunk(store, summer, run.asked.id, 1)
    with psycopg.connect(plain_address(store.url)) as connection:
        connection.execute("DELETE FROM procrastinate_jobs")
    queue = JobQueue(store)
    for _ in range(2):
        queue.put_lost(store)
    chunks = [job["chunk"] for job in jobs(store)]
    assert chunks == [n for n in range(len(ids) // CHUNK) if n != 1]


def test_a_run_whose_prices_are_gone_ends_as_failed(
    store: Store, summer: Catalog, ids: list[str], tmp_path: Path
) -> None:
    """A worker whose catalog has another revision says so, and the run is over."""
    run = put(store, summer)
    assert len(ids) == QUOTES
    do_chunk(store, catalog_at(tmp_path, 3), run.asked.id, 0)
    answer = answer_of(store, run)
    assert answer.status == "failed"
    assert "no revision 2" in str(answer.failure)


def test_a_service_leaves_long_runs_to_the_queue(
    store: Store, summer: Catalog, ids: list[str]
) -> None:
    """With a queue, a run that is not waited for is put there by the call that asks for it."""
    app = create_app(Settings.model_construct(), summer, store, connect_queue(store))
    with TestClient(app, base_url=BASE_URL) as client:
        response = client.post(
            "/v1/repricings", json={"price_list": "yard"}, headers={"Prefer": "respond-async"}
        )
    assert response.status_code == 202
    assert len(jobs(store)) == len(ids) // CHUNK


@contextmanager
def serving(store: Store, folder: Path) -> Iterator[Client]:
    """A service that puts work on the queue, and a client of it."""
    settings = {
        "SERVICE_DATABASE_URL": store.url,
        "SERVICE_CATALOG_PATH": str(folder / "at_2_1.1_0"),
        "SERVICE_QUEUE": "true",
    }
    with (
        running_service(log=subprocess.DEVNULL, **settings) as (_, port),
        Client(base_url=f"http://127.0.0.1:{port}") as client,
    ):
        yield client


def test_two_services_and_a_worker_share_a_database(
    store: Store, summer: Catalog, ids: list[str], tmp_path: Path
) -> None:
    """Two service processes and a worker on one PostgreSQL: a call that is repeated at the other
    replica is not done twice, and each of them tells how far the run is."""
    headers = {"Prefer": "respond-async", "Idempotency-Key": "one"}
    sent = {"price_list": "yard"}
    with serving(store, tmp_path) as one, serving(store, tmp_path) as two:
        made = [each.post("/v1/repricings", json=sent, headers=headers) for each in (one, two)]
        assert [each.status_code for each in made] == [202, 202]
        assert made[1].content == made[0].content
        path = made[0].headers["location"]
        with worker(store, tmp_path):
            end = time.monotonic() + 60
            while two.get(path).json()["status"] != "succeeded":
                assert time.monotonic() < end
                time.sleep(0.1)
        assert one.get(path).json()["counts"]["done"] == len(ids)
        assert len(one.get("/v1/repricings").json()["items"]) == 1
    assert summer.price_lists["yard"].core.revision == 2


def test_a_queue_needs_postgresql(tmp_path: Path) -> None:
    """On SQLite there is none, and the message says so."""
    store = Store.open(f"sqlite:///{tmp_path / 'store.sqlite'}")
    store.migrate()
    with pytest.raises(QueueUnusableError, match="PostgreSQL"):
        connect_queue(store)
    store.close()
