"""A caller of a batch without a network: gives body messages when asked to, keeps what comes."""

from __future__ import annotations

import asyncio
import json
from collections.abc import MutableMapping
from typing import Any

from starlette.types import ASGIApp

NDJSON = "application/x-ndjson"
PATH = "/v1/quotes/batch"
Json = dict[str, Any]


class Caller:
    """One call of `POST /v1/quotes/batch`: `asked` counts how often its body was asked for, `began`
    is set with the status. `reads` is cleared by a caller who stops reading."""

    def __init__(self, *headers: tuple[bytes, bytes]) -> None:
        self.status = 0
        self.body = bytearray()
        self.asked = 0
        self.is_whole = False
        self.began = asyncio.Event()
        self.reads = asyncio.Event()
        self.reads.set()
        self._messages: asyncio.Queue[Json] = asyncio.Queue()
        self._changed = asyncio.Condition()
        self._headers = [(b"host", b"127.0.0.1"), (b"content-type", NDJSON.encode()), *headers]

    def say(self, body: bytes, *, more: bool = True) -> None:
        """Send a part of the body."""
        self._messages.put_nowait({"type": "http.request", "body": body, "more_body": more})

    def leave(self) -> None:
        """Close the connection."""
        self._messages.put_nowait({"type": "http.disconnect"})

    async def call(self, app: ASGIApp) -> None:
        """Be answered."""
        await app(
            {
                "type": "http",
                "asgi": {"version": "3.0"},
                "http_version": "1.1",
                "method": "POST",
                "path": PATH,
                "raw_path": PATH.encode(),
                "query_string": b"",
                "root_path": "",
                "scheme": "http",
                "server": ("127.0.0.1", 8000),
                "client": ("127.0.0.1", 5000),
                "headers": self._headers,
            },
            self._receive,
            self._send,
        )

    def lines(self) -> list[Json]:
        """The lines that have arrived."""
        return [json.loads(line) for line in self.body.splitlines()]

    async def wait_for(self, count: int) -> list[Json]:
        """The lines, once there are so many."""
        async with self._changed, asyncio.timeout(20):
            await self._changed.wait_for(lambda: self.body.count(b"\n") >= count)
        return self.lines()

    async def _receive(self) -> Json:
        self.asked += 1
        return await self._messages.get()

    async def _send(self, message: MutableMapping[str, Any]) -> None:
        await self.reads.wait()
        async with self._changed:
            if message["type"] == "http.response.start":
                self.status = message["status"]
                self.began.set()
            else:
                self.body += message["body"]
                self.is_whole = not message.get("more_body", False)
            self._changed.notify_all()
