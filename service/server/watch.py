"""One timer for each connection: cheap to move, looked at when it rings."""

from __future__ import annotations

import asyncio
import math
from collections import deque
from collections.abc import Callable
from typing import Final, Literal

Awaited = Literal["head", "body", "rest", "answer", "request"]
# How many are shut out before all others have their turn again.
LATE_TOGETHER: Final = 8


class LateLine:
    """Those whose time is over, in a line: of a crowd that is late at one moment a few are shut
    out in each turn of the event loop, and everybody else is answered between them. It also knows
    who is waited for, the longest first."""

    def __init__(self) -> None:
        self._line: deque[Callable[[], None]] = deque()
        self._awaited: dict[Watch, None] = {}

    def put_last(self, watch: Watch) -> None:
        """Wait for somebody from now on."""
        self._awaited.pop(watch, None)
        self._awaited[watch] = None

    def leave_out(self, watch: Watch) -> None:
        """Wait for somebody no longer."""
        self._awaited.pop(watch, None)

    def make_room(self) -> None:
        """Shut out whoever has been waited for longest; nobody where all are being served."""
        if longest := next(iter(self._awaited), None):
            self.leave_out(longest)
            longest.give_up()

    def put(self, loop: asyncio.AbstractEventLoop, shut: Callable[[], None]) -> None:
        """Have one shut out when it is its turn."""
        self._line.append(shut)
        if len(self._line) == 1:
            loop.call_soon(self._go_on, loop)

    def _go_on(self, loop: asyncio.AbstractEventLoop) -> None:
        for _ in range(min(LATE_TOGETHER, len(self._line))):
            loop.call_soon(self._line.popleft())
        if self._line:
            loop.call_soon(self._go_on, loop)


class Watch:
    """What a connection waits for, and until when; `late` is called with what did not come.

    A deadline that is moved later leaves the timer alone: when it rings, it looks.
    """

    def __init__(
        self, loop: asyncio.AbstractEventLoop, line: LateLine, late: Callable[[Awaited], None]
    ) -> None:
        self.awaited: Awaited | None = None
        self._loop = loop
        self._line = line
        self._late = late
        self._until = math.inf
        self._timer: asyncio.TimerHandle | None = None

    def wait(self, awaited: Awaited, seconds: float) -> None:
        """Wait for something from now on."""
        self.awaited, self._until = awaited, self._loop.time() + seconds
        self._line.put_last(self)
        if self._timer is not None and self._timer.when() > self._until:
            self._timer.cancel()
            self._timer = None
        if self._timer is None:
            self._timer = self._loop.call_at(self._until, self._ring)

    def rest(self) -> None:
        """Wait for nothing."""
        self.awaited, self._until = None, math.inf
        self._line.leave_out(self)

    def give_up(self) -> None:
        """Wait no longer, whatever time is left."""
        if self.awaited is not None:
            self._late(self.awaited)

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
            self._line.put(self._loop, self._shut)

    def _shut(self) -> None:
        """What was waited for did not come, not even while others were shut out."""
        if self.awaited is not None and self._timer is None:
            self._late(self.awaited)
