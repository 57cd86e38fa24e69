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

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.repricing.repricing import RepricingDisagreesError, fail_repricing, work_off
from service.operations.repricing.repricing_reads import RepricingUnknownError
from service.operations.saved.waiting_answers import FIRST, make_next
from service.storage import StorageError, Store
from service.storage import repricing_leases as leases

LEASE_SECONDS = 20
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
        self._made = FIRST
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
            run_id = self._lease(store)
            if run_id is None:
                return self._make_answers(store)
            self._work_off(store, run_id)
        except StorageError:
            # The database is full or away: what is done stands, and the lease runs out.
            _log.warning("re-pricing waits for the database")
            return False
        return True

    def _make_answers(self, store: Store) -> bool:
        """Make some answers that wait, from where it went on last time; False at their end."""
        found = make_next(store, self._find_catalog(), self._made)
        self._made = found or FIRST
        return found is not None

    def _lease(self, store: Store) -> str | None:
        with store.read() as connection:
            if not leases.has_open_runs(connection):
                return None
        with store.write() as connection:
            run = leases.lease_run(connection, self.owner, store.now(), LEASE_SECONDS)
        return None if run is None else run.asked.id

    def _work_off(self, store: Store, run_id: str) -> None:
        def after_chunk(_chunk: int) -> bool:
            going_on = not self._stopping.is_set()
            until = store.now() + LEASE_SECONDS if going_on else 0
            with store.write() as connection:
                return leases.renew_lease(connection, run_id, self.owner, until) and going_on

        try:
            work_off(store, self._find_catalog(), run_id, after_chunk)
        except StorageError:
            raise
        except (QuoteFaultsError, RepricingUnknownError, RepricingDisagreesError) as error:
            self._fail(store, run_id, str(error))
        except Exception as error:  # noqa: BLE001  (nobody else would end the run)
            # A run that can't go on must not be taken up again and again.
            _log.exception("re-pricing failed", extra={"error_type": type(error).__name__})
            self._fail(store, run_id, "a fault of the service; its log says more")

    @staticmethod
    def _fail(store: Store, run_id: str, why: str) -> None:
        with store.write() as connection:
            fail_repricing(connection, run_id, why, store.now())
