"""The server, and how it stops: what was asked is answered, and nothing is left half done."""

from __future__ import annotations

import asyncio
import gc
import select
import socket
import sys
from typing import Final

import uvicorn
from fastapi import FastAPI

from service.api.front import MAX_HEAD_BYTES
from service.server import Bounds, bounded_protocol, handled
from service.settings import Settings

# A caller that has connected gets half a second to say what it wants once the service stops.
SETTLE_LOOKS: Final = 25
_LOOK_SECONDS = 0.02
# Callers that wait to be taken in.
LINE: Final = 2048
# After so long a thread that reads something large lets the event loop go on, which has to get the
# interpreter back several times for each answer.
SWITCH_SECONDS: Final = 0.001
# Turns of the event loop in which it takes every caller in that the system has connected.
_TURNS = 10


class Server(uvicorn.Server):
    """A server that answers everybody who was connected before it stopped.

    The library closes its door and then each connection on which no request has been read: that
    resets callers who are connected but not taken in yet, and those whose request has arrived and
    was not looked at, while calculations kept the event loop busy. Here they are all taken in and
    read first.
    """

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to answer. Of several processes on one socket each takes in one caller at a time
        (`backlog` of the settings), and those who are not taken in yet wait in one long line."""
        await super().startup(sockets)
        for each in sockets or ():
            each.listen(LINE)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Take in who is there, close the door, wait for what they want; then stop."""
        await _turn()
        for listening in sockets or ():
            await _all_taken(listening)
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

    def stop() -> None:
        server.should_exit = True

    gc.freeze()
    sys.setswitchinterval(SWITCH_SECONDS)
    with handled(stop):
        server.run(sockets)


def server_config(app: FastAPI, host: str, port: int, settings: Settings) -> uvicorn.Config:
    """How the server runs: the strict parser, small heads, no trust in forwarded addresses.

    Nobody is turned away because others hold connections and are silent: with one too many, who
    has been waited for longest goes.
    """
    bounds = Bounds(
        head_seconds=settings.head_seconds,
        body_seconds=settings.body_seconds,
        answer_seconds=settings.answer_seconds,
        idle_seconds=settings.idle_seconds,
        connections=settings.connections,
        per_address=settings.connections_per_address,
    )
    return uvicorn.Config(
        app,
        host=host,
        port=port,
        http=bounded_protocol(bounds),
        ws="none",
        h11_max_incomplete_event_size=MAX_HEAD_BYTES,
        timeout_keep_alive=settings.idle_seconds,
        timeout_graceful_shutdown=settings.graceful_seconds,
        proxy_headers=False,
        server_header=False,
        access_log=False,
        log_config=None,
    )


async def _turn() -> None:
    for _ in range(_TURNS):
        await asyncio.sleep(0)


async def _all_taken(listening: socket.socket) -> None:
    """Wait until nobody stands in line any more, or another process takes them."""
    for _ in range(LINE):
        if not select.select([listening], [], [], 0)[0]:
            break
        await asyncio.sleep(0)
