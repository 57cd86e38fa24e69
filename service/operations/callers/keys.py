"""Keys: made, changed for a new secret, ended."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from service.core.errors import QuoteRefusedError
from service.operations.callers.key_answer import KeyAnswer, key_answer, new_key_answers
from service.operations.callers.key_text import KEYS_AT, new_key
from service.operations.idempotent import Outcome
from service.storage import Connection, Store
from service.storage import api_keys as rows
from service.storage.api_keys import KeyRow
from service.storage.events import record
from service.storage.turns import Turn, take_turn

if TYPE_CHECKING:
    from service.operations.callers.key_request import KeyRequest

CREATED = 201


class KeyUnknownError(QuoteRefusedError):
    """No key has this id."""

    code = "unknown-api-key"

    def __init__(self, key_id: str) -> None:
        super().__init__(f"There is no key {key_id}: the list of keys has their ids.")


class KeyEndedError(QuoteRefusedError):
    """A key that has ended gets no new secret."""

    code = "api-key-ended"

    def __init__(self, key_id: str) -> None:
        super().__init__(f"The key {key_id} has ended; make a new one.")


class KeyExpiresError(QuoteRefusedError):
    """A key that is never good."""

    code = "api-key-expired"

    def __init__(self, day: object) -> None:
        super().__init__(
            f"expires: {day} is over, so the key would never be good; give a later day."
        )


def make_key(connection: Connection, store: Store, request: KeyRequest, *, by: str) -> Outcome:
    """Make a key; the answer shows it, what is kept doesn't. Raises KeyExpiresError."""
    take_turn(connection, Turn.KEYS)
    now, made = store.now(), new_key()
    expires_at = None if request.expires is None else store.end_of(request.expires)
    if expires_at is not None and expires_at <= now:
        raise KeyExpiresError(request.expires)
    row = KeyRow(
        id=made.id,
        name=request.name,
        scopes=tuple(dict.fromkeys(request.scopes)),
        website=request.website,
        origins=tuple(dict.fromkeys(request.origins)),
        made_at=now,
        made_by=by,
        expires_at=expires_at,
    )
    rows.insert_key(connection, row, made.digest)
    _tell(connection, row, now, by)
    return _outcome(row, made.text, store)


def rotate_key(
    connection: Connection, store: Store, key_id: str, overlap_s: int, *, by: str
) -> Outcome:
    """Give a key a new secret; the one so far is good for a while yet, older ones end now.

    Raises KeyUnknownError, KeyEndedError.
    """
    take_turn(connection, Turn.KEYS)
    now, row = store.now(), find(connection, key_id)
    if row.ended_at is not None or (row.expires_at is not None and row.expires_at <= now):
        raise KeyEndedError(key_id)
    made = new_key(key_id)
    rows.end_secrets(connection, key_id, now, now + overlap_s)
    rows.insert_secret(connection, key_id, made.digest, now)
    _tell(connection, row, now, by)
    return _outcome(row, made.text, store)


def end_key(connection: Connection, store: Store, key_id: str, *, by: str) -> KeyRow:
    """End a key with all its secrets; one that has ended stays so. Raises KeyUnknownError."""
    take_turn(connection, Turn.KEYS)
    now, row = store.now(), find(connection, key_id)
    if row.ended_at is None:
        rows.end_key(connection, key_id, now)
        record(connection, "key.ended", {"id": key_id}, by=by, now=now, subject=key_id)
    return row


def find(connection: Connection, key_id: str) -> KeyRow:
    """A key by its id. Raises KeyUnknownError."""
    row = rows.find_key(connection, key_id)
    if row is None:
        raise KeyUnknownError(key_id)
    return row


def read_key(store: Store, key_id: str) -> KeyAnswer:
    """A key by its id, as it is told. Raises KeyUnknownError."""
    with store.read() as connection:
        return key_answer(find(connection, key_id), store)


def list_keys(
    store: Store, *, limit: int, before: tuple[int, str] | None = None
) -> Sequence[tuple[int, KeyAnswer]]:
    """Keys with the moments they were made at, the newest first."""
    with store.read() as connection:
        found = rows.list_keys(connection, limit=limit, before=before)
    return [(row.made_at, key_answer(row, store)) for row in found]


def _outcome(row: KeyRow, text: str, store: Store) -> Outcome:
    shown, kept = new_key_answers(row, text, store)
    headers = {"Location": f"{KEYS_AT}/{row.id}"}
    return Outcome(status=CREATED, body=shown, kept_body=kept, headers=headers)


def _tell(connection: Connection, row: KeyRow, now: int, by: str) -> None:
    data = {"id": row.id, "scopes": row.scopes}
    record(connection, "key.made", data, by=by, now=now, subject=row.id)
