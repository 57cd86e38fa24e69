"""A batch as it runs: answers while lines arrive, slow readers, callers who leave, memory."""

import asyncio
import logging
import threading
import tracemalloc
from collections.abc import Iterator
from dataclasses import replace

import pytest
from fastapi import FastAPI
from starlette.types import Message, Receive, Scope, Send

from service.api import quoting
from service.api.batch import Batch
from service.api.line_stream import LineStream
from service.calculators import Bounds, Door
from service.catalog import Catalog
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.quote import PreparedQuote, prepare_document
from tests.api.test_batch import SOUND
from tests.given.batch_caller import Caller

LINE = SOUND + b"\n"


class Gate:
    """Stands before the calculation: counts requests, and holds them back while it is shut."""

    def __init__(self) -> None:
        self.begun = 0
        self.first = threading.Event()
        self.open = threading.Event()
        self.open.set()

    def quote(
        self, document: object, catalog: Catalog, stored: StoredPrices | None = None
    ) -> PreparedQuote:
        """Quote once the gate is open."""
        self.begun += 1
        self.first.set()
        assert self.open.wait(20)
        return prepare_document(document, catalog, stored)

    async def has_begun(self) -> None:
        """Wait until the first request has come."""
        assert await asyncio.to_thread(self.first.wait, 20)


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[Gate]:
    """A gate that every line passes; opened at the end, so that no thread stays behind."""
    gate = Gate()
    changed = replace(quoting.WITH_PRICES, prepare_quote=gate.quote)
    monkeypatch.setattr(quoting, "WITH_PRICES", changed)
    yield gate
    gate.open.set()


async def settled() -> None:
    """Time in which whatever still can happen does."""
    await asyncio.sleep(0.2)


def test_answers_leave_while_lines_still_arrive(app: FastAPI) -> None:
    """Each line is answered before the next one is sent; half a line waits for its end."""

    async def talk() -> None:
        caller = Caller()
        call = asyncio.create_task(caller.call(app))
        for count in (1, 3, 5):
            caller.say(LINE[:100])
            caller.say(LINE[100:] + b"{")
            last = (await caller.wait_for(count))[-1]
            assert (last["line"], last["status"]) == (count, 200)
            await settled()
            assert len(caller.lines()) == count
            caller.say(b"\n")
            assert (await caller.wait_for(count + 1))[-1]["status"] == 400
        assert not caller.is_whole
        caller.say(b"", more=False)
        await call
        assert caller.lines()[-1] == {"end": True, "lines": 6, "failed": 3}
        assert caller.is_whole

    asyncio.run(talk())


def test_the_answer_begins_before_the_first_line(app: FastAPI) -> None:
    """Who waits for leave to send gets it: the body is asked for first, then the answer begins."""
    asked: list[int] = []

    class Waiting(Caller):
        async def _send(self, message: Message) -> None:
            asked.append(self.asked)
            await super()._send(message)

    async def talk() -> None:
        caller = Waiting((b"expect", b"100-continue"))
        call = asyncio.create_task(caller.call(app))
        await caller.began.wait()
        caller.say(b"", more=False)
        await call

    asyncio.run(talk())
    assert asked[0] == 1


def test_a_slow_reader_holds_the_work_back(app: FastAPI, gate: Gate) -> None:
    """While an answer can't leave, the next line is not worked on, and only so much is taken in."""

    async def talk() -> None:
        caller = Caller()
        call = asyncio.create_task(caller.call(app))
        await caller.began.wait()
        caller.reads.clear()
        arrival = LINE * 100
        for _ in range(100):
            caller.say(arrival)
        await gate.has_begun()
        await settled()
        assert gate.begun == 1
        # One line of full length may be ahead, and what arrived with its end.
        assert caller.asked <= 2 + 1024 * 1024 / len(arrival)
        caller.reads.set()
        await caller.wait_for(3)
        caller.leave()
        caller.reads.clear()
        call.cancel()

    asyncio.run(talk())


def test_work_stops_when_the_caller_leaves(app: FastAPI, gate: Gate) -> None:
    """The line that is worked on is the last one, though more have arrived."""

    async def talk() -> None:
        gate.open.clear()
        caller = Caller()
        call = asyncio.create_task(caller.call(app))
        caller.say(LINE * 50)
        await gate.has_begun()
        caller.leave()
        await asyncio.wait_for(call, 20)
        gate.open.set()
        await settled()
        assert gate.begun == 1
        assert caller.lines() == []

    asyncio.run(talk())


def test_work_stops_when_the_caller_leaves_after_the_last_line(app: FastAPI, gate: Gate) -> None:
    """A caller who has sent everything and leaves is noticed just as well."""

    async def talk() -> None:
        gate.open.clear()
        caller = Caller()
        call = asyncio.create_task(caller.call(app))
        caller.say(LINE * 50, more=False)
        await gate.has_begun()
        caller.leave()
        await asyncio.wait_for(call, 20)
        gate.open.set()
        await settled()
        assert gate.begun == 1

    asyncio.run(talk())


def test_others_are_answered_while_a_line_is_worked_on(app: FastAPI, gate: Gate) -> None:
    """A long calculation does not stop the event loop."""

    async def talk() -> None:
        gate.open.clear()
        first, second = Caller(), Caller()
        calls = [asyncio.create_task(caller.call(app)) for caller in (first, second)]
        first.say(LINE)
        await gate.has_begun()
        second.say(b"{\n", more=False)
        assert (await second.wait_for(2))[-1] == {"end": True, "lines": 1, "failed": 1}
        gate.open.set()
        first.say(b"", more=False)
        assert (await first.wait_for(2))[-1] == {"end": True, "lines": 1, "failed": 0}
        await asyncio.gather(*calls)

    asyncio.run(talk())


def test_a_batch_keeps_its_catalog(app: FastAPI) -> None:
    """What is reloaded while a batch runs does not change its later lines."""
    shelf = app.state.shelf

    async def talk() -> None:
        caller = Caller()
        call = asyncio.create_task(caller.call(app))
        caller.say(LINE)
        await caller.wait_for(1)
        app.state.shelf = None
        caller.say(LINE, more=False)
        await call
        one, two, _ = caller.lines()
        assert one["quote"] == two["quote"]

    try:
        asyncio.run(talk())
    finally:
        app.state.shelf = shelf


def test_a_fault_of_the_stream_is_told_by_the_last_line(
    catalog: Catalog, caplog: pytest.LogCaptureFixture
) -> None:
    """What no line is to blame for ends the batch with `aborted`, and stands in the log."""
    caller = Caller()
    messages: Iterator[Message] = iter(
        [{"type": "http.request", "body": LINE + b"{", "more_body": True}]
    )

    async def receive() -> Message:
        await asyncio.sleep(0.1)
        if (message := next(messages, None)) is None:
            await caller.wait_for(1)
            raise RuntimeError("the wire, as the caller sent it")
        return message

    async def app(scope: Scope, _receive: Receive, send: Send) -> None:
        scope["service.request_id"] = "of-a-batch"
        door = Door(Bounds(calculators=1, waiting=0, times_cost=1.0))
        await LineStream(Batch(catalog, "of-a-batch"), door)(scope, receive, send)

    with caplog.at_level(logging.ERROR):
        asyncio.run(caller.call(app))
    first, last = caller.lines()
    assert first["status"] == 200
    assert list(last) == ["end", "aborted"]
    assert (last["end"], last["aborted"]["status"]) == (True, 500)
    assert (last["aborted"]["code"], last["aborted"]["instance"]) == (
        "internal-error",
        "of-a-batch",
    )
    assert caller.is_whole
    assert "the wire" not in caplog.text
    assert [vars(record)["error_type"] for record in caplog.records] == ["RuntimeError"]


@pytest.mark.no_cover  # tracing would take longer than the work
def test_memory_does_not_grow_with_the_number_of_lines(app: FastAPI) -> None:
    """Ten times as many lines have the same peak: nothing is kept of a line that was answered."""

    async def talk(count: int) -> int:
        caller = Caller()
        call = asyncio.create_task(caller.call(app))
        tracemalloc.start()
        try:
            for done in range(0, count, 100):
                caller.say(b"{\n" * 100, more=done + 100 < count)
                await caller.wait_for(100)
                caller.body.clear()
            await call
            return tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()

    asyncio.run(talk(1_000))
    few, many = asyncio.run(talk(1_000)), asyncio.run(talk(10_000))
    assert many <= few * 1.1
