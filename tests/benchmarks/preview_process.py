"""A process that previews every quote of a store, and writes if it is told: prints the CPU seconds
of both and its peak memory in KiB.

python -m tests.benchmarks.preview_process URL [write]
"""

from __future__ import annotations

import resource
import sys
import time

from service.catalog import Catalog
from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_start import read_repricing_request, start_repricing
from service.storage import Store
from tests.benchmarks.season import catalog_with, price_list


def run(store: Store, catalog: Catalog, **asked: object) -> tuple[str, float]:
    """A run from its start to its end: its id, and the CPU seconds that it took."""
    began = time.process_time()
    request = read_repricing_request(asked, catalog)
    with store.write() as connection:
        started = start_repricing(connection, request, catalog, store.now())
    work_off(store, catalog, started.asked.id)
    return started.asked.id, time.process_time() - began


def main(url: str, mode: str = "preview") -> None:
    """Preview everything, and write it if that is asked for."""
    catalog = catalog_with(price_list(2, "1.043"))
    store = Store.open(url)
    preview, seconds = run(store, catalog, price_list="yard_2026")
    writing = 0.0
    if mode == "write":
        _, writing = run(store, catalog, mode="write", preview=preview)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    sys.stdout.write(f"{seconds} {writing} {peak}\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
