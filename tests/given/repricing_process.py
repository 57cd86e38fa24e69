"""A process that works off a re-pricing, to be killed: says `ready`, then does chunk by chunk.

python -m tests.given.repricing_process URL CATALOG_FOLDER RUN_ID
"""

from __future__ import annotations

import sys
from pathlib import Path

from service.catalog import load_catalog
from service.operations.repricing.repricing import work_off
from service.storage import Store


def main(url: str, folder: str, run_id: str) -> None:
    """Work off a run."""
    store = Store.open(url)
    catalog = load_catalog([Path(folder)])
    with store.read():
        pass
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    work_off(store, catalog, run_id)


if __name__ == "__main__":
    main(*sys.argv[1:])
