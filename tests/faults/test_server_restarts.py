"""PostgreSQL goes and comes back again and again while callers save.

`python -m tests.large "restarts of the server"` takes larger numbers.
"""

from __future__ import annotations

import json
import random
import subprocess
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field

from service.cli.loopback import call
from tests.cluster import Cluster
from tests.faults.test_stop import EXAMPLE
from tests.given.counts import count_of
from tests.given.served import JSON
from tests.given.service_process import HOST, running_service
from tests.given.stores import connected

RESTARTS = count_of("RESTARTS", 4)
SEED = 20260504
SAVERS = 3
# From the server's own word that it is back to the first answer.
SOON_S = 2.0
REFUSED = {"storage-unavailable", "storage-busy"}
KEPT = 201


@dataclass(slots=True)
class Savers:
    """Callers who save one quote after another, and ask with the same key until it is kept."""

    port: int
    stop: threading.Event = field(default_factory=threading.Event)
    kept: list[str] = field(default_factory=list)
    seen: Counter[str] = field(default_factory=Counter)

    def save_on(self, who: int) -> None:
        """Save until the stop; what is begun then is still brought to its end."""
        number = 0
        while not self.stop.is_set():
            self.kept.append(self.save(f"{who}-{number}"))
            number += 1

    def save(self, key: str) -> str:
        """Save one, however often it takes; its id."""
        quote = {**json.loads(EXAMPLE.read_bytes()), "reference": f"job-{key}"}
        body = json.dumps({"quote": quote}).encode()
        headers = {**JSON, "Idempotency-Key": key}
        while True:
            try:
                told = call(f"http://{HOST}:{self.port}", "POST", "/v1/saved-quotes", body, headers)
            except Exception as error:  # a thread's failure is told by the counts
                self.seen[repr(error)] += 1
                raise
            document = json.loads(told.body)
            self.seen[document.get("code", str(told.status))] += 1
            if told.status == KEPT:
                return str(document["id"])
            time.sleep(0.02)

    def refused(self) -> int:
        """How many saves were not kept at once."""
        return self.seen.total() - self.seen[str(KEPT)]

    @contextmanager
    def at_work(self) -> Iterator[None]:
        """All of them, for as long as the block."""
        threads = [threading.Thread(target=self.save_on, args=(who,)) for who in range(SAVERS)]
        for thread in threads:
            thread.start()
        try:
            yield
        finally:
            self.stop.set()
            for thread in threads:
                thread.join(60)


def wait_for(what: str, reached: Callable[[], bool]) -> None:
    """Wait until something is so."""
    end = time.monotonic() + 60
    while not reached():
        assert time.monotonic() < end, what
        time.sleep(0.005)


def back_after(port: int) -> float:
    """The seconds until a call that needs the database is answered."""
    began = time.monotonic()

    def answered() -> bool:
        return call(f"http://{HOST}:{port}", "GET", "/v1/saved-quotes", b"", {}).status == 200

    wait_for("the service found its database again", answered)
    return time.monotonic() - began


def test_a_server_that_comes_back_is_used_soon_and_has_lost_nothing(cluster: Cluster) -> None:
    """However often it is stopped, as by a kill or in order, saves are kept or 503, never 500;
    soon after it is back calls are answered; and each save that was acknowledged is there once."""
    chance, waits = random.Random(SEED), list[float]()  # noqa: S311  repeatable, no secret
    settings = {"SERVICE_DATABASE_URL": cluster.url}
    with running_service(log=subprocess.DEVNULL, **settings) as (_, port):
        savers = Savers(port)
        with savers.at_work():
            for _ in range(RESTARTS):
                kept, refused = len(savers.kept), savers.refused()
                wait_for("saves are kept", lambda: len(savers.kept) >= kept + SAVERS)  # noqa: B023
                cluster.stop(chance.choice(("immediate", "fast")))
                wait_for("a save is refused", lambda: savers.refused() > refused)  # noqa: B023
                cluster.start()
                waits.append(back_after(port))
    with closing(connected(cluster.url)) as connection:
        there = [str(id_) for (id_,) in connection.execute("SELECT id FROM quote").fetchall()]
    print(  # noqa: T201  the counts belong into the log
        f"{RESTARTS} restarts, {dict(savers.seen)}, {len(there)} there; seed {SEED}; back after "
        f"{max(waits):.2f} s at most"
    )
    assert savers.seen.keys() - REFUSED == {str(KEPT)}
    assert sorted(there) == sorted(savers.kept)
    assert max(waits) < SOON_S
