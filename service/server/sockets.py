"""What the system is told of a connection: it holds answers too, and longer than the service.

An answer of a few MB fits into what the system keeps for a caller, so the service has written it
and may have closed the connection while nobody reads. As long as the caller's system says that it
is alive, the rest of it would be kept.
"""

from __future__ import annotations

import asyncio
import socket
from contextlib import suppress


def drop_unread_after(transport: asyncio.Transport, seconds: float) -> None:
    """Let the system end a connection whose caller takes nothing for so long, also after the
    service has closed it (tcp(7): TCP_USER_TIMEOUT; Linux alone)."""
    option = getattr(socket, "TCP_USER_TIMEOUT", None)
    held = transport.get_extra_info("socket")
    if option is not None and held is not None:
        with suppress(OSError):  # a socket file has no such option
            held.setsockopt(socket.IPPROTO_TCP, option, max(1, round(seconds * 1000)))
