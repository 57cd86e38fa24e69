"""How far behind those are who are told of changes: the last event, and what waits to be sent."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from service.storage.events import find_kept
from service.storage.webhook_tables import WEBHOOK, WEBHOOK_DELIVERY


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """The number of the last event; how many messages wait for their webhooks, the oldest for so
    many seconds; how many webhooks were switched off."""

    last_event: int
    waiting: int
    oldest_seconds: int
    switched_off: int


def find_telling(connection: Connection, now: int) -> Telling:
    """As it is now. An event that nobody looked at yet for a webhook isn't counted as waiting."""
    sent, webhook = WEBHOOK_DELIVERY.c, WEBHOOK.c
    waiting = select(func.count(), func.min(sent.made_at)).where(sent.status == "waiting")
    number, oldest = connection.execute(waiting).one()
    off = select(func.count()).select_from(WEBHOOK).where(webhook.off_at.is_not(None))
    return Telling(
        last_event=find_kept(connection).last,
        waiting=number,
        oldest_seconds=0 if oldest is None else max(0, now - oldest),
        switched_off=connection.execute(off).scalar_one(),
    )
