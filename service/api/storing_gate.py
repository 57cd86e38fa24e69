"""How many calls may be at the database together, so that one that is locked or frozen holds up
those who need it and nobody else."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextvars import copy_context
from dataclasses import dataclass, field
from typing import Any, Final, TypeVar

from service.storage import StorageBusyError

T = TypeVar("T")

# Calls that store wait for each other anyway; those that read do not.
STORING_THREADS: Final = 8
READING_THREADS: Final = 16
LOOKING_THREADS: Final = 4
# Beyond them so many wait, so long.
MOST_WAITING: Final = 256
WAIT_SECONDS: Final = 10.0


class Gate:
    """Lets so many calls at the database at a time, in threads of its own, first come first."""

    def __init__(self, threads: int, *, waiting: int, seconds: float = WAIT_SECONDS) -> None:
        self._threads = ThreadPoolExecutor(threads, thread_name_prefix="database")
        self._most, self._seconds = threads + waiting, seconds
        self._inside = 0
        self._lock = threading.Lock()

    async def run(self, work: Callable[[], T]) -> T:
        """Do it when it is its turn. Raises StorageBusyError where too many wait, or the wait
        takes too long, and what `work` raises. What has begun goes on to its end, whether
        somebody still waits for it or not."""
        future = self._submit(work)
        done = asyncio.wrap_future(future)
        await asyncio.wait((done,), timeout=self._seconds)
        if future.cancel():
            raise StorageBusyError("the calls before this one hold the database")
        return await asyncio.shield(done)

    def _submit(self, work: Callable[[], T]) -> Future[T]:
        with self._lock:
            if self._inside >= self._most:
                raise StorageBusyError("too many calls wait for the database")
            self._inside += 1
        future: Future[T] = self._threads.submit(copy_context().run, work)
        future.add_done_callback(self._leave)
        return future

    def _leave(self, _future: Future[Any]) -> None:
        with self._lock:
            self._inside -= 1


@dataclass(frozen=True, slots=True)
class Gates:
    """The gate of calls that store, of those that read, and of those that look how it is."""

    storing: Gate = field(default_factory=lambda: Gate(STORING_THREADS, waiting=MOST_WAITING))
    reading: Gate = field(default_factory=lambda: Gate(READING_THREADS, waiting=MOST_WAITING))
    looking: Gate = field(default_factory=lambda: Gate(LOOKING_THREADS, waiting=MOST_WAITING))
