"""kill -9 between a change and its message: the event leaves once the service is back.

`python -m tests.large "kills of senders"` takes larger numbers.
"""

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import httpx2
import pytest

from service.sending.sealed import SecretBox
from tests.given.counts import count_of
from tests.given.listener import Listener, listening
from tests.given.quote_requests import shipped_request
from tests.given.service_process import ROOT, running_service, running_workers
from tests.given.stores import Clock, Server, opened
from tests.given.webhooks import happened, kept_deliveries, made_webhook

pytestmark = pytest.mark.no_cover  # processes that are killed tell of no coverage

KILLS = count_of("KILLS", 3)
# Each waits for the lease of the one before: 20 s.
WORKER_KILLS = count_of("WORKER_KILLS", 1)
SEED = 20261129
URL = "/v1/webhooks"


def heard(listener: Listener) -> Counter[str]:
    """The ids of the messages that came, and how often."""
    return Counter(headers["webhook-id"] for headers, _ in listener.requests)


def same_bodies(listener: Listener) -> set[int]:
    """The ids of the messages, each of which had one and the same body whenever it came."""
    bodies: dict[str, set[bytes]] = {}
    for headers, body in listener.requests:
        bodies.setdefault(headers["webhook-id"], set()).add(body)
        assert json.loads(body)["id"] == headers["webhook-id"]
    assert {len(each) for each in bodies.values()} == {1}
    return {int(each) for each in bodies}


@contextmanager
def worker(url: str, secrets: Path, listener: Listener) -> Iterator[subprocess.Popen[bytes]]:
    """A worker of the job queue, as it is started by hand; killed at the end."""
    settings = {
        "SERVICE_DATABASE_URL": url,
        "SERVICE_SECRET_FILE": str(secrets),
        "SERVICE_WEBHOOK_TARGETS": f"127.0.0.1:{listener.port}",
        "SERVICE_LOG_LEVEL": "error",
    }
    command = [sys.executable, "-m", "service", "work"]
    process = subprocess.Popen(command, cwd=ROOT, env={**os.environ, **settings})
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def wait_until(is_so: Callable[[], bool], seconds: float = 60) -> None:
    """Wait until something is so."""
    end = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_killed_worker_loses_no_event(server: Server, clock: Clock, tmp_path: Path) -> None:
    """Where workers alone run they send; one that dies at a random moment of its sending loses
    nothing, and the next one goes on when the dead one's lease is over."""
    chance = random.Random(SEED)  # noqa: S311  the moments of kills
    secrets = tmp_path / "secrets.key"
    told: set[int] = set()
    with (
        listening() as listener,
        server.migrated_database() as url,
        opened(url, clock) as store,
    ):
        hook = f"http://127.0.0.1:{listener.port}/"
        made_webhook(store, SecretBox(secrets), url=hook)
        for _ in range(WORKER_KILLS):
            told |= {int(happened(store, f"q{number}")) for number in range(3)}
            came = len(listener.requests)
            with worker(url, secrets, listener) as process:
                wait_until(lambda came=came: len(listener.requests) > came)  # type: ignore[misc]
                time.sleep(chance.uniform(0, 0.02))
                process.send_signal(signal.SIGKILL)
        with worker(url, secrets, listener):
            wait_until(lambda: {int(each) for each in heard(listener)} >= told)
    assert same_bodies(listener) == told
    print(f"{WORKER_KILLS} kills, {len(told)} events, {len(listener.requests)} messages")  # noqa: T201


def test_worker_without_the_secrets_sends_nothing(
    server: Server, clock: Clock, tmp_path: Path
) -> None:
    """A worker that has no file with the key of secrets neither fails nor holds what others can
    send."""
    with (
        listening() as listener,
        server.migrated_database() as url,
        opened(url, clock) as store,
    ):
        made_webhook(store, SecretBox(tmp_path / "a.key"), url=f"http://127.0.0.1:{listener.port}/")
        happened(store, "q")
        with worker(url, tmp_path / "b.key", listener) as process:
            time.sleep(6)
            assert process.poll() is None
        assert kept_deliveries(store) == []
        assert not (tmp_path / "b.key").exists()
    assert listener.requests == []


def test_killed_service_loses_no_event(tmp_path: Path) -> None:
    """Changes are acknowledged, the service dies at a random moment after, before or while it
    sends; when it is back every change comes, with the same id and body each time."""
    chance = random.Random(SEED)  # noqa: S311  the moments of kills
    told = 0
    with listening() as listener:
        run = partial(
            running_service,
            SERVICE_DATABASE_URL=f"sqlite:///{tmp_path}/killed.sqlite",
            SERVICE_WEBHOOK_TARGETS=f"127.0.0.1:{listener.port}",
        )
        hooks = {"url": f"http://127.0.0.1:{listener.port}/", "types": ["webhook.changed"]}
        with run() as (process, port):
            answer = httpx2.post(f"http://127.0.0.1:{port}{URL}", json=hooks, timeout=60)
            assert answer.status_code == 201
            process.send_signal(signal.SIGKILL)
        for _ in range(KILLS):
            with run() as (process, port):
                other = {"url": "https://crm.example/", "types": ["lead.received"]}
                for _ in range(chance.randint(1, 3)):
                    made = httpx2.post(f"http://127.0.0.1:{port}{URL}", json=other, timeout=60)
                    assert made.status_code == 201
                    told += 1
                time.sleep(chance.uniform(0, 0.05))
                process.send_signal(signal.SIGKILL)
        with run():
            wait_until(lambda: len(heard(listener)) >= told)
    assert sorted(same_bodies(listener)) == list(range(2, told + 2))
    print(f"{KILLS} kills, {told} events, {len(listener.requests)} messages")  # noqa: T201


def test_service_sends_to_a_webhook_that_a_lost_one_made(tmp_path: Path) -> None:
    """Two services begin over a database without webhooks; one makes the first and is killed: an
    event of the other leaves."""
    with listening() as listener:
        run = partial(
            running_service,
            SERVICE_DATABASE_URL=f"sqlite:///{tmp_path}/two.sqlite",
            SERVICE_WEBHOOK_TARGETS=f"127.0.0.1:{listener.port}",
        )
        hooks = {"url": f"http://127.0.0.1:{listener.port}/", "types": ["quote.saved"]}
        with run() as (first, at_first), run() as (_, at_other):
            made = httpx2.post(f"http://127.0.0.1:{at_first}{URL}", json=hooks, timeout=60)
            assert made.status_code == 201
            first.send_signal(signal.SIGKILL)
            saved = httpx2.post(
                f"http://127.0.0.1:{at_other}/v1/saved-quotes",
                json={"quote": shipped_request()},
                timeout=60,
            )
            assert saved.status_code == 201
            wait_until(lambda: bool(listener.requests))
    assert json.loads(listener.body())["data"]["quote"] == saved.json()["id"]


def test_processes_side_by_side_send_once(tmp_path: Path) -> None:
    """Two processes that answer side by side, one that sends: each event comes once, also those of
    a service that was started again on a database with a webhook."""
    with listening() as listener:
        run = partial(
            running_workers,
            2,
            SERVICE_DATABASE_URL=f"sqlite:///{tmp_path}/beside.sqlite",
            SERVICE_WEBHOOK_TARGETS=f"127.0.0.1:{listener.port}",
        )
        hooks = {"url": f"http://127.0.0.1:{listener.port}/", "types": ["webhook.changed"]}
        other = {"url": "https://crm.example/", "types": ["lead.received"]}
        with run() as (process, port):
            made = httpx2.post(f"http://127.0.0.1:{port}{URL}", json=hooks, timeout=60)
            assert made.status_code == 201
            process.send_signal(signal.SIGTERM)
            process.wait(30)
        with run() as (process, port):
            for _ in range(8):
                answer = httpx2.post(f"http://127.0.0.1:{port}{URL}", json=other, timeout=60)
                assert answer.status_code == 201
            wait_until(lambda: len(heard(listener)) >= 8)
            time.sleep(3)  # longer than either waits between two looks
            process.send_signal(signal.SIGTERM)
            process.wait(30)
    assert heard(listener) == Counter({str(number): 1 for number in range(2, 10)})
