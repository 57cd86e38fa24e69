"""The thread that sends: who begins, and when."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from service.operations.callers import webhook_runner
from service.operations.callers.webhook_runner import WebhookRunner
from service.storage import Connection, StorageGoneError, Store, webhooks
from tests.given.listener import Listener, listening
from tests.given.webhooks import box_in, happened, made_webhook


@contextmanager
def running(store: Store | None, folder: Path, listener: Listener) -> Iterator[WebhookRunner]:
    """A process that may send to a listener."""
    box = box_in(folder)
    runner = WebhookRunner(lambda: store, lambda _store: box, frozenset({place(listener)}))
    runner.start()
    yield runner
    runner.stop()


def place(listener: Listener) -> str:
    """Where a listener listens."""
    return f"127.0.0.1:{listener.port}"


def wait_for(listener: Listener, id_: str) -> None:
    """Until a message came."""
    end = time.monotonic() + 10
    while id_ not in [headers["webhook-id"] for headers, _ in listener.requests]:
        assert time.monotonic() < end, f"{id_} didn't come"
        time.sleep(0.01)


def test_runner_sends_for_a_webhook_that_another_process_made(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process that began without a webhook finds the first one by itself: the process that made
    it may be gone."""
    monkeypatch.setattr(webhook_runner, "LOOK_SECONDS", 0.02)
    with listening() as listener, running(store, tmp_path, listener):
        made_webhook(store, box_in(tmp_path), url=f"http://{place(listener)}/")
        wait_for(listener, happened(store, "q1"))


def test_runner_without_webhooks_only_looks(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where there is no webhook nothing is taken up, whatever happens; what sends isn't made."""
    monkeypatch.setattr(webhook_runner, "LOOK_SECONDS", 0.0)
    has_any, third = webhooks.has_webhooks, threading.Event()
    looks: list[Connection] = []
    sends: list[WebhookRunner] = []

    def look(connection: Connection) -> bool:
        looks.append(connection)
        if len(looks) >= 3:
            third.set()
        return has_any(connection)

    monkeypatch.setattr(webhooks, "has_webhooks", look)
    monkeypatch.setattr(WebhookRunner, "_work", sends.append)
    happened(store, "q1")
    with listening() as listener, running(store, tmp_path, listener) as runner:
        runner.wake()
        assert third.wait(20)
        assert not sends


def test_runner_begins_at_once_when_told(store: Store, tmp_path: Path) -> None:
    """The process in which the first webhook is made doesn't wait for its next look."""
    with listening() as listener, running(store, tmp_path, listener) as runner:
        made_webhook(store, box_in(tmp_path), url=f"http://{place(listener)}/")
        id_ = happened(store, "q1")
        runner.begin()
        wait_for(listener, id_)


def test_runner_looks_again_when_the_database_is_back(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A database that gives no answer at the first look is asked again."""
    monkeypatch.setattr(webhook_runner, "LOOK_SECONDS", 0.02)
    has_any, looks = webhooks.has_webhooks, []

    def fail_first(connection: Connection) -> bool:
        looks.append(connection)
        if len(looks) == 1:
            raise StorageGoneError("x")
        return has_any(connection)

    monkeypatch.setattr(webhooks, "has_webhooks", fail_first)
    with listening() as listener:
        made_webhook(store, box_in(tmp_path), url=f"http://{place(listener)}/")
        id_ = happened(store, "q1")
        with running(store, tmp_path, listener):
            wait_for(listener, id_)


def test_runner_ends_soon_where_nothing_is_sent(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever stops it while it waits for its next look isn't kept until then."""
    monkeypatch.setattr(webhook_runner, "LOOK_SECONDS", 20)
    with listening() as listener:
        for database in (store, None):
            with running(database, tmp_path, listener) as runner:
                time.sleep(0.1)
                began = time.monotonic()
                runner.stop()
                assert time.monotonic() - began < 10
