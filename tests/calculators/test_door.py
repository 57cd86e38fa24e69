"""The door to the processes that calculate."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Coroutine
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pytest

from service.calculators import (
    Bounds,
    CalculationFailedError,
    CalculationStoppedError,
    Door,
    DoorBusyError,
)
from service.calculators import pool as pool_module
from service.calculators.outcome import Done
from service.calculators.packing import pack
from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from tests.given import errands, processes

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ONE = Bounds(calculators=1, waiting=1, times_cost=4.0, least_seconds=60.0)
ROOT = Path(__file__).resolve().parents[2]
# A service that waits for a process, which says in a file who it is.
WAITING = """
import asyncio, sys
from pathlib import Path
from service.calculators import Bounds, Door
from service.catalog import load_catalog
from tests.given.errands import wait_always
door = Door(Bounds(calculators=1, waiting=1, times_cost=1.0))
asyncio.run(door.run(wait_always, load_catalog(()), Path(sys.argv[1]), 1))
"""


@contextlib.asynccontextmanager
async def opened(bounds: Bounds = ONE) -> AsyncIterator[Door]:
    """A door, closed at the end."""
    door = Door(bounds)
    try:
        yield door
    finally:
        await door.close()


def within(work: Coroutine[Any, Any, None]) -> None:
    """Run a test's work, which ends within a minute."""
    asyncio.run(asyncio.wait_for(work, 60))


async def until(ready: Callable[[], bool]) -> None:
    """Wait until something holds."""
    end = time.monotonic() + processes.SOON
    while not ready():
        assert time.monotonic() < end
        await asyncio.sleep(0.02)


def lines(mark: Path) -> list[str]:
    """What was written into a file so far."""
    return mark.read_text("ascii").split() if mark.exists() else []


def test_run_calculates_elsewhere_with_the_catalog(catalog: Catalog) -> None:
    """A function is given the catalog and its argument in another process, which stands back, and
    the next one runs in the same process."""

    async def work() -> None:
        async with opened() as door:
            assert await door.run(errands.version_of, catalog, "x", 1) == (catalog.version, "x")
            first = await door.run(errands.process_id, catalog, None, 1)
            assert first != os.getpid()
            assert await door.run(errands.process_id, catalog, None, 1) == first
            back = await door.run(errands.niceness, catalog, None, 1)
            assert back == min(19, os.nice(0) + 5)

    within(work())


def test_run_keeps_no_memory(catalog: Catalog) -> None:
    """Large blocks that are freed in a process that calculates are given back, whatever size was
    freed before, and though something above them is kept."""

    async def work() -> None:
        async with opened() as door:
            more = await door.run(errands.freed_mib, catalog, 200, 1)
            assert more < 10

    within(work())


def test_run_gives_each_its_own_catalog(catalog: Catalog) -> None:
    """Callers with an older and a newer catalog, in turns: each gets what its own says."""
    newer, newest = replace(catalog, version="b" * 64), replace(catalog, version="c" * 64)

    async def work() -> None:
        async with opened() as door:
            for each in (catalog, newer, catalog, newer, newest, catalog):
                assert await door.run(errands.version_of, each, "", 1) == (each.version, "")

    within(work())


def test_run_hands_faults_back(catalog: Catalog) -> None:
    """Faults come back with every part, as the same error."""

    async def work() -> None:
        async with opened() as door:
            with pytest.raises(QuoteFaultsError) as caught:
                await door.run(errands.find_faults, catalog, None, 1)
            assert caught.value.faults == errands.TOLD

    within(work())


def test_run_tells_failures_without_their_text(catalog: Catalog) -> None:
    """Of what nobody expected come kind and place, not the text, which may quote a caller."""

    async def work() -> None:
        async with opened() as door:
            with pytest.raises(CalculationFailedError) as caught:
                await door.run(errands.fail, catalog, "secret", 1)
            assert caught.value.kind == "ZeroDivisionError"
            assert "fail:" in caught.value.where
            assert "secret" not in f"{caught.value!r} {caught.value.where}"

    within(work())


def test_run_gives_back_what_can_be_sent(catalog: Catalog) -> None:
    """A read-only mapping comes back as one; what can't be sent is a failure, and the process goes
    on."""

    async def work() -> None:
        async with opened() as door:
            found = await door.run(errands.read_only, catalog, 3, 1)
            assert type(found) is MappingProxyType
            assert found == {"value": 3}
            process = await door.run(errands.process_id, catalog, None, 1)
            with pytest.raises(CalculationFailedError):
                await door.run(errands.unsendable, catalog, None, 1)
            assert await door.run(errands.process_id, catalog, None, 1) == process

    within(work())


def test_run_lets_so_many_wait(catalog: Catalog) -> None:
    """One calculates, one waits, a third is told when to come again; one who waits however many
    there are does; and there is room once they are done."""

    async def work() -> None:
        async with opened() as door:
            two = [
                asyncio.create_task(door.run(errands.wait, catalog, 0.5, 1500)) for _ in range(2)
            ]
            await asyncio.sleep(0)
            with pytest.raises(DoorBusyError) as caught:
                await door.run(errands.process_id, catalog, None, 1)
            assert caught.value.seconds == 3
            patient = asyncio.create_task(
                door.run(errands.process_id, catalog, None, 1, waits=True)
            )
            await asyncio.sleep(0)
            assert len({*await asyncio.gather(*two), await patient}) == 1
            assert await door.run(errands.process_id, catalog, None, 1) == await two[0]

    within(work())


def test_run_stops_what_takes_too_long(catalog: Catalog, tmp_path: Path) -> None:
    """After the deadline the process is ended and another one calculates."""
    bounds = replace(ONE, times_cost=2.0, least_seconds=0.2)

    async def work() -> None:
        mark = tmp_path / "mark"
        async with opened(bounds) as door:
            with pytest.raises(CalculationStoppedError) as caught:
                await door.run(errands.wait_always, catalog, mark, 300)
            assert (caught.value.seconds, caught.value.cost_ms) == (0.6, 300)
            (stopped,) = mark.read_text("ascii").split()
            await until(lambda: not processes.is_there(int(stopped)))
            assert await door.run(errands.process_id, catalog, None, 1) != int(stopped)

    within(work())


def test_run_begins_again_where_its_process_is_killed(catalog: Catalog, tmp_path: Path) -> None:
    """The process is killed while it calculates: the caller is answered by another one."""

    async def work() -> None:
        mark = tmp_path / "mark"
        async with opened() as door:
            running = asyncio.create_task(door.run(errands.wait_once, catalog, mark, 1))
            await until(lambda: bool(lines(mark)))
            killed = int(mark.read_text("ascii"))
            os.kill(killed, signal.SIGKILL)
            assert await running != killed

    within(work())


def test_run_fails_where_two_processes_are_killed(catalog: Catalog, tmp_path: Path) -> None:
    """Who kills its process twice gets no third one."""

    async def work() -> None:
        mark = tmp_path / "mark"
        async with opened() as door:
            running = asyncio.create_task(door.run(errands.wait_always, catalog, mark, 1))
            for number in (1, 2):
                await until(lambda: len(lines(mark)) == number)  # noqa: B023
                os.kill(int(lines(mark)[-1]), signal.SIGKILL)
            with pytest.raises(CalculationFailedError):
                await running
            assert await door.run(errands.process_id, catalog, None, 1)

    within(work())


@pytest.mark.parametrize("pause", [0.0, 0.5], ids=["at once", "later"])
def test_run_outlives_the_end_of_an_idle_process(catalog: Catalog, pause: float) -> None:
    """An idle process is killed: whoever comes next, at once or later, is answered by another."""

    async def work() -> None:
        async with opened() as door:
            for _ in range(2):
                idle = await door.run(errands.process_id, catalog, None, 1)
                os.kill(idle, signal.SIGKILL)
                await asyncio.sleep(pause)
                assert await door.run(errands.process_id, catalog, None, 1) != idle

    within(work())


def test_task_that_nobody_takes_up_goes_to_another_pool(
    catalog: Catalog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pool whose process is stuck is given up in time, and the task with it is done by the
    next one; the task that was stuck itself is lost."""
    monkeypatch.setattr(pool_module, "BEGIN_SECONDS", 6.0)

    async def work() -> None:
        mark = tmp_path / "mark"
        pool = pool_module.Pool(1)
        try:
            version, given = catalog.version, pack(catalog)
            stuck = asyncio.create_task(
                pool.run((version, pack((errands.wait_always, mark)), given), 60)
            )
            await until(lambda: bool(lines(mark)))
            outcome = await pool.run((version, pack((errands.process_id, None)), given), 60)
            assert isinstance(outcome, Done)
            with pytest.raises(pool_module.TaskLostError):
                await stuck
        finally:
            await asyncio.to_thread(pool.close)

    within(work())


def test_run_frees_the_place_of_who_leaves(catalog: Catalog, tmp_path: Path) -> None:
    """Who waits and leaves makes room; who calculates and leaves ends the process."""

    async def work() -> None:
        mark = tmp_path / "mark"
        async with opened() as door:
            running = asyncio.create_task(door.run(errands.wait_always, catalog, mark, 1))
            await until(lambda: bool(lines(mark)))
            waiting = asyncio.create_task(door.run(errands.process_id, catalog, None, 1))
            await asyncio.sleep(0)
            await left(waiting)
            waiting = asyncio.create_task(door.run(errands.process_id, catalog, None, 1))
            await asyncio.sleep(0)
            await left(running)
            ended = int(mark.read_text("ascii"))
            assert await waiting != ended
            await until(lambda: not processes.is_there(ended))

    within(work())


async def left(task: Awaitable[Any]) -> None:
    """End a task as a caller who leaves does."""
    assert isinstance(task, asyncio.Task)
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_process_heeds_no_signal_meant_for_the_service(
    catalog: Catalog, number: signal.Signals
) -> None:
    """A signal to the whole group leaves calculations to finish: the service ends them."""

    async def work() -> None:
        async with opened() as door:
            process = await door.run(errands.process_id, catalog, None, 1)
            running = asyncio.create_task(door.run(errands.wait, catalog, 0.3, 1))
            await asyncio.sleep(0.1)
            os.kill(process, number)
            assert await running == process

    within(work())


def test_process_ends_with_its_parent(tmp_path: Path) -> None:
    """The service is killed while a process calculates: that ends, too."""
    mark = tmp_path / "mark"
    with subprocess.Popen([sys.executable, "-c", WAITING, str(mark)], cwd=ROOT) as service:
        try:
            processes.until(lambda: bool(lines(mark)))
        finally:
            service.kill()
    processes.until(lambda: not processes.is_there(int(lines(mark)[0])))


def test_close_ends_processes(catalog: Catalog, tmp_path: Path) -> None:
    """Nothing is left of them, whatever they do, and none begins any more."""

    async def work() -> None:
        mark = tmp_path / "mark"
        async with opened(replace(ONE, calculators=2)) as door:
            idle = await door.run(errands.process_id, catalog, None, 1)
            running = asyncio.create_task(door.run(errands.wait_always, catalog, mark, 1))
            await until(lambda: bool(lines(mark)))
        assert not processes.is_there(int(mark.read_text("ascii")))
        assert not processes.is_there(idle)
        with pytest.raises(CalculationFailedError):
            await running

    within(work())
