"""How many calls run at once."""

import asyncio

from starlette.types import Message, Receive, Scope, Send

from service.api.front import Front

START = {"type": "http.response.start", "status": 200, "headers": []}
END = {"type": "http.response.body", "body": b""}


class House:
    """A front with room for two calls, before an application that reads the body and then waits
    until it is let go."""

    def __init__(self) -> None:
        self.go = asyncio.Event()
        self.front = Front(self.answer, running_calls=2)

    async def answer(self, _scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one call."""
        while (await receive()).get("more_body", False):
            pass
        await self.go.wait()
        await send(dict(START))
        await send(dict(END))

    def call(self, *body: Message, path: str = "/v1/quotes") -> "Call":
        """Begin a call whose body comes so far; without an end it is waited for."""
        return Call(self.front, path, body)


class Call:
    """A call under way: the head of its answer, once there is one."""

    def __init__(self, front: Front, path: str, body: tuple[Message, ...]) -> None:
        self.body: asyncio.Queue[Message] = asyncio.Queue()
        self.sent: list[Message] = []
        for part in body:
            self.body.put_nowait(part)
        scope = {
            "type": "http",
            "method": "POST",
            "path": path,
            "query_string": b"",
            "headers": [(b"host", b"localhost")],
        }
        self.task = asyncio.create_task(front(scope, self.body.get, self.take))

    async def take(self, message: Message) -> None:
        """Take in a part of the answer."""
        self.sent.append(message)


def part(*, more: bool) -> Message:
    """A part of a body."""
    return {"type": "http.request", "body": b"{", "more_body": more}


def test_running_calls_beyond_the_bound_are_told_to_come_again() -> None:
    """Two run; a third is 503 `busy` with `Retry-After`, health is answered all the same, and
    once the two are done there is room again."""

    async def ask() -> None:
        house = House()
        two = [house.call(part(more=False)) for _ in range(2)]
        await asyncio.sleep(0.01)
        third = house.call(part(more=False))
        await third.task
        assert third.sent[0]["status"] == 503
        assert (b"retry-after", b"2") in third.sent[0]["headers"]
        assert b'"code":"busy"' in third.sent[1]["body"]
        health = house.call(part(more=False), path="/health/live")
        house.go.set()
        for each in (*two, health, house.call(part(more=False))):
            await each.task
            assert each.sent[0]["status"] == 200

    asyncio.run(ask())


def test_running_calls_are_not_those_that_wait_for_a_body() -> None:
    """Ten callers who have sent half a body run nothing: a whole one is answered; and those who
    send the rest are answered too."""

    async def ask() -> None:
        house = House()
        halves = [house.call(part(more=True)) for _ in range(10)]
        await asyncio.sleep(0.01)
        house.go.set()
        whole = house.call(part(more=False))
        await whole.task
        assert whole.sent[0]["status"] == 200
        for each in halves:
            each.body.put_nowait(part(more=False))
            await each.task
            assert each.sent[0]["status"] == 200
        assert house.front.running.number == 0

    asyncio.run(ask())
