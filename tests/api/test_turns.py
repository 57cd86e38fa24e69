"""Small calculations take turns: whoever asks for little is answered between two of them."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import TypeVar

import pytest
from starlette.testclient import TestClient

from service.api.turns import MOST_AHEAD_MS, Turns, TurnsByLoop
from service.calculators import Bounds, Door
from tests.given.door import Counted
from tests.given.heavy import small_request

T = TypeVar("T")


def rounds_between(fails: bool) -> list[int]:
    """How many rounds the loop has made as each of five that came together is done."""
    done: list[int] = []
    rounds = 0

    def work() -> None:
        done.append(rounds)
        if fails:
            raise ValueError

    async def count() -> None:
        nonlocal rounds
        while True:
            rounds += 1
            await asyncio.sleep(0)

    async def one(turns: Turns) -> None:
        with suppress(ValueError):
            await turns.take(work)

    async def run() -> None:
        turns = Turns()
        counting = asyncio.ensure_future(count())
        await asyncio.gather(*(one(turns) for _ in range(5)))
        counting.cancel()

    asyncio.run(run())
    return done


@pytest.mark.parametrize("fails", [False, True])
def test_loop_goes_on_between_two_calculations(fails: bool) -> None:
    """Each of several that came at once, also one that is refused, has a round of its own."""
    done = rounds_between(fails)
    assert len(done) == len(set(done)) == 5


def test_loops_of_several_threads_do_not_wait_for_each_other() -> None:
    """While one loop has a turn, another's calculation is done."""
    turns, inside, other = TurnsByLoop(), threading.Event(), threading.Event()

    def hold() -> bool:
        inside.set()
        return other.wait(20)

    with ThreadPoolExecutor(1) as pool:
        held = pool.submit(asyncio.run, take(turns, hold, 1000))
        assert inside.wait(20)
        asyncio.run(take(turns, other.set, 1000))
        assert held.result(20)


async def take(turns: TurnsByLoop, work: Callable[[], T], cost_ms: float) -> T:
    """What work comes to in a turn of the loop that runs, which nothing waits for."""
    assert turns.get().has_room(cost_ms)
    return await asyncio.wait_for(turns.get().take(work, cost_ms), 10)


def test_ahead_is_what_waits() -> None:
    """So much waits as those cost that came and aren't done; one that left counts no more."""
    seen: list[float] = []

    async def run() -> None:
        turns = Turns()
        told: Callable[[], None] = lambda: seen.append(turns.ahead_ms)  # noqa: E731
        tasks = [asyncio.ensure_future(turns.take(told, cost)) for cost in (30.0, 50.0, 90.0)]
        await asyncio.sleep(0)
        seen.append(turns.ahead_ms)
        assert not turns.has_room(1.0)
        tasks[1].cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        seen.append(turns.ahead_ms)
        assert turns.has_room(MOST_AHEAD_MS)

    asyncio.run(run())
    assert seen == [30.0, 170.0, 90.0, 0.0]


@pytest.fixture
def door(client: TestClient) -> Iterator[Door]:
    """The door of the service to a process that calculates."""
    state = client.app.state  # type: ignore[attr-defined]
    held, state.door = state.door, Door(Bounds(calculators=1, waiting=1, times_cost=4.0))
    yield state.door
    assert client.portal is not None
    client.portal.call(state.door.close)
    state.door = held


@pytest.mark.parametrize(("ahead_ms", "busy", "times"), [(0, 0, 0), (100, 0, 1), (100, 1000, 0)])
def test_small_requests_go_where_a_process_is_free(
    client: TestClient,
    door: Door,
    monkeypatch: pytest.MonkeyPatch,
    ahead_ms: float,
    busy: int,
    times: int,
) -> None:
    """With much ahead of it a small request is calculated by a free process, never by one that
    is let already; the answer is the same."""
    body = small_request()
    expected = client.post("/v1/quotes", json=body).content
    counted = Counted(monkeypatch)
    turns = Turns()
    turns.ahead_ms = ahead_ms
    monkeypatch.setattr(TurnsByLoop, "get", lambda _: turns)
    monkeypatch.setattr(door, "inside", busy)
    assert client.post("/v1/quotes", json=body).content == expected
    assert counted.times == times
