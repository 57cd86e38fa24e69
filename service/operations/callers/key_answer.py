"""A key as it is told: the key itself once, when it is made."""

from __future__ import annotations

from datetime import UTC, datetime

import msgspec
from msgspec import UNSET, Struct, UnsetType

from service.storage import Store
from service.storage.api_keys import KeyRow


class KeyAnswer(Struct, frozen=True):
    """A key without the key."""

    id: str
    name: str
    scopes: tuple[str, ...]
    website: str | None
    origins: tuple[str, ...]
    made: str
    expires: str | None
    """Its last day."""
    ended: str | None
    last_used: str | None
    """The day of its last use."""


class NewKeyAnswer(Struct, frozen=True):
    """A new key. `key` is shown once: a repeated call says `secret_shown` in its place."""

    id: str
    name: str
    scopes: tuple[str, ...]
    website: str | None
    origins: tuple[str, ...]
    made: str
    expires: str | None
    key: str | UnsetType = UNSET
    secret_shown: bool | UnsetType = UNSET


_ENCODER = msgspec.json.Encoder()


def key_answer(row: KeyRow, store: Store) -> KeyAnswer:
    """A key as it is listed."""
    return KeyAnswer(
        id=row.id,
        name=row.name,
        scopes=row.scopes,
        website=row.website,
        origins=row.origins,
        made=moment_text(row.made_at),
        expires=_last_day(row, store),
        ended=None if row.ended_at is None else moment_text(row.ended_at),
        last_used=row.used_on,
    )


def new_key_answers(row: KeyRow, key: str, store: Store) -> tuple[bytes, bytes]:
    """A new key as it is answered once, and as it is kept for a repeated call."""
    shown = NewKeyAnswer(
        id=row.id,
        name=row.name,
        scopes=row.scopes,
        website=row.website,
        origins=row.origins,
        made=moment_text(row.made_at),
        expires=_last_day(row, store),
        key=key,
    )
    kept = msgspec.structs.replace(shown, key=UNSET, secret_shown=True)
    return _ENCODER.encode(shown), _ENCODER.encode(kept)


def moment_text(seconds: int) -> str:
    """A moment in UTC."""
    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _last_day(row: KeyRow, store: Store) -> str | None:
    return None if row.expires_at is None else str(store.last_day_before(row.expires_at))
