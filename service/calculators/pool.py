"""The processes that calculate, as a pool that mends itself."""

from __future__ import annotations

import asyncio
import threading
import time
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from multiprocessing.context import SpawnContext, SpawnProcess
from typing import Final

from pebble import ProcessExpired, ProcessFuture, ProcessPool

from service.calculators.outcome import Outcome
from service.calculators.process import begin, work

# A pool that breaks while a task is on its way may leave it lying: this often it is looked at.
LOOK_SECONDS: Final = 1.0
# What a process may take to begin: a task that nobody has taken up by then lies, and is lost.
BEGIN_SECONDS: Final = 30.0
# So often it is given to a pool before it counts as lost.
TRIES: Final = 3
# An idle process that dies takes the pool with it, and one that runs its task.
LOST = (ProcessExpired, BrokenProcessPool)


class TaskLostError(Exception):
    """The process that had the task is gone, and the task with it."""


class _TaskLiesError(Exception):
    """Nobody has taken the task up: its pool broke, or waits for a process that is gone."""


class Pool:
    """So many processes, begun at first need. One that dies is replaced."""

    def __init__(self, processes: int) -> None:
        self._processes = processes
        self._pool: ProcessPool | None = None
        self._retired: list[threading.Thread] = []
        self._closed = False
        self._lock = threading.Lock()

    async def run(self, task: tuple[str, bytes, bytes | None], seconds: float) -> Outcome:
        """Run a task in a process. Who is cancelled here ends the process that has it.

        Raises TimeoutError after so many seconds, and TaskLostError.
        """
        for _ in range(TRIES):
            with suppress(_TaskLiesError):
                return await self._given(task, seconds)
        raise TaskLostError

    async def _given(self, task: tuple[str, bytes, bytes | None], seconds: float) -> Outcome:
        """Give a task to the pool that there is. Raises as `run` does, and _TaskLiesError."""
        pool = await asyncio.to_thread(self._running)
        try:
            future = pool.schedule(work, args=task, timeout=seconds)
        except RuntimeError as error:  # it broke this very moment
            raise _TaskLiesError from error
        try:
            return await self._wait(pool, future, seconds)
        except LOST as error:
            raise TaskLostError from error

    def close(self) -> None:
        """End all processes, whatever they do; none begins any more. Waits for it."""
        with self._lock:
            self._closed = True
            self._retire()
        for each in self._retired:
            each.join()

    async def _wait(
        self, pool: ProcessPool, future: ProcessFuture[Outcome], seconds: float
    ) -> Outcome:
        done = asyncio.wrap_future(future)
        began = time.monotonic()
        try:
            while pool.active:
                await asyncio.wait((done,), timeout=LOOK_SECONDS)
                if done.done():
                    return done.result()
                given = BEGIN_SECONDS + (seconds if future.running() else 0)
                if time.monotonic() > began + given:
                    break
            begun = future.running()
        finally:
            done.cancel()
        await asyncio.to_thread(self._replace, pool)
        raise TaskLostError if begun else _TaskLiesError

    def _running(self) -> ProcessPool:
        """The pool; a new one where there is none or it broke. Beginning it takes a moment."""
        with self._lock:
            if self._closed:
                raise TaskLostError
            if self._pool is None or not self._pool.active:
                self._retire()
                self._pool = ProcessPool(self._processes, initializer=begin, context=_Context())
                _ = self._pool.active  # which begins it
            return self._pool

    def _replace(self, pool: ProcessPool) -> None:
        with self._lock:
            if self._pool is pool:
                self._retire()

    def _retire(self) -> None:
        """Let the pool end by the way: its processes are waited for by a thread."""
        if self._pool is not None:
            ending = threading.Thread(target=_end, args=(self._pool,), daemon=True)
            ending.start()
            self._retired = [each for each in self._retired if each.is_alive()] + [ending]
            self._pool = None


def _end(pool: ProcessPool) -> None:
    pool.stop()  # type: ignore[no-untyped-call]
    pool.join()


class _Process(SpawnProcess):
    """A process that is ended at once: it heeds no other signal."""

    def terminate(self) -> None:
        self.kill()


class _Context(SpawnContext):
    """A new interpreter each: it inherits no connection, and no lock that a thread holds."""

    Process = _Process
