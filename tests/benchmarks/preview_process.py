"""A process that previews every quote of a store: prints its seconds and its peak memory in KiB.

python -m tests.benchmarks.preview_process URL
"""

from __future__ import annotations

import resource
import sys
import time

from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_start import read_repricing_request, start_repricing
from service.storage import Store
from tests.benchmarks.season import catalog_with, price_list


def main(url: str) -> None:
    """Preview everything."""
    catalog = catalog_with(price_list(2, "1.043"))
    store = Store.open(url)
    began = time.process_time()
    request = read_repricing_request({"price_list": "yard_2026"}, catalog)
    with store.write() as connection:
        run = start_repricing(connection, request, catalog, store.now())
    work_off(store, catalog, run.asked.id)
    seconds = time.process_time() - began
    sys.stdout.write(f"{seconds} {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss}\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
