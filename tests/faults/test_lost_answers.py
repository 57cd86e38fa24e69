"""PostgreSQL commits, and its answer is lost: the caller is refused, asks again, and has one quote.

`python -m tests.large "lost answers"` takes larger numbers.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

from tests.cluster import Cluster
from tests.given.counts import count_of
from tests.given.lossy_line import LossyLine
from tests.given.savers import KEPT, Savers, ids_there, wait_until
from tests.given.service_process import running_service

REFUSALS = count_of("REFUSALS", 5)
EVERY = 7


def saved_over_a_lossy_line(cluster: Cluster, *, keyed: bool) -> tuple[Savers, list[str]]:
    """Callers who save until so many were refused; what they were told, and what is there."""
    with tempfile.TemporaryDirectory(prefix="line-") as name:
        line = LossyLine(cluster.folder, Path(name), EVERY)
        url = cluster.url.replace(str(cluster.folder), name)
        with (
            line.carrying(),
            running_service(log=subprocess.DEVNULL, SERVICE_DATABASE_URL=url) as (
                _,
                port,
            ),
        ):
            savers = Savers(port, keyed)
            with savers.at_work():
                for number in range(1, REFUSALS + 1):
                    wait_until("saves are refused", lambda: savers.refused() >= number)  # noqa: B023
    there = ids_there(cluster.url)
    print(  # noqa: T201  the counts belong into the log
        f"{line.commits} commits, {line.lost} answers lost, {dict(savers.seen)}, "
        f"{len(there)} there, {len(there) - len(savers.kept)} doubled"
    )
    assert savers.seen.keys() == {str(KEPT), "storage-unavailable"}
    assert set(savers.kept) <= set(there)
    return savers, there


def test_a_commit_whose_answer_is_lost_is_kept_once(cluster: Cluster) -> None:
    """Who asks again with the same key is told of the quote that was kept."""
    savers, there = saved_over_a_lossy_line(cluster, keyed=True)
    assert sorted(there) == sorted(savers.kept)


def test_without_a_key_each_lost_answer_doubles_a_quote(cluster: Cluster) -> None:
    """The control: with no key the same callers leave one quote too many for each refusal."""
    savers, there = saved_over_a_lossy_line(cluster, keyed=False)
    assert len(there) - len(set(savers.kept)) == savers.refused() >= REFUSALS
