"""The service in a process of its own whose files may not grow beyond a size: a disk that is full
at every level, and has room again."""

from __future__ import annotations

import json
import resource
import sqlite3
import subprocess
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from service.cli.loopback import call
from tests.faults.test_bad_days import Caller
from tests.given.counts import count_of
from tests.given.service_process import HOST, running_service

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

LEVELS = count_of("LEVELS", 12)
# A log that is begun anew has room in itself: more levels need not refuse more.
LEAST_REFUSED = 12
# From no room at all to some that lasts for a few saves, in so many steps.
STEP = 4096 * 36 // LEVELS
REFUSED = {503: {"storage-unavailable", "storage-full"}, 507: {"storage-full"}}


def size_of(file: Path) -> int:
    """The larger of the file and its log."""
    sizes = [each.stat().st_size for each in file.parent.glob(f"{file.name}*")]
    return max(sizes)


def test_a_full_disk_loses_and_breaks_nothing(tmp_path: Path) -> None:
    """With room for ever more pages and then none, each save is kept or refused, never 500; reads
    go on; with room again the next one is kept; every acknowledged quote is there, the file is
    whole. The control is that saves are refused at all."""
    file = tmp_path / "store.sqlite"
    kept: list[str] = []
    seen: Counter[str] = Counter()
    settings = {"SERVICE_DATABASE_URL": f"sqlite:///{file}"}
    with running_service(log=subprocess.DEVNULL, **settings) as (process, port):
        caller = Caller(port)
        unlimited = (resource.RLIM_INFINITY, resource.RLIM_INFINITY)
        for level in range(LEVELS):
            room = (size_of(file) + level * STEP, resource.RLIM_INFINITY)
            resource.prlimit(process.pid, resource.RLIMIT_FSIZE, room)
            for _ in range(3):
                answered = caller.save()
                document = json.loads(answered.body)
                seen[document.get("code", "kept")] += 1
                if answered.status == 201:
                    kept.append(document["id"])
                else:
                    assert document["code"] in REFUSED[answered.status]
            assert caller.quote().status == 200
            assert call(f"http://{HOST}:{port}", "GET", "/v1/saved-quotes", b"", {}).status == 200
            resource.prlimit(process.pid, resource.RLIMIT_FSIZE, unlimited)
            answered = caller.save()
            assert answered.status == 201
            kept.append(json.loads(answered.body)["id"])
            assert caller.ask("GET", "/health/ready").status == 200
    print(dict(seen))  # noqa: T201  the counts belong into the log
    assert seen.total() - seen["kept"] >= LEAST_REFUSED
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        there = {name for (name,) in connection.execute("SELECT id FROM quote")}
    assert set(kept) <= there
