"""Makes, changes and ends webhooks. Each step is a part of its caller's transaction."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from typing import ClassVar

from service.core.errors import QuoteRefusedError
from service.operations.callers.webhook_answer import webhook_tag
from service.operations.callers.webhook_message import told_of
from service.operations.callers.webhook_request import WebhookRequest
from service.operations.conditions import Conditions
from service.storage import Connection, Store, webhook_deliveries, webhooks
from service.storage.events import record
from service.storage.webhook_deliveries import Delivery
from service.storage.webhooks import Webhook


class WebhookUnknownError(QuoteRefusedError):
    """There is no such webhook."""

    code: ClassVar = "unknown-webhook"


class DeliveryUnknownError(QuoteRefusedError):
    """The webhook has no such delivery."""

    code: ClassVar = "unknown-delivery"


def new_id() -> str:
    """The id of a webhook that is to be made."""
    return f"w{secrets.token_hex(8)}"


def make_webhook(
    connection: Connection,
    webhook_id: str,
    asked: WebhookRequest,
    sealed: bytes,
    at: tuple[int, str],
) -> Webhook:
    """Keep a webhook; events are sent that come after it. `at`: the moment, and who does it."""
    now, by = at
    seen = _tell(connection, webhook_id, "made", at)
    webhook = Webhook(
        id=webhook_id,
        url=asked.url,
        types=tuple(dict.fromkeys(asked.types)),
        made_at=now,
        made_by=by,
        version=1,
        seen=seen,
        before_ends_at=None,
        failing_since=None,
        off_at=None,
        off_why=None,
    )
    webhooks.add_webhook(connection, webhook, sealed)
    return webhook


def replace_webhook(
    connection: Connection,
    webhook_id: str,
    asked: WebhookRequest,
    conditions: Conditions,
    at: tuple[int, str],
) -> Webhook:
    """Send other events, or elsewhere; one that was switched off is on again, and is sent what
    waits. Raises WebhookUnknownError, and what conditions raise."""
    conditions.check(webhook_tag(known_webhook(connection, webhook_id, lock=True)))
    types = " ".join(dict.fromkeys(asked.types))
    on = {"off_at": None, "off_why": None, "failing_since": None}
    webhooks.change_webhook(connection, webhook_id, url=asked.url, types=types, **on)
    webhook_deliveries.send_now(connection, webhook_id, at[0])
    _tell(connection, webhook_id, "replaced", at)
    return known_webhook(connection, webhook_id)


def rotate_secret(
    connection: Connection, webhook_id: str, sealed: bytes, overlap: int, at: tuple[int, str]
) -> Webhook:
    """Sign with a new secret, and for `overlap` seconds with the old one as well. Raises
    WebhookUnknownError."""
    known_webhook(connection, webhook_id, lock=True)
    now = at[0]
    old = webhooks.find_sealed(connection, webhook_id, now).secret if overlap else None
    ends = now + overlap if overlap else None
    changed: Mapping[str, object] = {
        "secret": sealed,
        "secret_before": old,
        "before_ends_at": ends,
    }
    webhooks.change_webhook(connection, webhook_id, **changed)
    _tell(connection, webhook_id, "rotated", at)
    return known_webhook(connection, webhook_id)


def end_webhook(connection: Connection, webhook_id: str, at: tuple[int, str]) -> None:
    """Send nothing more, and forget where to. Raises WebhookUnknownError."""
    known_webhook(connection, webhook_id, lock=True)
    webhooks.drop_webhook(connection, webhook_id)
    _tell(connection, webhook_id, "ended", at)


def try_webhook(connection: Connection, webhook_id: str, at: tuple[int, str]) -> Delivery:
    """Let a test be sent, which is tried once. Raises WebhookUnknownError."""
    known_webhook(connection, webhook_id, lock=True)
    return webhook_deliveries.add_delivery(connection, webhook_id, None, *at)


def redeliver(
    connection: Connection, webhook_id: str, delivery_id: str, at: tuple[int, str]
) -> Delivery:
    """Send once more what was sent, or now what waits. Raises WebhookUnknownError,
    DeliveryUnknownError."""
    known_webhook(connection, webhook_id, lock=True)
    first = webhook_deliveries.find_delivery(connection, webhook_id, delivery_id)
    if first is None:
        raise DeliveryUnknownError(
            f"There is no delivery {delivery_id}: its `deliveries` are kept for 30 days."
        )
    if first.status != "waiting":
        return webhook_deliveries.add_delivery(connection, webhook_id, first, *at)
    webhook_deliveries.update_delivery(connection, delivery_id, next_at=at[0])
    return webhook_deliveries.find_delivery(connection, webhook_id, delivery_id) or first


def known_webhook(connection: Connection, webhook_id: str, *, lock: bool = False) -> Webhook:
    """A webhook by its id. Raises WebhookUnknownError."""
    webhook = webhooks.find_webhook(connection, webhook_id, lock=lock)
    if webhook is None:
        raise WebhookUnknownError(f"There is no webhook {webhook_id}: GET /v1/webhooks lists them.")
    return webhook


def has_switched_off(store: Store) -> bool:
    """Whether there is a webhook to which nothing is sent any more. Raises StorageError."""
    with store.read() as connection:
        return any(each.off_at is not None for each in webhooks.list_webhooks(connection))


def _tell(connection: Connection, webhook_id: str, change: str, at: tuple[int, str]) -> int:
    now, by = at
    data = {**told_of(webhook_id), "change": change}
    return record(connection, "webhook.changed", data, by=by, now=now, subject=webhook_id)
