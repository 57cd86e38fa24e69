"""Webhooks as they are kept, and which process sends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, delete, exists, insert, or_, select, update
from sqlalchemy.dialects import postgresql, sqlite

from service.storage.webhook_tables import WEBHOOK, WEBHOOK_DELIVERY, WEBHOOK_SENDER

OffWhy = Literal["gone", "failing"]
_ONE = "one"


@dataclass(frozen=True, slots=True, kw_only=True)
class Webhook:
    """A webhook as it is kept; its secrets are sealed, and shown by nothing."""

    id: str
    url: str
    types: tuple[str, ...]
    made_at: int
    made_by: str
    version: int
    seen: int
    before_ends_at: int | None
    failing_since: int | None
    off_at: int | None
    off_why: OffWhy | None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Sealed:
    """The sealed secrets of a webhook: the one of now, and the one before while it holds."""

    secret: bytes
    before: bytes | None


def add_webhook(connection: Connection, webhook: Webhook, secret: bytes) -> None:
    """Keep a new one."""
    held = {name: getattr(webhook, name) for name in Webhook.__slots__}
    values = {**held, "types": " ".join(webhook.types), "secret": secret}
    connection.execute(insert(WEBHOOK).values(values))


def change_webhook(connection: Connection, webhook_id: str, **values: object) -> None:
    """Change what is told of a webhook: its version goes up."""
    table = WEBHOOK.c
    changed = {**values, "version": table.version + 1}
    connection.execute(update(WEBHOOK).where(table.id == webhook_id).values(changed))


def set_failing(connection: Connection, webhook_id: str, since: int | None) -> None:
    """Note since when nothing has been delivered; None: something has."""
    statement = update(WEBHOOK).where(WEBHOOK.c.id == webhook_id)
    connection.execute(statement.values(failing_since=since))


def set_seen(connection: Connection, webhook_id: str, seen: int) -> None:
    """Note the last event that was looked at for a webhook."""
    connection.execute(update(WEBHOOK).where(WEBHOOK.c.id == webhook_id).values(seen=seen))


def drop_webhook(connection: Connection, webhook_id: str) -> bool:
    """Forget a webhook and what it was sent; False where there is none."""
    kept = WEBHOOK_DELIVERY.c.webhook_id == webhook_id
    connection.execute(delete(WEBHOOK_DELIVERY).where(kept))
    return connection.execute(delete(WEBHOOK).where(WEBHOOK.c.id == webhook_id)).rowcount == 1


def find_webhook(connection: Connection, webhook_id: str, *, lock: bool = False) -> Webhook | None:
    """One by its id; `lock` keeps others from changing it until the transaction ends."""
    statement = select(*_columns()).where(WEBHOOK.c.id == webhook_id)
    found = connection.execute(statement.with_for_update() if lock else statement).mappings()
    return next(map(_webhook, found), None)


def list_webhooks(
    connection: Connection, *, after: str = "", limit: int | None = None, lock: bool = False
) -> tuple[Webhook, ...]:
    """Those whose ids come after one, in the order of ids; `lock` as for one."""
    chosen = select(*_columns()).where(WEBHOOK.c.id > after).order_by(WEBHOOK.c.id).limit(limit)
    found = connection.execute(chosen.with_for_update() if lock else chosen)
    return tuple(map(_webhook, found.mappings()))


def has_webhooks(connection: Connection) -> bool:
    """Whether there is any."""
    return bool(connection.execute(select(exists(select(WEBHOOK.c.id)))).scalar_one())


def find_sealed(connection: Connection, webhook_id: str, now: int) -> Sealed:
    """The secrets by which messages to a webhook are signed at a moment."""
    table = WEBHOOK.c
    columns = (table.secret, table.secret_before, table.before_ends_at)
    row = connection.execute(select(*columns).where(table.id == webhook_id)).one()
    holds = row.secret_before is not None and row.before_ends_at > now
    before = bytes(row.secret_before) if holds else None
    return Sealed(secret=bytes(row.secret), before=before)


def take_lease(connection: Connection, owner: str, now: int, seconds: int) -> bool:
    """Become, or stay, the one process that sends; False where another one is. A lease that ends
    later than two of them was taken while the clock was ahead, and holds nothing."""
    is_server = connection.dialect.name == "postgresql"
    row = (postgresql.insert if is_server else sqlite.insert)(WEBHOOK_SENDER)
    connection.execute(row.values(id=_ONE, lease_until=0).on_conflict_do_nothing())
    table = WEBHOOK_SENDER.c
    lasts = table.lease_until.between(now + 1, now + 2 * seconds)
    free = or_(table.owner == owner, ~lasts)
    statement = update(WEBHOOK_SENDER).where(table.id == _ONE, free)
    return (
        connection.execute(statement.values(owner=owner, lease_until=now + seconds)).rowcount == 1
    )


def leave_lease(connection: Connection, owner: str) -> None:
    """Let another process send."""
    statement = update(WEBHOOK_SENDER).where(WEBHOOK_SENDER.c.owner == owner)
    connection.execute(statement.values(owner=None, lease_until=0))


def _columns() -> Sequence[Any]:
    return [WEBHOOK.c[name] for name in Webhook.__slots__]


def _webhook(row: Mapping[Any, Any]) -> Webhook:
    return Webhook(**{**row, "types": tuple(row["types"].split())})
