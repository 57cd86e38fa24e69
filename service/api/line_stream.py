"""An answer that begins while its request still arrives: lines in, lines out, one at a time.

The one reader of `receive` is here: a framework's own way of reading a body breaks once its
answer has begun. The calculation runs on a thread, so that other callers are answered meanwhile.
"""

from __future__ import annotations

import asyncio

from starlette.requests import ClientDisconnect
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from service.api.batch import Batch
from service.api.batch_calculated import answered
from service.api.bodies import NDJSON
from service.api.failures import log_failure
from service.api.lines import Line, LineSplitter
from service.api.problems import REQUEST_ID
from service.calculators import Door


class LineStream(Response):
    """Answers the lines of a request's body, each as soon as it is there.

    No more is read ahead than one line of full length and what arrived with it, and no line is
    worked on before the answer to the one before has left: a slow reader holds the work back. The
    work ends when the caller leaves.
    """

    media_type = NDJSON

    def __init__(self, batch: Batch, door: Door) -> None:
        self.batch = batch
        self.door = door
        self.status_code = 200
        self.background = None
        # A proxy that keeps answers back would make a stream of it no more.
        self.init_headers({"X-Accel-Buffering": "no"})

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer; a fault that no line is to blame for is told by the last line."""
        intake = _Intake(receive)
        # The reader is the first to run: who waits for leave to send gets it before the answer.
        reader = asyncio.create_task(intake.read())
        writer = asyncio.create_task(self._answer(intake, send))
        try:
            done, _ = await asyncio.wait((reader, writer), return_when=asyncio.FIRST_COMPLETED)
        finally:
            reader.cancel()
            writer.cancel()
            await asyncio.gather(reader, writer, return_exceptions=True)
        error = next(filter(None, (task.exception() for task in done)), None)
        if error is not None and not isinstance(error, (ClientDisconnect, OSError)):
            log_failure(error, scope[REQUEST_ID])
            await _send(send, self.batch.abort(), more=False)

    async def _answer(self, intake: _Intake, send: Send) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": self.raw_headers})
        while (line := await intake.next_line()) is not None:
            answer = await answered(self.batch, self.door, line)
            await _send(send, answer, more=True)
        await _send(send, self.batch.end(), more=False)


class _Intake:
    """What arrives, as lines. It is read as far ahead as there is room, so that a caller who
    leaves is noticed while a line is worked on."""

    def __init__(self, receive: Receive) -> None:
        self._receive = receive
        self._lines = LineSplitter()
        self._arrived = asyncio.Event()
        self._taken = asyncio.Event()

    async def read(self) -> None:
        """Take in what arrives, until the caller leaves. Raises ClientDisconnect."""
        while True:
            while not self._lines.has_room:
                self._taken.clear()
                await self._taken.wait()
            message = await self._receive()
            if message["type"] == "http.disconnect":
                raise ClientDisconnect
            self._lines.feed(message.get("body", b""))
            if not message.get("more_body", False):
                self._lines.end()
            self._arrived.set()

    async def next_line(self) -> Line | None:
        """The next line, once it is there; None after the last one."""
        while (line := self._lines.take()) is None and not self._lines.is_done:
            self._taken.set()
            self._arrived.clear()
            await self._arrived.wait()
        self._taken.set()
        return line


async def _send(send: Send, line: bytes, *, more: bool) -> None:
    await send({"type": "http.response.body", "body": line + b"\n", "more_body": more})
