"""A process that previews every quote of a store, and writes if it is told: prints of both the CPU
seconds and what all quotes cost then, and its peak memory in KiB.

python -m tests.benchmarks.preview_process URL COUNT [write]
"""

from __future__ import annotations

import os
import re
import sys
import time
from pathlib import Path

from sqlalchemy import text

from service.catalog import Catalog
from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_reads import read_repricing
from service.operations.repricing.repricing_start import read_repricing_request, start_repricing
from service.storage import Store
from tests.benchmarks.season import catalog_with, price_list


def run(store: Store, catalog: Catalog, **asked: object) -> tuple[str, float]:
    """A run from its start to its end: its id, and the CPU seconds that it took."""
    began = spent(store)
    request = read_repricing_request(asked, catalog)
    with store.write() as connection:
        started = start_repricing(connection, request, catalog, store.now())
    work_off(store, catalog, started.asked.id)
    return started.asked.id, spent(store) - began


def spent(store: Store) -> float:
    """CPU seconds of this process so far and, on PostgreSQL, of the processes that serve the
    database on this machine."""
    return time.process_time() + (served(store) if store.url.startswith("postgresql") else 0.0)


def served(store: Store) -> float:
    """CPU seconds so far of the server's processes that have connections to a database."""
    pids = text("SELECT pid FROM pg_stat_activity WHERE datname = current_database()")
    with store.read() as connection:
        found = connection.execute(pids).scalars().all()
    # User and system time are the 14th and 15th field; the second, a name, ends with a bracket.
    fields = [Path(f"/proc/{pid}/stat").read_text("ascii").rpartition(")")[2] for pid in found]
    ticks = sum(int(each) for line in fields for each in line.split()[11:13])
    return ticks / os.sysconf("SC_CLK_TCK")


def new_total(store: Store, run_id: str, count: int) -> str:
    """What all quotes of a run cost at its prices; each of them is in it."""
    with store.read() as connection:
        found = read_repricing(connection, run_id, store.now())
    if (found.status, found.counts.changed, found.counts.failed) != ("succeeded", count, 0):
        raise RuntimeError(f"{found.status}: {found.counts}, of {count}")
    return found.summary.new_total


def main(url: str, count: str, mode: str = "preview") -> None:
    """Preview so many quotes, and write them if that is asked for."""
    catalog = catalog_with(price_list(2, "1.043"))
    store = Store.open(url)
    preview, seconds = run(store, catalog, price_list="yard_2026")
    written, writing = preview, 0.0
    if mode == "write":
        written, writing = run(store, catalog, mode="write", preview=preview)
    totals = [new_total(store, each, int(count)) for each in (preview, written)]
    # Not `ru_maxrss`, which begins at the memory of the process that started this one.
    (peak,) = re.findall(r"VmHWM:\s+(\d+) kB", Path("/proc/self/status").read_text("ascii"))
    sys.stdout.write(f"{seconds} {writing} {peak} {' '.join(totals)}\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
