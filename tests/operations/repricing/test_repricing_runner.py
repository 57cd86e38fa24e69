"""The thread that works off runs, and makes answers that wait when nothing else is to be done."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from service.catalog import Catalog
from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_reads import read_repricing
from service.operations.repricing.repricing_runner import RepricingRunner
from service.operations.saved.waiting_answers import AT_ONCE
from service.storage import Store
from service.storage.repricing_leases import lease_run, take_run
from service.storage.saved_quotes import find_revision
from service.storage.waiting_drafts import find_waiting
from tests.given.repricings import items_of, save_many, start
from tests.given.stores import Clock

SECONDS = 30.0


@pytest.fixture
def most_kept_whole(monkeypatch: pytest.MonkeyPatch) -> int:
    """Every write is a large one."""
    monkeypatch.setattr("service.operations.repricing.repricing_start.MOST_AT_ONCE", 0)
    return 0


@contextmanager
def running(store: Store, catalog: Catalog) -> Iterator[None]:
    """A runner at work, stopped at the end."""
    runner = RepricingRunner(lambda: store, lambda: catalog)
    runner.wake()
    try:
        yield
    finally:
        runner.stop()


def becomes(is_so: Callable[[], bool]) -> bool:
    """Whether something is so before long."""
    end = time.monotonic() + SECONDS
    while time.monotonic() < end:
        if is_so():
            return True
        time.sleep(0.01)
    return False


def waiting(store: Store) -> int:
    """How many answers wait."""
    with store.read() as connection:
        return len(find_waiting(connection, limit=1000))


def test_a_runner_takes_up_what_was_left_when_the_clock_was_set_back(
    store: Store, spring: Catalog, clock: Clock
) -> None:
    """2026-11-29. A run whose worker was killed while the clock was a day ahead is nobody's once
    it is set right; one that is held by the right clock is left alone."""
    save_many(store, spring, 1)
    begun = start(store, spring).asked.id
    with store.write() as connection:
        take_run(connection, begun, "killed", store.now() + 60)
        assert lease_run(connection, "other", store.now(), 20) is None
    clock.seconds -= 86_400
    with store.write() as connection:
        assert read_repricing(connection, begun, store.now()).status == "waiting"
        taken = lease_run(connection, "other", store.now(), 20)
    assert taken is not None
    assert taken.asked.id == begun


@pytest.mark.no_cover  # others run the same lines
def test_an_idle_runner_makes_the_answers_that_wait(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """More answers than are made in one transaction, with nobody who reads them: all are made, at
    the totals of the run."""
    ids = save_many(store, spring, 2 * AT_ONCE + 3)
    preview = start(store, summer).asked.id
    work_off(store, summer, preview)
    run_id = start(store, summer, mode="write", preview=preview).asked.id
    work_off(store, summer, run_id)
    assert waiting(store) == len(ids)
    with running(store, summer):
        assert becomes(lambda: waiting(store) == 0)
    totals = {item["id"]: item["new_total"] for item in items_of(store, run_id)}
    with store.read() as connection:
        for quote_id in ids:
            made = find_revision(connection, quote_id, 2)
            assert made is not None
            assert json.loads(made.answer)["price"]["total"] == totals[quote_id]


def test_a_runner_does_runs_before_answers(store: Store, spring: Catalog, summer: Catalog) -> None:
    """A run that waits is over by the time that any answer of an earlier one has been made."""
    save_many(store, spring, AT_ONCE)
    preview = start(store, summer).asked.id
    work_off(store, summer, preview)
    work_off(store, summer, start(store, summer, mode="write", preview=preview).asked.id)
    later = start(store, summer).asked.id

    def is_over() -> bool:
        with store.read() as connection:
            left = len(find_waiting(connection, limit=1000))
            status = read_repricing(connection, later, store.now()).status
        assert status == "succeeded" or left == AT_ONCE
        return status == "succeeded" and left == 0

    with running(store, summer):
        assert becomes(is_over)
