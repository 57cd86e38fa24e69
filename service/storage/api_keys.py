"""Keys: made, changed for new ones, ended, and looked at."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, insert, inspect, or_, select, update

from service.storage.tables import API_KEY, API_KEY_SECRET

_KEY = API_KEY.c
_SECRET = API_KEY_SECRET.c


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyRow:
    """A key as it is kept. Moments are seconds since 1970."""

    id: str
    name: str
    scopes: tuple[str, ...]
    website: str | None
    origins: tuple[str, ...]
    made_at: int
    made_by: str
    expires_at: int | None = None
    ended_at: int | None = None
    used_on: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownSecret:
    """A secret by its SHA-256, the key it is of, and when it gives way."""

    digest: str
    ends_at: int | None
    key: KeyRow


def any_key(connection: Connection) -> bool:
    """Whether a key was ever made; a database of an earlier version has none."""
    if not inspect(connection).has_table(API_KEY.name):
        return False
    return connection.execute(select(_KEY.id).limit(1)).first() is not None


def live_secrets(connection: Connection, now: int) -> list[KnownSecret]:
    """The secrets of all keys that have neither ended nor expired."""
    keys = {key.id: key for key in _keys(connection, _lives(now))}
    columns = (_SECRET.digest, _SECRET.key_id, _SECRET.ends_at)
    rows = connection.execute(select(*columns).where(_lasts(now)))
    return [
        KnownSecret(digest=digest, ends_at=ends_at, key=keys[key_id])
        for digest, key_id, ends_at in rows
        if key_id in keys
    ]


def insert_key(connection: Connection, key: KeyRow, digest: str) -> None:
    """Write a new key with its secret."""
    words = {"scopes": " ".join(key.scopes), "origins": " ".join(key.origins)}
    values = {**asdict(key), **words}
    connection.execute(insert(API_KEY).values(values))
    insert_secret(connection, key.id, digest, key.made_at)


def insert_secret(connection: Connection, key_id: str, digest: str, now: int) -> None:
    """Write a secret of a key."""
    values = {"digest": digest, "key_id": key_id, "made_at": now}
    connection.execute(insert(API_KEY_SECRET).values(values))


def end_secrets(connection: Connection, key_id: str, now: int, newest_until: int) -> None:
    """Let the newest secret of a key last until a moment, and end what came before it at once."""
    lasting = select(_SECRET.digest).where(_SECRET.key_id == key_id, _lasts(now))
    digests = connection.execute(lasting.order_by(_SECRET.ends_at.isnot(None))).scalars().all()
    for place, digest in enumerate(digests):
        held = update(API_KEY_SECRET).where(_SECRET.digest == digest)
        connection.execute(held.values(ends_at=now if place else newest_until))


def find_key(connection: Connection, key_id: str) -> KeyRow | None:
    """A key by its id, ended or not."""
    return next(iter(_keys(connection, _KEY.id == key_id)), None)


def list_keys(
    connection: Connection, *, limit: int, before: tuple[int, str] | None = None
) -> list[KeyRow]:
    """Keys, the newest first; those made before another."""
    statement = select(API_KEY).order_by(_KEY.made_at.desc(), _KEY.id.desc()).limit(limit)
    if before is not None:
        made_at, id_ = before
        older = or_(_KEY.made_at < made_at, (_KEY.made_at == made_at) & (_KEY.id < id_))
        statement = statement.where(older)
    return [_row(row) for row in connection.execute(statement).mappings()]


def end_key(connection: Connection, key_id: str, now: int) -> None:
    """End a key and all its secrets."""
    connection.execute(update(API_KEY).where(_KEY.id == key_id).values(ended_at=now))
    held = update(API_KEY_SECRET).where(_SECRET.key_id == key_id, _lasts(now))
    connection.execute(held.values(ends_at=now))


def note_used(connection: Connection, key_ids: Iterable[str], day: str) -> None:
    """Write down that keys were used on a day, unless a later one stands there."""
    unused = or_(_KEY.used_on.is_(None), _KEY.used_on < day)
    held = update(API_KEY).where(_KEY.id.in_(tuple(key_ids)), unused)
    connection.execute(held.values(used_on=day))


def _lives(now: int) -> ColumnElement[bool]:
    expires_later = or_(_KEY.expires_at.is_(None), _KEY.expires_at > now)
    return _KEY.ended_at.is_(None) & expires_later


def _lasts(now: int) -> ColumnElement[bool]:
    return or_(_SECRET.ends_at.is_(None), _SECRET.ends_at > now)


def _keys(connection: Connection, which: ColumnElement[bool]) -> list[KeyRow]:
    return [_row(row) for row in connection.execute(select(API_KEY).where(which)).mappings()]


def _row(row: Mapping[Any, Any]) -> KeyRow:
    words = {name: tuple(row[name].split()) for name in ("scopes", "origins")}
    return KeyRow(**{**row, **words})
