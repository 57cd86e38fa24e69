"""The socket on which several processes answer."""

from __future__ import annotations

import asyncio
import socket

from service.cli.side_by_side import open_socket


class Taken(asyncio.Protocol):
    """A caller that was taken in: whether what it gets is sent at once."""

    def __init__(self, found: asyncio.Future[bool]) -> None:
        self._found = found

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Look at its socket."""
        taken: socket.socket = transport.get_extra_info("socket")
        self._found.set_result(bool(taken.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)))
        transport.close()


async def is_sent_at_once(listening: socket.socket) -> bool:
    """Whether a caller on this socket is answered without waiting for a full packet."""
    loop = asyncio.get_running_loop()
    found = loop.create_future()
    async with await loop.create_server(lambda: Taken(found), sock=listening):
        _, writer = await asyncio.open_connection(*listening.getsockname()[:2])
        sent: bool = await found
        writer.close()
    return sent


def test_answers_of_several_processes_are_sent_at_once() -> None:
    """An answer of two writes would wait for what the caller's system owes: 40 ms on each call of
    a connection that is kept. The protocol is handed on with the socket."""
    with open_socket("127.0.0.1", 0) as listening:
        assert listening.proto == socket.IPPROTO_TCP
        assert asyncio.run(is_sent_at_once(listening))
