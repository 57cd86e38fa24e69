"""What changed, written in the transaction of the change."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Final, Literal

from sqlalchemy import Connection, func, insert, select, text

from service.storage.tables import EVENT

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
# Any number will do, as long as all that write events take the same.
EVENT_LOCK: Final = 7_205_533


def record(
    connection: Connection,
    type_: EventType,
    data: Mapping[str, object],
    *,
    by: str,
    now: int,
    subject: str | None = None,
) -> int:
    """Append an event and give its number, one more than the last.

    The number is drawn under a lock that is held until the transaction ends, so numbers are
    committed in their order and without gaps: on SQLite each writer has that lock already.
    Call it last in a transaction: others that write events wait for its end.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text(f"SELECT pg_advisory_xact_lock({EVENT_LOCK})"))
    last = connection.execute(select(func.max(EVENT.c.id))).scalar_one()
    number = (last or 0) + 1
    values = {
        "id": number,
        "type": type_,
        "recorded_at": now,
        "by": by,
        "subject": subject,
        "data": json.dumps(dict(data), sort_keys=True, separators=(",", ":")),
    }
    connection.execute(insert(EVENT).values(values))
    return number
