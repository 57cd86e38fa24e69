"""Calls that store, done once: a repeated call gets the first outcome again.

The key is written down first, in the transaction of the work itself. So after a crash there is
neither, and of two calls with one key the second waits for the first and then repeats its
outcome. What a call refused stored nothing, so it is looked at anew: only outcomes are kept.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import msgspec

from service.operations.stored_refusals import KeyReusedError, KeyRunningError
from service.storage import Connection, StorageBusyError, Store
from service.storage import idempotency as keys
from service.storage.idempotency import KeptOutcome, KeyedCall

KEPT_SECONDS = 24 * 60 * 60
_SERVER_FAULT = 500
_REFUSED = (400, 422)
# A decimal is a number in it, told apart from a text that reads alike.
_IN_ORDER = msgspec.json.Encoder(decimal_format="number", order="deterministic")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a call came to, as it is answered.

    `kept_body` is what is kept in its place where the body shows a secret or a customer: a
    repeated call is answered with that.
    """

    status: int
    body: bytes
    headers: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    kept_body: bytes | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredOutcome:
    """An outcome, and whether it is that of an earlier call with the same key."""

    outcome: Outcome
    replayed: bool


Work = Callable[[Connection], Outcome]


def run_once(store: Store, call: KeyedCall | None, work: Work) -> StoredOutcome:
    """Do `work` in one transaction, or repeat what an earlier call with the same key came to.

    `call` None: the caller gave no key, so the work is done. What `work` raises takes everything
    back, the key too. Raises KeyReusedError, KeyRunningError, and what `work` and the store raise.
    """
    if call is None:
        with store.write() as connection:
            return StoredOutcome(outcome=work(connection), replayed=False)
    with store.write() as connection:
        return _run_keyed(store, connection, call, work)


def find_outcome(store: Store, call: KeyedCall | None) -> StoredOutcome | None:
    """What an earlier call with the same key came to, if it is over.

    For work that is prepared before its transaction: a repeated call is answered without it, and
    whatever it would come to today. Raises KeyReusedError.
    """
    if call is None:
        return None
    with store.read() as connection:
        kept = keys.find(connection, call, since=store.now() - KEPT_SECONDS)
    if kept is None or kept.status is None:
        return None
    return StoredOutcome(outcome=_repeated(kept, call), replayed=True)


def fingerprint(content: bytes) -> str:
    """The SHA-256 of what a call brought."""
    return hashlib.sha256(content).hexdigest()


def document_fingerprint(document: object) -> str:
    """The same for a document as it was read (service/json_text.py): the order of its keys and
    the spaces between them say nothing."""
    return fingerprint(_IN_ORDER.encode(document))


def _run_keyed(store: Store, connection: Connection, call: KeyedCall, work: Work) -> StoredOutcome:
    now = store.now()
    keys.forget_before(connection, now - KEPT_SECONDS)
    if not _taken(connection, call, now):
        return StoredOutcome(outcome=_earlier(connection, call), replayed=True)
    outcome = work(connection)
    if outcome.status >= _SERVER_FAULT or outcome.status in _REFUSED:
        keys.forget(connection, call)
    else:
        keys.finish(connection, call, _to_kept(call, outcome))
    return StoredOutcome(outcome=outcome, replayed=False)


def _taken(connection: Connection, call: KeyedCall, now: int) -> bool:
    """Whether the key is now this call's. Raises KeyRunningError where a twin holds it for too
    long."""
    try:
        return keys.take(connection, call, now)
    except StorageBusyError as error:
        raise KeyRunningError from error


def _earlier(connection: Connection, call: KeyedCall) -> Outcome:
    kept = keys.find(connection, call)
    if kept is None or (kept.status is None and kept.fingerprint == call.fingerprint):
        raise KeyRunningError
    return _repeated(kept, call)


def _repeated(kept: KeptOutcome, call: KeyedCall) -> Outcome:
    if kept.fingerprint != call.fingerprint or kept.status is None:
        raise KeyReusedError
    headers: Mapping[str, str] = json.loads(kept.headers)
    return Outcome(status=kept.status, headers=headers, body=kept.body)


def _to_kept(call: KeyedCall, outcome: Outcome) -> KeptOutcome:
    return KeptOutcome(
        fingerprint=call.fingerprint,
        status=outcome.status,
        headers=json.dumps(dict(outcome.headers), sort_keys=True),
        body=outcome.body if outcome.kept_body is None else outcome.kept_body,
    )
