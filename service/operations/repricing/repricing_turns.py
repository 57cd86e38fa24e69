"""What one process does of the runs that wait: the next one, under a lease, as far as it goes."""

from __future__ import annotations

import logging
from collections.abc import Callable

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.repricing.repricing import RepricingDisagreesError, fail_repricing, work_off
from service.operations.repricing.repricing_reads import RepricingUnknownError
from service.operations.saved.waiting_answers import FIRST, make_next
from service.storage import StorageError, Store
from service.storage import repricing_leases as leases

LEASE_SECONDS = 20

_log = logging.getLogger("service.repricing")


class RepricingTurns:
    """Turns of `owner`, each on the catalog as it is then; a turn ends early when it is told to
    stop."""

    def __init__(
        self, owner: str, find_catalog: Callable[[], Catalog], is_stopping: Callable[[], bool]
    ) -> None:
        self._owner = owner
        self._find_catalog = find_catalog
        self._is_stopping = is_stopping
        self._made = FIRST

    def next(self, store: Store) -> bool:
        """Do the next run, or some answers that wait; False when there is neither. Raises
        StorageError: what is done stands, and the lease runs out."""
        run_id = self._lease(store)
        if run_id is None:
            return self._make_answers(store)
        self._work_off(store, run_id)
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
            run = leases.lease_run(connection, self._owner, store.now(), LEASE_SECONDS)
        return None if run is None else run.asked.id

    def _work_off(self, store: Store, run_id: str) -> None:
        def after_chunk(_chunk: int) -> bool:
            going_on = not self._is_stopping()
            until = store.now() + LEASE_SECONDS if going_on else 0
            with store.write() as connection:
                return leases.renew_lease(connection, run_id, self._owner, until) and going_on

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
