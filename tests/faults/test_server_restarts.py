"""PostgreSQL goes and comes back again and again while callers save.

What the keys of their calls are for is shown by `test_lost_answers.py`.
`python -m tests.large "restarts of the server"` takes larger numbers.
"""

from __future__ import annotations

import random
import subprocess
import time

from service.cli.loopback import call
from tests.cluster import Cluster
from tests.given.counts import count_of
from tests.given.savers import KEPT, SAVERS, Savers, ids_there, wait_until
from tests.given.service_process import HOST, running_service

RESTARTS = count_of("RESTARTS", 4)
SEED = 20260504
# From the server's own word that it is back to the first answer.
SOON_S = 2.0
REFUSED = {"storage-unavailable", "storage-busy"}


def back_after(port: int) -> float:
    """The seconds until a call that needs the database is answered."""
    began = time.monotonic()

    def answered() -> bool:
        return call(f"http://{HOST}:{port}", "GET", "/v1/saved-quotes", b"", {}).status == 200

    wait_until("the service found its database again", answered)
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
                wait_until("saves are kept", lambda: len(savers.kept) >= kept + SAVERS)  # noqa: B023
                cluster.stop(chance.choice(("immediate", "fast")))
                wait_until("a save is refused", lambda: savers.refused() > refused)  # noqa: B023
                cluster.start()
                waits.append(back_after(port))
    there = ids_there(cluster.url)
    print(  # noqa: T201  the counts belong into the log
        f"{RESTARTS} restarts, {dict(savers.seen)}, {len(there)} there; seed {SEED}; back after "
        f"{max(waits):.2f} s at most"
    )
    assert savers.seen.keys() - REFUSED == {str(KEPT)}
    assert sorted(there) == sorted(savers.kept)
    assert max(waits) < SOON_S
