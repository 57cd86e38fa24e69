"""The keys as a process knows them: what was changed here is seen by the next call, and nobody is
held up by a database that gives no answer."""

from __future__ import annotations

import asyncio
import threading
from typing import Any

import pytest

from service.api.admission import key_ring
from service.api.admission.key_ring import KeyRing, Keys, KnownKey
from service.operations.callers.caller import Caller
from service.operations.callers.key_text import new_key
from service.storage import StorageError, StorageGoneError

NONE, SOME = Keys(), Keys(in_force=True)


class Disk:
    """What stands there, and a gate before it."""

    def __init__(self) -> None:
        self.keys = NONE
        self.open = threading.Event()
        self.open.set()
        self.begun = threading.Event()
        self.gone = False

    def read(self, _used: frozenset[str]) -> Keys:
        """Read what stands there when the reading begins."""
        found = self.keys
        self.begun.set()
        assert self.open.wait(20)
        if self.gone:
            raise StorageGoneError("gone")
        return found


def ring(disk: Disk) -> KeyRing:
    """The keys of a disk."""
    return KeyRing(disk.read, lambda: 0)


async def look_that_misses_a_change(disk: Disk, keys: KeyRing) -> asyncio.Task[Keys]:
    """A look that is under way while the first key is made, until the disk is open again."""
    disk.open.clear()
    look = asyncio.create_task(keys.known())
    await asyncio.to_thread(disk.begun.wait, 20)
    disk.keys = SOME
    keys.forget()
    return look


def test_a_change_is_seen_by_the_next_call_though_a_look_is_under_way() -> None:
    """A look that began before the change doesn't answer for it."""

    async def ask() -> bool:
        disk = Disk()
        keys = ring(disk)
        first = await look_that_misses_a_change(disk, keys)
        second = asyncio.create_task(keys.known())
        await asyncio.sleep(0)
        disk.open.set()
        await first
        return (await second).in_force

    assert asyncio.run(ask())


def test_a_change_is_seen_by_a_call_that_comes_after_a_look_that_missed_it() -> None:
    """A look that was under way when something was changed isn't the last word once it is over."""

    async def ask() -> bool:
        disk = Disk()
        keys = ring(disk)
        first = await look_that_misses_a_change(disk, keys)
        disk.open.set()
        await first
        return (await keys.known()).in_force

    assert asyncio.run(ask())


def test_a_secret_is_good_until_its_second_comes() -> None:
    """Of a secret that ends at a moment nothing is good at that moment."""
    caller = Caller(by="abcdefghij", scopes=frozenset({"quotes"}))
    made = new_key(caller.by)
    keys = Keys(in_force=True, by_digest={made.digest: KnownKey(caller=caller, until=100)})
    clock = [99]
    known = KeyRing(lambda _used: keys, lambda: clock[0])
    assert known.find(keys, made.text) == caller
    clock[0] = 100
    assert known.find(keys, made.text) is None


def test_a_silent_database_holds_nobody_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """One call waits a moment for it, the others go on with the keys that were known last."""
    monkeypatch.setattr(key_ring, "LOOK_SECONDS", 0.0)
    monkeypatch.setattr(key_ring, "WAIT_FROM_SECONDS", 0.0)
    monkeypatch.setattr(key_ring, "WAIT_SECONDS", 0.05)
    wait, waits = asyncio.wait, list[float | None]()

    async def counted(look: Any, *, timeout: float | None) -> Any:  # noqa: ANN401, ASYNC109
        waits.append(timeout)
        return await wait(look, timeout=timeout)

    async def ask() -> bool:
        disk = Disk()
        disk.keys = SOME
        keys = ring(disk)
        await keys.known()
        disk.open.clear()
        monkeypatch.setattr(asyncio, "wait", counted)
        found = [await keys.known() for _ in range(50)]
        disk.open.set()
        return all(each.in_force for each in found)

    assert asyncio.run(ask())
    assert waits == [0.05]


def test_keys_stay_in_force_whatever_becomes_of_the_database(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Once a key was seen they are asked for: over an empty database, and over none."""
    monkeypatch.setattr(key_ring, "LOOK_SECONDS", 0.0)
    monkeypatch.setattr(key_ring, "WAIT_FROM_SECONDS", 0.0)

    async def ask() -> list[bool]:
        disk = Disk()
        keys = ring(disk)
        found = []
        for now, gone in ((NONE, False), (SOME, False), (NONE, False), (NONE, True)):
            disk.keys, disk.gone = now, gone
            found.append((await keys.known()).in_force)
        return found

    assert asyncio.run(ask()) == [False, True, True, True]


def test_keys_that_were_never_read_are_a_failure() -> None:
    """Nobody is let in by what nobody knows."""

    async def ask() -> None:
        disk = Disk()
        disk.gone = True
        await ring(disk).known()

    with pytest.raises(StorageError):
        asyncio.run(ask())


@pytest.mark.no_cover  # others run the same lines
def test_keys_are_read_before_anybody_calls() -> None:
    """Also where the database gives no answer a service begins in a moment."""

    async def begin(disk: Disk) -> Keys | None:
        keys = ring(disk)
        await keys.begin()
        found = keys.last
        disk.open.set()
        return found

    assert asyncio.run(begin(Disk())) == NONE
    silent = Disk()
    silent.open.clear()
    assert asyncio.run(begin(silent)) is None
