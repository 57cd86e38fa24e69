"""The keys as this process knows them, read again every two seconds while it is called.

So a key that was made, changed or ended anywhere is known everywhere within five seconds, and a
call costs no look at the database. While the database gives no answer nobody can end a key: what
was known last goes on to hold. Once a key was seen, keys are asked for until the process ends.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final

from service.operations.callers.caller import Caller
from service.operations.callers.key_text import is_key, key_digest
from service.storage import StorageError

# A look is as old as this before the next one is begun, and before it is waited for.
LOOK_SECONDS: Final = 2.0
WAIT_FROM_SECONDS: Final = 4.0
# So long a look is waited for; a first one has to come.
WAIT_SECONDS: Final = 1.0
FIRST_SECONDS: Final = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownKey:
    """A caller by one of its secrets; `until` is when the secret or the key is over."""

    caller: Caller
    until: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Keys:
    """All keys that are good. `in_force`: one was made, ended or not."""

    in_force: bool = False
    by_digest: Mapping[str, KnownKey] = field(default_factory=lambda: MappingProxyType({}))
    # Of pages that carry a key for a website.
    origins: frozenset[str] = frozenset()


# Reads the keys, and writes down that some were used today.
ReadKeys = Callable[[frozenset[str]], Keys]


class KeyRing:
    """The keys. `read` waits for the disk and is called in a thread of the ring's own, so that
    whichever event loop asks may wait for it; `now` tells the time."""

    def __init__(self, read: ReadKeys, now: Callable[[], int]) -> None:
        self._read, self._now = read, now
        self._keys: Keys | None = None
        self._read_at = float("-inf")
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="keys")
        self._look: Future[None] | None = None
        self._slow = False
        self._used: set[str] = set()
        # Changes made here, and how many of them the last look that was begun will see.
        self._changes = self._begun = 0

    @property
    def last(self) -> Keys | None:
        """The keys as they were read last, if they were."""
        return self._keys

    async def begin(self) -> None:
        """Read the keys before anybody calls, and wait a moment for them. A process that has read
        a file's log notices when it is deleted; one that comes to it later can't."""
        self._look = self._thread.submit(self._refresh)
        await self._wait(self._look, WAIT_SECONDS)

    async def known(self) -> Keys:
        """The keys as they are, or were seconds ago. Raises StorageError where they were never
        read."""
        age = time.monotonic() - self._read_at
        look = self._look
        if age > LOOK_SECONDS and (look is None or look.done() or self._begun < self._changes):
            self._begun = self._changes
            look = self._look = self._thread.submit(self._refresh)
        if self._keys is None:
            await self._wait(look, FIRST_SECONDS)
        elif age > WAIT_FROM_SECONDS and not self._slow:
            await self._wait(look, WAIT_SECONDS)
        if self._keys is None:
            raise StorageError("the keys can't be read")
        return self._keys

    def find(self, keys: Keys, text: str) -> Caller | None:
        """Who of the known ones shows a key; None where it isn't one, or no longer."""
        if not is_key(text):
            return None
        found = keys.by_digest.get(key_digest(text))
        if found is None or (found.until is not None and found.until <= self._now()):
            return None
        self._used.add(found.caller.by)
        return found.caller

    def forget(self) -> None:
        """Have the next call look again: keys were changed here."""
        self._changes += 1
        self._read_at = float("-inf")

    async def _wait(self, look: Future[None] | None, seconds: float) -> None:
        if look is not None:
            done, _ = await asyncio.wait((asyncio.wrap_future(look),), timeout=seconds)
            self._slow = not done

    def _refresh(self) -> None:
        """Read once more. What fails is tried again by a later call; the keys stay."""
        began, used, changes = time.monotonic(), frozenset(self._used), self._changes
        try:
            keys = self._read(used)
        except StorageError:
            self._read_at = began  # not again at once
            return
        was = self._keys is not None and self._keys.in_force
        self._keys = replace(keys, in_force=keys.in_force or was)
        self._used.difference_update(used)
        self._slow = False
        if changes == self._changes:
            self._read_at = began
