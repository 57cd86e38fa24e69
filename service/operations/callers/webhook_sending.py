"""Sends what waits for webhooks, as the one process that does.

What is sent follows from the events: each is taken up once, in one transaction with the place up to
which they were looked at, and is sent until a receiver takes it. A process that dies between the
sending and the noting of it sends again, with the same id: at least once, and nothing is lost.
"""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass

import msgspec

from service.operations.callers.event_list import event_answer
from service.operations.callers.retries import is_delivered, seconds_to_next, why_off
from service.operations.callers.webhook_message import WebhookMessage, told_of
from service.operations.callers.webhook_secrets import message_headers
from service.operations.saved.saved_quote_answer import instant
from service.sending.errors import SecretFileError
from service.sending.line import Answered, send
from service.sending.sealed import SecretBox
from service.sending.targets import Target, TargetRefusedError, read_target
from service.storage import Connection, Store, webhook_deliveries, webhooks
from service.storage.events import Event, find_kept, record
from service.storage.webhook_deliveries import TEST, Delivery
from service.storage.webhooks import OffWhy, Sealed, Webhook

LEASE_SECONDS = 20
# How many webhooks are sent to at once: one that is slow keeps few others waiting.
MOST_AT_ONCE = 8
_LOOK_SECONDS = 2.0
_CHANCE = secrets.SystemRandom()

Send = Callable[[Target, Mapping[str, str], bytes], Answered]
_log = logging.getLogger("service.webhooks")


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """A message that is to be sent now, and what it is made of."""

    webhook: Webhook
    delivery: Delivery
    event: Event | None
    sealed: Sealed


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What an attempt came to: `why` tells why there was no answer. `is_over`: no other can come
    to more."""

    due: Due
    answered: int | None = None
    why: str | None = None
    retry_after: int | None = None
    is_over: bool = False


class WebhookSender:
    """Sends for one process. `allowed` are targets free of the rules (service/sending/targets.py),
    `public_url` is what addresses in messages begin with.

    `send` is what sends a body; `chance` a number from 0 to 1 that spreads the times of retries.
    """

    def __init__(
        self,
        store: Store,
        box: SecretBox,
        owner: str,
        *,
        allowed: frozenset[str] = frozenset(),
        public_url: str = "",
        send: Send = send,
        chance: Callable[[], float] = _CHANCE.random,
    ) -> None:
        self._store = store
        self._box = box
        self._owner = owner
        self._allowed = allowed
        self._public_url = public_url
        self._send = send
        self._chance = chance

    def has_work(self) -> bool:
        """Whether there is something to take up or to send; only reads."""
        with self._store.read() as connection:
            last, now = find_kept(connection).last, self._store.now()
            return any(
                (each.off_at is None and each.seen < last)
                or webhook_deliveries.find_due(connection, each, now) is not None
                for each in webhooks.list_webhooks(connection)
            )

    def deliver(self, is_stopping: Callable[[], bool] = lambda: False) -> bool:
        """Send until nothing is due, or `is_stopping`; False where another process sends.

        What is under way when it ends is waited for. Raises StorageError.
        """
        under_way: dict[Future[Tried], Due] = {}
        done: list[Tried] = []
        with ThreadPoolExecutor(MOST_AT_ONCE, thread_name_prefix="webhook") as pool:
            while True:
                with self._store.write() as connection:
                    if not self._hold(connection):
                        return False
                    off = self._settle(connection, done)
                    busy = {due.webhook.id for due in under_way.values()}
                    chosen = [] if is_stopping() else self._choose(connection, busy)
                    is_over = not chosen and not under_way
                    if is_over:
                        webhooks.leave_lease(connection, self._owner)
                    self._tell(connection, off)
                if is_over:
                    return True
                under_way |= {pool.submit(self._try, due): due for due in chosen}
                ended, _ = wait(under_way, _LOOK_SECONDS, FIRST_COMPLETED)
                done = [future.result() for future in ended]
                for future in ended:
                    del under_way[future]

    def _hold(self, connection: Connection) -> bool:
        now = self._store.now()
        return webhooks.take_lease(connection, self._owner, now, LEASE_SECONDS)

    def _choose(self, connection: Connection, busy: set[str]) -> list[Due]:
        """Take up new events, and find what is to be sent first to each webhook to which nothing
        is under way."""
        now = self._store.now()
        chosen: list[Due] = []
        for webhook in webhooks.list_webhooks(connection, lock=True):
            if webhook.off_at is None:
                webhook_deliveries.take_up(connection, webhook, now)
            if len(busy) + len(chosen) >= MOST_AT_ONCE or webhook.id in busy:
                continue
            delivery = webhook_deliveries.find_due(connection, webhook, now)
            if delivery is not None:
                chosen.append(_due(connection, webhook, delivery, now))
        return chosen

    def _try(self, due: Due) -> Tried:
        """One attempt. Whatever happens is told by what is returned."""
        if due.event is None and due.delivery.event is not None:
            return Tried(due=due, why="event-gone", is_over=True)
        message = _message(due, self._public_url)
        try:
            target = read_target(due.webhook.url, self._allowed)
            headers = message_headers(
                self._box, due.webhook.id, due.sealed, message, self._store.now()
            )
            answered = self._send(target, headers, message[1])
        except TargetRefusedError:
            return Tried(due=due, why="target-refused")
        except SecretFileError as error:
            _log.error("a webhook's secret can't be read: %s", error)
            return Tried(due=due, why="secret-unreadable")
        except Exception as error:  # noqa: BLE001  (one message must not stop all others)
            _log.error("sending failed", extra={"error_type": type(error).__name__})
            return Tried(due=due, why="unreachable")
        return Tried(
            due=due,
            answered=answered.status,
            why=answered.why,
            retry_after=answered.retry_after,
        )

    def _settle(self, connection: Connection, done: list[Tried]) -> list[tuple[Webhook, OffWhy]]:
        """Note what attempts came to, and switch off what has failed for too long: which, and why.

        Webhooks are held before anything of theirs is written, as by whoever changes one."""
        kept = {each.id: each for each in webhooks.list_webhooks(connection, lock=True)}
        off: list[tuple[Webhook, OffWhy]] = []
        for tried in done:
            webhook = kept.get(tried.due.webhook.id)
            why = self._note(connection, tried, webhook) if webhook else None
            if webhook and why and webhook.off_at is None:
                at = self._store.now()
                webhooks.change_webhook(connection, webhook.id, off_at=at, off_why=why)
                off.append((webhook, why))
        return off

    def _tell(self, connection: Connection, off: list[tuple[Webhook, OffWhy]]) -> None:
        """Tell what was switched off, last in a transaction."""
        now = self._store.now()
        for webhook, why in off:
            by, subject = webhook.made_by, webhook.id
            data = {**told_of(webhook.id), "why": why}
            record(connection, "webhook.switched_off", data, by=by, now=now, subject=subject)

    def _note(self, connection: Connection, tried: Tried, webhook: Webhook) -> OffWhy | None:
        """Note an attempt; why its webhook is to be switched off, or None. One that failed says
        nothing of a webhook that was changed meanwhile."""
        now, delivery = self._store.now(), tried.due.delivery
        attempts = delivery.attempts + 1
        taken = is_delivered(tried.answered)
        changed = webhook.version != tried.due.webhook.version
        if changed and not taken and not tried.is_over and delivery.event is not None:
            return None
        seconds = None
        if not taken and not tried.is_over and delivery.event is not None:
            chance = self._chance()
            seconds = seconds_to_next(attempts, tried.answered, tried.retry_after, chance)
        failed = "failed" if seconds is None else "waiting"
        webhook_deliveries.update_delivery(
            connection,
            delivery.id,
            status="delivered" if taken else failed,
            attempts=attempts,
            tried_at=now,
            next_at=None if seconds is None else now + seconds,
            answered=tried.answered,
            why=tried.why,
        )
        return _failing(connection, tried, webhook, now)


def _failing(connection: Connection, tried: Tried, webhook: Webhook, now: int) -> OffWhy | None:
    """Note since when a webhook fails; why it is to be switched off, or None. A test that fails
    says nothing."""
    since = webhook.failing_since
    if is_delivered(tried.answered):
        if since is not None:
            webhooks.set_failing(connection, webhook.id, None)
        return None
    if tried.due.delivery.event is None or tried.is_over:
        return None
    if since is None:
        webhooks.set_failing(connection, webhook.id, now)
    return why_off(tried.answered, now if since is None else since, now)


def _due(connection: Connection, webhook: Webhook, delivery: Delivery, now: int) -> Due:
    number = delivery.event
    return Due(
        webhook=webhook,
        delivery=delivery,
        event=None if number is None else webhook_deliveries.find_event(connection, number),
        sealed=webhooks.find_sealed(connection, webhook.id, now),
    )


def _message(due: Due, public_url: str) -> tuple[str, bytes]:
    """The id of a message, and its body: the event as it is told to whoever asks, or a test."""
    event, delivery = due.event, due.delivery
    if event is not None:
        return str(event.id), msgspec.json.encode(event_answer(event, public_url))
    test_id = delivery.again_of or delivery.id
    told = WebhookMessage(
        id=test_id,
        type=TEST,
        timestamp=instant(delivery.made_at),
        by=delivery.made_by,
        data=told_of(due.webhook.id, public_url),
    )
    return test_id, msgspec.json.encode(told)
