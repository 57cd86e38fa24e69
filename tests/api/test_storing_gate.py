"""The gate before the database: so many at a time, so many waiting, so long."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable

import pytest

from service.api.storing_gate import Gate
from service.storage import StorageBusyError


def together(gate: Gate, works: list[Callable[[], object]]) -> list[object]:
    """Run works at one time; their results, or what they raised."""

    async def run() -> list[object]:
        return list(await asyncio.gather(*map(gate.run, works), return_exceptions=True))

    return asyncio.run(run())


def test_run_lets_so_many_in_at_a_time() -> None:
    """Of twenty works never more than three run together, and all come to their end."""
    inside, most, lock = 0, 0, threading.Lock()

    def work() -> int:
        nonlocal inside, most
        with lock:
            inside += 1
            most = max(most, inside)
        threading.Event().wait(0.01)
        with lock:
            inside -= 1
        return 1

    assert together(Gate(3, waiting=20), [work] * 20) == [1] * 20
    assert most == 3


def test_run_refuses_who_would_wait_too_long() -> None:
    """While two hold the only places, those that wait are refused when their time is over and are
    never begun; one more than may wait is refused at once; the two come to their end."""
    free, begun = threading.Event(), []

    def hold() -> str:
        begun.append(1)
        free.wait(10)
        return "done"

    async def run() -> list[object]:
        gate = Gate(2, waiting=3, seconds=0.2)
        held = [asyncio.create_task(gate.run(hold)) for _ in range(5)]
        await asyncio.sleep(0)
        with pytest.raises(StorageBusyError, match="too many"):
            await gate.run(hold)
        refused = await asyncio.gather(*held[2:], return_exceptions=True)
        free.set()
        return [*await asyncio.gather(*held[:2]), *refused, await gate.run(lambda: "again")]

    first, second, *refused, again = asyncio.run(run())
    assert (first, second, again) == ("done", "done", "again")
    assert [type(each) for each in refused] == [StorageBusyError] * 3
    assert len(begun) == 2


def test_run_raises_what_the_work_raises() -> None:
    """An error of the work comes out, and its place is free again."""

    def fail() -> None:
        raise KeyError

    gate = Gate(1, waiting=5)
    assert [type(each) for each in together(gate, [fail] * 3)] == [KeyError] * 3
