"""What is to be sent to webhooks, in which order, and what came of it."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import ColumnElement, Connection, Select, and_, delete, func, insert, or_, select
from sqlalchemy import update as update_rows

from service.storage.event_tables import EVENT
from service.storage.events import Event
from service.storage.webhook_tables import WEBHOOK_DELIVERY
from service.storage.webhooks import Webhook, set_seen

DeliveryStatus = Literal["waiting", "delivered", "failed"]
TEST = "webhook.test"
KEPT_SECONDS = 30 * 24 * 60 * 60
_AT_ONCE = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """One message to one webhook. `event` None: a test. `again_of`: the first one of it."""

    id: str
    webhook_id: str
    event: int | None
    type: str
    subject: str | None
    again_of: str | None
    made_at: int
    made_by: str
    status: DeliveryStatus
    attempts: int
    next_at: int | None
    tried_at: int | None
    answered: int | None
    why: str | None


def take_up(connection: Connection, webhook: Webhook, now: int) -> None:
    """Let the events that nobody looked at yet wait for a webhook, as far as it asks for their
    types; some hundred at once. In one transaction, so none is taken up twice, or lost."""
    table = EVENT.c
    unseen = (
        select(table.id, table.type, table.subject)
        .where(table.id > webhook.seen)
        .order_by(table.id)
        .limit(_AT_ONCE)
    )
    events = connection.execute(unseen).all()
    rows = [_waiting(webhook.id, event, now) for event in events if event.type in webhook.types]
    if rows:
        connection.execute(insert(WEBHOOK_DELIVERY), rows)
        _forget(connection, now - KEPT_SECONDS)
    if events:
        set_seen(connection, webhook.id, events[-1].id)


def add_delivery(
    connection: Connection, webhook_id: str, first: Delivery | None, now: int, by: str
) -> Delivery:
    """Let a test wait, or something that was sent already."""
    delivery = Delivery(
        id=_new_id(now),
        webhook_id=webhook_id,
        event=None if first is None else first.event,
        type=TEST if first is None else first.type,
        subject=None,
        again_of=None if first is None else first.again_of or first.id,
        made_at=now,
        made_by=by,
        status="waiting",
        attempts=0,
        next_at=now,
        tried_at=None,
        answered=None,
        why=None,
    )
    values = {name: getattr(delivery, name) for name in Delivery.__slots__}
    connection.execute(insert(WEBHOOK_DELIVERY).values(values))
    return delivery


def update_delivery(connection: Connection, delivery_id: str, **values: object) -> None:
    """Note what came of it."""
    table = WEBHOOK_DELIVERY
    connection.execute(update_rows(table).where(table.c.id == delivery_id).values(values))


def find_delivery(connection: Connection, webhook_id: str, delivery_id: str) -> Delivery | None:
    """One by its id and its webhook's."""
    table = WEBHOOK_DELIVERY.c
    asked = and_(table.id == delivery_id, table.webhook_id == webhook_id)
    return _one(connection, select(WEBHOOK_DELIVERY).where(asked))


def list_deliveries(
    connection: Connection,
    webhook_id: str,
    *,
    chosen: dict[str, str],
    before: str | None,
    limit: int,
) -> tuple[Delivery, ...]:
    """Those of a webhook, the newest first; `chosen` has the `status` and `type` they must have."""
    table = WEBHOOK_DELIVERY.c
    statement = select(WEBHOOK_DELIVERY).where(table.webhook_id == webhook_id)
    for name, value in chosen.items():
        statement = statement.where(table[name] == value)
    if before is not None:
        statement = statement.where(table.id < before)
    rows = connection.execute(statement.order_by(table.id.desc()).limit(limit))
    return tuple(Delivery(**row) for row in rows.mappings())


def find_due(connection: Connection, webhook: Webhook, now: int) -> Delivery | None:
    """What is to be sent to a webhook first. Nothing goes before an earlier event of its own
    subject; to a webhook that is switched off only tests go. What was made, or tried last, by a
    clock that was ahead doesn't wait for that time to come."""
    table = WEBHOOK_DELIVERY.c
    is_time = or_(table.next_at <= now, func.coalesce(table.tried_at, table.made_at) > now)
    statement = (
        select(WEBHOOK_DELIVERY)
        .where(table.webhook_id == webhook.id, table.status == "waiting", is_time)
        .where(or_(table.subject.is_(None), ~_has_earlier()))
        .order_by(table.next_at, func.coalesce(table.event, 0), table.id)
        .limit(1)
    )
    if webhook.off_at is not None:
        statement = statement.where(table.event.is_(None))
    return _one(connection, statement)


def find_event(connection: Connection, number: int) -> Event | None:
    """An event by its number; None where its days are over."""
    found = connection.execute(select(EVENT).where(EVENT.c.id == number)).mappings()
    return next((Event(**row) for row in found), None)


def send_now(connection: Connection, webhook_id: str, now: int) -> None:
    """Send what waits for a webhook without waiting longer."""
    table = WEBHOOK_DELIVERY.c
    waits = and_(table.webhook_id == webhook_id, table.status == "waiting")
    connection.execute(update_rows(WEBHOOK_DELIVERY).where(waits).values(next_at=now))


def _has_earlier() -> ColumnElement[bool]:
    earlier, table = WEBHOOK_DELIVERY.alias("earlier"), WEBHOOK_DELIVERY.c
    return (
        select(earlier.c.id)
        .where(
            earlier.c.webhook_id == table.webhook_id,
            earlier.c.subject == table.subject,
            earlier.c.status == "waiting",
            earlier.c.event < table.event,
        )
        .correlate(WEBHOOK_DELIVERY)
        .exists()
    )


def _waiting(webhook_id: str, event: Any, now: int) -> dict[str, object]:  # noqa: ANN401  a row
    return {
        "id": _new_id(now),
        "webhook_id": webhook_id,
        "event": event.id,
        "type": event.type,
        "subject": event.subject,
        "made_at": now,
        "made_by": "",
        "status": "waiting",
        "attempts": 0,
        "next_at": now,
    }


def _forget(connection: Connection, moment: int) -> None:
    """Drop what was over long before a moment: ids begin with theirs."""
    table = WEBHOOK_DELIVERY.c
    over = and_(table.id < _first_id(moment), table.status != "waiting")
    connection.execute(delete(WEBHOOK_DELIVERY).where(over))


def _new_id(now: int) -> str:
    return f"{_first_id(now)}_{secrets.token_hex(8)}"


def _first_id(moment: int) -> str:
    """What stands before all ids of a moment."""
    return f"d{moment:012d}"


def _one(connection: Connection, statement: Select[Any]) -> Delivery | None:
    found = connection.execute(statement).mappings()
    return next((Delivery(**row) for row in found), None)
