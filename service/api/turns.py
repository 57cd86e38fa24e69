"""What the event loop reads and calculates itself, in turns: between two others are answered.

Each is done at once where no other waits; of many that came together one in each round of the
loop, in the order in which they came.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Final, TypeVar
from weakref import WeakKeyDictionary

T = TypeVar("T")

# What may wait for its turn, in ms of one core, while a process that calculates is free.
MOST_AHEAD_MS: Final = 100.0


class Turns:
    """Who calculates next on the loop. `ahead_ms`: what those who wait are thought to take."""

    def __init__(self) -> None:
        self._one = asyncio.Lock()
        self.ahead_ms = 0.0

    def has_room(self, cost_ms: float) -> bool:
        """Whether one more is soon done: nothing waits, or little."""
        return not self.ahead_ms or self.ahead_ms + cost_ms <= MOST_AHEAD_MS

    async def take(self, function: Callable[[], T], cost_ms: float = 0.0) -> T:
        """What a function comes to, in its turn. Raises what it raises."""
        self.ahead_ms += cost_ms
        try:
            async with self._one:
                try:
                    return function()
                finally:
                    await asyncio.sleep(0)  # a round for all others
        finally:
            self.ahead_ms -= cost_ms


class TurnsByLoop:
    """Turns of each loop that an application is called in: a service has one, tests several."""

    def __init__(self) -> None:
        self._known = WeakKeyDictionary[asyncio.AbstractEventLoop, Turns]()

    def get(self) -> Turns:
        """Those of the loop that runs."""
        return self._known.setdefault(asyncio.get_running_loop(), Turns())
