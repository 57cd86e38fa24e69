"""The server, and how it stops: what was asked is answered, and nothing is left half done."""

from __future__ import annotations

import asyncio
import gc
import signal
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Final

import uvicorn

STOP_SIGNALS: Final = (signal.SIGTERM, signal.SIGINT, signal.SIGHUP)
# A caller that has connected gets half a second to say what it wants once the service stops.
SETTLE_LOOKS: Final = 25
_LOOK_SECONDS = 0.02
# Turns of the event loop in which it takes every caller in that the system has connected.
_TURNS = 10


class Server(uvicorn.Server):
    """A server that answers everybody who was connected before it stopped.

    The library closes its door and then each connection on which no request has been read: that
    resets callers who are connected but not taken in yet, and those whose request has arrived and
    was not looked at, while calculations kept the event loop busy. Here they are all taken in and
    read first.
    """

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Take in who is there, close the door, wait for what they want; then stop."""
        await _turn()
        for each in self.servers:
            each.close()
        await self._settled()
        await super().shutdown(sockets)

    async def _settled(self) -> None:
        """Read what has arrived; wait a moment for those who have said nothing yet."""
        await _turn()
        for _ in range(SETTLE_LOOKS):
            if not self._silent():
                break
            await asyncio.sleep(_LOOK_SECONDS)
        await _turn()

    def _silent(self) -> bool:
        """Whether there is a connection on which no request was read yet."""
        connections = self.server_state.connections
        return any(getattr(each, "cycle", None) is None for each in connections)


def run(server: uvicorn.Server, sockets: list[socket.socket] | None = None) -> None:
    """Serve until SIGTERM, SIGINT or SIGHUP, and come back: the caller has to close its store.

    The library raises the signal once more when it has stopped, which would end the process
    there and then. What is loaded by now stays for good: the garbage collector leaves it out,
    or each of its full rounds would look at the whole catalog, a tenth of a second long.
    """
    gc.freeze()
    with _stopped_by_signals(server):
        server.run(sockets)


@contextmanager
def _stopped_by_signals(server: uvicorn.Server) -> Iterator[None]:
    def stop(_number: int, _frame: FrameType | None) -> None:
        server.should_exit = True

    before = {number: signal.signal(number, stop) for number in STOP_SIGNALS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


async def _turn() -> None:
    for _ in range(_TURNS):
        await asyncio.sleep(0)
