"""Works off re-pricing runs in a thread of the service's process.

Any number of processes may share a database: a run belongs to whoever holds its lease, and the
lease of a process that died runs out. Then another one, or the same one started again, goes on
at the first chunk that isn't done. When no run is left, answers of drafts are made that wait.
"""

from __future__ import annotations

import logging
import secrets
import threading
from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING

from service.catalog import Catalog
from service.storage import StorageError

if TYPE_CHECKING:
    from service.operations.repricing.repricing_turns import RepricingTurns
    from service.storage import Store

POLL_SECONDS = 5.0

_log = logging.getLogger("service.repricing")


class RepricingRunner:
    """One thread that does runs one after the other; started by its first `wake`.

    `find_store` gives the database, or None while it has not been opened; it is never opened
    here, so that a service that only quotes needs none.
    """

    def __init__(
        self, find_store: Callable[[], Store | None], find_catalog: Callable[[], Catalog]
    ) -> None:
        self.owner = f"service_{secrets.token_hex(8)}"
        self._find_store = find_store
        self._find_catalog = find_catalog
        self._wake = threading.Event()
        self._stopping = threading.Event()
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None

    def wake(self) -> None:
        """Look for runs now."""
        with self._lock:
            if self._thread is None and not self._stopping.is_set():
                self._thread = threading.Thread(target=self._loop, name="repricing", daemon=True)
                self._thread.start()
        self._wake.set()

    def stop(self) -> None:
        """End after the chunk that is being done, and let go of its run."""
        self._stopping.set()
        self._wake.set()
        thread = self._thread
        if thread is not None:
            thread.join()

    def _loop(self) -> None:
        while not self._stopping.is_set():
            if not self._work():
                self._wake.wait(POLL_SECONDS)
                self._wake.clear()

    def _work(self) -> bool:
        """Do the next run, as far as it goes; False when there is none, or no database."""
        store = self._find_store()
        if store is None:
            return False
        try:
            return self._turns.next(store)
        except StorageError:
            # The database is full or away: what is done stands, and the lease runs out.
            _log.warning("re-pricing waits for the database")
            return False

    @cached_property
    def _turns(self) -> RepricingTurns:
        from service.operations.repricing.repricing_turns import RepricingTurns  # noqa: PLC0415

        return RepricingTurns(self.owner, self._find_catalog, self._stopping.is_set)
