"""Two versions of the service on one database: the last release and this one, one after the other;
and this one, when the next has brought the tables to its own.

`python -m tests.large "two versions"` takes more seconds.
"""

from __future__ import annotations

import os
import subprocess
import time
from pathlib import Path

import pytest

from service.storage import open_engine
from tests.given.counts import count_of
from tests.given.mixed_load import SAVED, MixedLoad
from tests.given.next_release import move_back, move_on
from tests.given.releases import command_of, running_release
from tests.given.service_process import running_service
from tests.migrations.kill_points import read_state

pytestmark = pytest.mark.no_cover  # what runs are processes of their own

SECONDS = count_of("SECONDS", 2)
GOOD = {"save 201", "read 200", "quote 200", "list 200", "preview 201"}
BEHIND, FEWEST = "storage-behind", 20


def ids_there(url: str) -> set[str]:
    """The saved quotes that stand in a database."""
    with open_engine(url).connect() as connection:
        return {str(id_) for (id_,) in connection.exec_driver_sql("SELECT id FROM quote")}


def does_not_start(release: Path, url: str) -> None:
    """A release ends when it is started on a database, names the revision it finds there, and has
    changed nothing."""
    state = read_state(url)
    done = subprocess.run(
        command_of(release, "serve", "--port", "0"),
        cwd=release,
        env={**os.environ, "SERVICE_DATABASE_URL": url},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode != 0
    assert str(state[0]) in done.stderr
    assert read_state(url) == state


def test_an_upgrade_loses_nothing_and_fails_nobody(empty_url: str, last_release: Path) -> None:
    """The last release runs under load and is stopped; this one takes its database over and runs
    under the same load. No call fails, and each quote is there as it was acknowledged. Afterwards
    the last release doesn't start on the newer tables."""
    with running_release(last_release, empty_url) as (_, port):
        before = MixedLoad(port, "request")
        before.work(SECONDS / 2)
    assert ids_there(empty_url) == set(before.kept)
    with running_service(log=subprocess.DEVNULL, SERVICE_DATABASE_URL=empty_url) as (_, port):
        after = MixedLoad(port)
        after.work(SECONDS / 2)
        for id_, total in before.kept.items():
            answer = after.ask("kept", "GET", f"{SAVED}/{id_}/revisions/1/answer")
            assert answer["price"]["total"] == total
    print(before.seen, after.seen, len(before.kept), len(after.kept))  # noqa: T201  the counts
    assert before.seen.keys() == GOOD
    assert after.seen.keys() == GOOD | {"kept 200"}
    does_not_start(last_release, empty_url)
    assert ids_there(empty_url) == set(before.kept) | set(after.kept)


def test_a_service_whose_tables_moved_on_says_so_and_writes_nothing(
    empty_url: str, tmp_path: Path
) -> None:
    """A release that runs on while the next one brings the tables to its own, under load: what
    was acknowledged before is there, nothing is after, each call is answered or 503
    `storage-behind`, quotes go on; and it heals when the tables are its own again."""
    with running_service(log=subprocess.DEVNULL, SERVICE_DATABASE_URL=empty_url) as (_, port):
        load = MixedLoad(port)
        with load.at_work():
            load.wait_for(lambda: load.count("preview") > 0)
            move_on(empty_url, tmp_path)
            there, quotes = ids_there(empty_url), load.count("quote")
            time.sleep(SECONDS / 4)
            load.wait_for(lambda: load.count(BEHIND) >= FEWEST)
            load.wait_for(lambda: load.count("quote") > quotes)
            assert load.ask("ready", "GET", "/health/ready")["code"] == BEHIND
            assert ids_there(empty_url) == there
            move_back(empty_url, tmp_path)
            saved = load.count("201")
            load.wait_for(lambda: load.count("201") > saved)
    print(load.seen)  # noqa: T201  the counts belong into the log
    behind = {f"{what} {BEHIND}" for what in ("save", "read", "list", "preview", "ready")}
    assert load.seen.keys() == GOOD | behind
    assert ids_there(empty_url) == set(load.kept)
