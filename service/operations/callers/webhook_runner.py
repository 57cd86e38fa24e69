"""Sends what waits for webhooks in a thread of a process: of a service, or of a worker.

Any number of processes may share a database: the one that holds the lease sends, and the lease of
one that died runs out. Where there is no webhook a process looks now and then whether another one
made the first; nothing else is looked for or loaded.
"""

from __future__ import annotations

import logging
import secrets
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING

from service.storage import StorageError

if TYPE_CHECKING:
    from service.operations.callers.webhook_sending import WebhookSender
    from service.sending.sealed import SecretBox
    from service.storage import Store

POLL_SECONDS = 2.0
# How often a process that knows of no webhook looks for one.
LOOK_SECONDS = 10.0

_log = logging.getLogger("service.webhooks")


class WebhookRunner:
    """One thread that sends, between `start` and `stop`, once there is a webhook.

    `find_store` gives the database, or None while it has not been opened; it is never opened here.
    """

    def __init__(
        self,
        find_store: Callable[[], Store | None],
        find_box: Callable[[Store], SecretBox],
        allowed: frozenset[str],
        public_url: str = "",
    ) -> None:
        self.owner = f"service_{secrets.token_hex(8)}"
        self._find_store = find_store
        self._find_box = find_box
        self._allowed = allowed
        self._public_url = public_url
        self._wake = threading.Event()
        self._stopping = threading.Event()
        self._has_any = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin to send, or to look whether there is a webhook."""
        self._thread = threading.Thread(target=self._loop, name="webhooks", daemon=True)
        self._thread.start()

    def begin(self) -> None:
        """There is a webhook: send from now on."""
        self._has_any.set()
        self._wake.set()

    def wake(self) -> None:
        """Something may have changed: look now, if somebody looks at all."""
        self._wake.set()

    def stop(self) -> None:
        """End after what is under way has been answered, and leave the lease."""
        self._stopping.set()
        self.begin()
        if self._thread is not None:
            self._thread.join()

    def _loop(self) -> None:
        while not self._stopping.is_set():
            self._wake.clear()
            if self._has_any.is_set() or self._finds_one():
                self._work()
                self._wake.wait(POLL_SECONDS)
            else:
                self._has_any.wait(LOOK_SECONDS)

    def _finds_one(self) -> bool:
        store = self._find_store()
        if store is None:
            return False
        from service.storage import webhooks  # noqa: PLC0415  its library is loaded with the store

        try:
            with store.read() as connection:
                found = webhooks.has_webhooks(connection)
        except StorageError:
            _log.warning("webhooks wait for the database")
            return False
        if found:
            self._has_any.set()
        return found

    def _work(self) -> None:
        """Send what is due, if this process may."""
        store = self._find_store()
        if store is None:
            return
        try:
            sender = self._sender(store)
            if sender.has_work():
                sender.deliver(self._stopping.is_set)
        except StorageError:
            # The database is full or away: what waits stays, and the lease runs out.
            _log.warning("webhooks wait for the database")
        except Exception as error:  # noqa: BLE001  (nobody else would go on)
            _log.error("webhooks failed", extra={"error_type": type(error).__name__})

    def _sender(self, store: Store) -> WebhookSender:
        from service.operations.callers.webhook_sending import WebhookSender  # noqa: PLC0415

        return WebhookSender(
            store,
            self._find_box(store),
            self.owner,
            allowed=self._allowed,
            public_url=self._public_url,
        )
