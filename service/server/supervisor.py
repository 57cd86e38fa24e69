"""Several processes that answer on one socket: all begun here, replaced when one dies, and stopped
together."""

from __future__ import annotations

import logging
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing.connection import wait
from multiprocessing.context import SpawnContext, SpawnProcess
from types import FrameType
from typing import Final

STOP_SIGNALS: Final = (signal.SIGTERM, signal.SIGINT, signal.SIGHUP)
# A process that can't begin is not begun again at once.
AGAIN_SECONDS: Final = 1.0
# What a process may take to end beyond the time that running requests have.
END_SECONDS: Final = 10.0

_log = logging.getLogger("service.server")


@dataclass(frozen=True, slots=True)
class Member:
    """A process, and when it was begun."""

    process: SpawnProcess
    begun: float


class Supervisor:
    """Keeps so many processes alive. `begin` makes one, which is yet to be started."""

    def __init__(self, processes: int, begin: Callable[[SpawnContext], SpawnProcess]) -> None:
        self._number = processes
        self._begin = begin
        self._context = SpawnContext()
        self._members: list[Member] = []
        self._stopping = False

    def run(self, graceful_seconds: float) -> None:
        """Until SIGTERM, SIGINT or SIGHUP; back when all have ended, in time or killed."""
        with handled(self._stop):
            while not self._stopping:
                self._fill()
                self._wait(AGAIN_SECONDS)
            self._end(time.monotonic() + graceful_seconds + END_SECONDS)

    def _fill(self) -> None:
        """Begin as many as are missing, each no sooner than some time after the last that died."""
        for _ in range(self._number - len(self._members)):
            process = self._begin(self._context)
            process.start()
            self._members.append(Member(process, time.monotonic()))
            if self._stopping:  # the signal came before the process was known
                process.terminate()

    def _wait(self, seconds: float) -> None:
        """Wait until one ends, and forget it."""
        wait([member.process.sentinel for member in self._members], seconds)
        for member in [each for each in self._members if not each.process.is_alive()]:
            self._members.remove(member)
            member.process.join()
            if not self._stopping:
                _log.error("a process ended with %s; another begins", member.process.exitcode)
                time.sleep(max(0.0, AGAIN_SECONDS - (time.monotonic() - member.begun)))

    def _end(self, until: float) -> None:
        while self._members and time.monotonic() < until:
            self._wait(AGAIN_SECONDS)
        for member in self._members:
            member.process.kill()
            member.process.join()

    def _stop(self) -> None:
        self._stopping = True
        for member in self._members:
            member.process.terminate()


@contextmanager
def handled(stop: Callable[[], None]) -> Iterator[None]:
    """Within the block the signals that stop a service call `stop`."""

    def on_signal(_number: int, _frame: FrameType | None) -> None:
        stop()

    before = {number: signal.signal(number, on_signal) for number in STOP_SIGNALS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
