"""kill -9 between a change and its message: the event leaves once the service is back.

`python -m tests.large "kills of senders"` takes larger numbers.
"""

import json
import random
import signal
import time
from collections import Counter
from functools import partial
from pathlib import Path

import httpx2
import pytest

from tests.given.counts import count_of
from tests.given.listener import Listener, listening
from tests.given.service_process import running_service, running_workers

pytestmark = pytest.mark.no_cover  # processes that are killed tell of no coverage

KILLS = count_of("KILLS", 5)
SEED = 20261129
URL = "/v1/webhooks"


def heard(listener: Listener) -> Counter[str]:
    """The ids of the messages that came, and how often."""
    return Counter(headers["webhook-id"] for headers, _ in listener.requests)


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
            end = time.monotonic() + 40
            while len(heard(listener)) < told:
                assert time.monotonic() < end, f"{len(heard(listener))} of {told} came"
                time.sleep(0.05)
    bodies: dict[str, set[bytes]] = {}
    for headers, body in listener.requests:
        bodies.setdefault(headers["webhook-id"], set()).add(body)
        assert json.loads(body)["id"] == headers["webhook-id"]
    assert {len(each) for each in bodies.values()} == {1}
    assert sorted(map(int, bodies)) == list(range(2, told + 2))
    print(f"{KILLS} kills, {told} events, {len(listener.requests)} messages")  # noqa: T201


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
            assert (
                httpx2.post(f"http://127.0.0.1:{port}{URL}", json=hooks, timeout=60).status_code
                == 201
            )
            process.send_signal(signal.SIGTERM)
            process.wait(30)
        with run() as (process, port):
            for _ in range(8):
                answer = httpx2.post(f"http://127.0.0.1:{port}{URL}", json=other, timeout=60)
                assert answer.status_code == 201
            end = time.monotonic() + 40
            while len(heard(listener)) < 8:
                assert time.monotonic() < end, f"{len(heard(listener))} of 8 came"
                time.sleep(0.05)
            time.sleep(3)  # longer than either waits between two looks
            process.send_signal(signal.SIGTERM)
            process.wait(30)
    assert heard(listener) == Counter({str(number): 1 for number in range(2, 10)})
