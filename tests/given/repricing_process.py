"""Processes that work off a re-pricing, to be killed: each says where it is.

    python -m tests.given.repricing_process URL CATALOG_FOLDER RUN_ID

Loads what is needed once. For every line that it reads it starts one process and waits until that
is gone. The process prints `ready` and its number once it has the database open, `chunk` after
each chunk, and `over` at its end; `gone` is printed after it, however it ended.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from service.catalog import Catalog, load_catalog
from service.operations.repricing.repricing import work_off
from service.storage import Store


def work(url: str, catalog: Catalog, run_id: str) -> None:
    """Work off a run."""
    store = Store.open(url)
    with store.read():
        pass
    say(f"ready {os.getpid()}")
    work_off(store, catalog, run_id, lambda _chunk: say("chunk"))
    say("over")


def say(words: str) -> bool:
    """Print a line at once."""
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()
    return True


def main(url: str, folder: str, run_id: str) -> None:
    """Start a process for every line."""
    catalog = load_catalog([Path(folder)])
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            work(url, catalog, run_id)
            os._exit(0)
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main(*sys.argv[1:])
