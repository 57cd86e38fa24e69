"""The keys of the database, for the ring."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from service.api.admission.key_ring import Keys, KnownKey
from service.api.dependencies import StoreShelf
from service.operations.callers.caller import Caller, KeyScope
from service.storage import StorageError

if TYPE_CHECKING:
    from service.storage import Store
    from service.storage.api_keys import KnownSecret


class StoredKeys:
    """Reads the keys, where there is a database, and notes the day on which keys are used."""

    def __init__(self, shelf: StoreShelf) -> None:
        self._shelf = shelf
        self._noted: dict[str, str] = {}

    def __call__(self, used: frozenset[str]) -> Keys:
        """All keys that are good. Waits for the disk. Raises StorageError."""
        store = self._shelf.existing()
        if store is None:
            return Keys()
        from service.storage import api_keys  # noqa: PLC0415  its library is loaded with the store

        with store.read() as connection:
            if not api_keys.any_key(connection):
                return Keys()
            secrets = api_keys.live_secrets(connection, store.now())
        self._note(store, used)
        origins = frozenset(origin for each in secrets for origin in each.key.origins)
        by_digest = {each.digest: _known(each) for each in secrets}
        return Keys(in_force=True, by_digest=by_digest, origins=origins)

    def now(self) -> int:
        """The time by the database's clock."""
        store = self._shelf.existing()
        return 0 if store is None else store.now()

    def _note(self, store: Store, used: frozenset[str]) -> None:
        """Write the day down once a day and key; where that can't be done now, later."""
        day = store.today().isoformat()
        new = [key_id for key_id in sorted(used) if self._noted.get(key_id) != day]
        if not new:
            return
        from service.storage import api_keys  # noqa: PLC0415

        with suppress(StorageError):
            with store.write() as connection:
                api_keys.note_used(connection, new, day)
            self._noted.update(dict.fromkeys(new, day))


def _known(secret: KnownSecret) -> KnownKey:
    key = secret.key
    ends = [moment for moment in (secret.ends_at, key.expires_at) if moment is not None]
    scopes: frozenset[KeyScope] = frozenset(key.scopes)  # type: ignore[arg-type]
    caller = Caller(by=key.id, scopes=scopes, website=key.website or "", origins=key.origins)
    return KnownKey(caller=caller, until=min(ends, default=None))
