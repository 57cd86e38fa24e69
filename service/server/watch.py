"""One timer for each connection: cheap to move, looked at when it rings."""

from __future__ import annotations

import asyncio
import math
from collections.abc import Callable
from typing import Literal

Awaited = Literal["head", "body", "rest", "answer"]


class Watch:
    """What a connection waits for, and until when; `late` is called with what did not come.

    A deadline that is moved later leaves the timer alone: when it rings, it looks.
    """

    def __init__(self, loop: asyncio.AbstractEventLoop, late: Callable[[Awaited], None]) -> None:
        self.awaited: Awaited | None = None
        self._loop = loop
        self._late = late
        self._until = math.inf
        self._timer: asyncio.TimerHandle | None = None

    def wait(self, awaited: Awaited, seconds: float) -> None:
        """Wait for something from now on."""
        self.awaited, self._until = awaited, self._loop.time() + seconds
        if self._timer is not None and self._timer.when() > self._until:
            self._timer.cancel()
            self._timer = None
        if self._timer is None:
            self._timer = self._loop.call_at(self._until, self._ring)

    def rest(self) -> None:
        """Wait for nothing."""
        self.awaited, self._until = None, math.inf

    def stop(self) -> None:
        """The connection is gone."""
        self.rest()
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None

    def _ring(self) -> None:
        self._timer = None
        if self.awaited is None:
            return
        if self._loop.time() < self._until:
            self._timer = self._loop.call_at(self._until, self._ring)
        else:
            self._late(self.awaited)
