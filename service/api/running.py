"""How many calls run at once: beyond a bound a caller is told to come again."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from starlette.types import Message, Receive

from service.api.problems import ProblemError

RETRY_SECONDS = "2"
# Whether the process lives is told however much it has to do.
_HEALTH = "/health/"


class Running:
    """The calls of a process that are being answered. One that waits for its caller, who owes the
    rest of a body, doesn't run: a crowd of half bodies shuts nobody out."""

    def __init__(self, most: int) -> None:
        self.most = most
        self.number = 0

    @contextmanager
    def call(self, path: str, receive: Receive) -> Iterator[Receive]:
        """Count a call while it runs, and see when it waits for its body: the block asks for it by
        what it is given. Raises ProblemError 503 `busy` where as many run as may."""
        if path.startswith(_HEALTH):
            yield receive
            return
        if self.number >= self.most:
            raise ProblemError("busy", headers={"Retry-After": RETRY_SECONDS})
        self.number += 1
        try:
            yield _Waiting(self, receive)
        finally:
            self.number -= 1


class _Waiting:
    """A call's way to its body."""

    __slots__ = ("_more", "_receive", "_running")

    def __init__(self, running: Running, receive: Receive) -> None:
        self._running = running
        self._receive = receive
        self._more = True

    async def __call__(self) -> Message:
        if not self._more:
            return await self._receive()
        self._running.number -= 1
        try:
            message = await self._receive()
        finally:
            self._running.number += 1
        self._more = message.get("more_body", False)
        return message
