"""What changed, written in the transaction of the change, and read in its order."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from sqlalchemy import Connection, ScalarSelect, delete, func, insert, select

from service.storage.event_tables import EVENT
from service.storage.turns import Turn, take_turn

EventType = Literal[
    "quote.saved",
    "quote.changed",
    "quote.state_changed",
    "quote.viewed",
    "lead.received",
    "link.made",
    "link.ended",
    "price_list.revision_published",
    "mapping.changed",
    "repricing.finished",
    "repricing.under_margin",
    "catalog.reloaded",
    "customer.erased",
    "key.made",
    "key.ended",
    "webhook.changed",
    "webhook.switched_off",
]
# A write drops at most so many old events: it stays quick, and drops more than it adds.
DROPPED_AT_ONCE: Final = 100
DAY_SECONDS: Final = 86_400
# Under these names a transaction knows who acts in it, and for how many days events are kept.
ACTING: Final = "service_acting"
KEPT_DAYS: Final = "service_event_days"


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEvent:
    """Something that changed. `subject` is what it happened to, such as a quote's id; `data` has
    ids, numbers, states and addresses: never a cost, a name, or where somebody lives."""

    type: EventType
    subject: str | None
    data: Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """An event as it was written. `recorded_at` in seconds, UTC; `data` is JSON."""

    id: int
    type: EventType
    recorded_at: int
    by: str
    subject: str | None
    data: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The numbers of the first event that is kept and of the last; both 0 before the first one."""

    first: int
    last: int


def record(
    connection: Connection,
    type_: EventType,
    data: Mapping[str, object],
    *,
    now: int,
    by: str | None = None,
    subject: str | None = None,
) -> int:
    """Append an event and give its number; see `record_all`."""
    return record_all(connection, [NewEvent(type=type_, subject=subject, data=data)], now, by=by)


def record_all(
    connection: Connection, events: Sequence[NewEvent], now: int, *, by: str | None = None
) -> int:
    """Append events, at least one, and give the number of the last. `by` is who acts in this
    transaction unless told otherwise.

    Each is numbered one more than the one before. Numbers are drawn under a lock that is held
    until the transaction ends, so they are committed in their order and without gaps: on SQLite
    each writer has that lock already. Call it last in a transaction: others that write events
    wait for its end. Events whose days are over are dropped, the oldest first.
    """
    take_turn(connection, Turn.EVENTS)
    last: int = connection.execute(select(_last())).scalar_one() or 0
    said_by = acting(connection) if by is None else by
    rows = [
        {
            "id": number,
            "type": event.type,
            "recorded_at": now,
            "by": said_by,
            "subject": event.subject,
            "data": json.dumps(dict(event.data), sort_keys=True, separators=(",", ":")),
        }
        for number, event in enumerate(events, start=last + 1)
    ]
    connection.execute(insert(EVENT), rows)
    _drop_old(connection, now)
    return last + len(rows)


def acting(connection: Connection) -> str:
    """Who acts in a transaction that writes."""
    by: str = connection.get_execution_options()[ACTING]
    return by


def find_kept(connection: Connection) -> Kept:
    """Which events are kept. Every one between the two numbers is there."""
    first = select(func.min(EVENT.c.id)).scalar_subquery()  # SQLite finds one end without a walk
    number, last = connection.execute(select(first, _last())).one()
    return Kept(first=number or 0, last=last or 0)


def list_events(
    connection: Connection, *, after: int, until: int, types: Collection[str], limit: int
) -> tuple[Event, ...]:
    """At most `limit` events of some types, those numbered above `after` and up to `until`."""
    held = EVENT.c
    statement = (
        select(EVENT)
        .where(held.id > after, held.id <= until, held.type.in_(types))
        .order_by(held.id)
        .limit(limit)
    )
    return tuple(Event(**row) for row in connection.execute(statement).mappings())


def _last() -> ScalarSelect[int | None]:
    return select(func.max(EVENT.c.id)).scalar_subquery()


def _drop_old(connection: Connection, now: int) -> None:
    """Drop the oldest events, as far as their days are over: what is kept has no holes, whatever
    the clock said in between."""
    days: int = connection.get_execution_options()[KEPT_DAYS]
    held = EVENT.c
    oldest = select(held.id, held.recorded_at).order_by(held.id).limit(DROPPED_AT_ONCE)
    before = now - days * DAY_SECONDS
    over = 0
    for row in connection.execute(oldest):
        if row.recorded_at >= before:
            break
        over = row.id
    if over:
        connection.execute(delete(EVENT).where(held.id <= over))
