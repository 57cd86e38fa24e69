"""A crowd that is late at one moment is shut out in turns with all others."""

import asyncio
import itertools
from functools import partial

from service.server.watch import LATE_TOGETHER, LateLine, Watch

CROWD = 5 * LATE_TOGETHER + 3


def test_late_line_leaves_turns_to_others() -> None:
    """All are shut out in the order in which they were late, and others have a turn after every
    few of them."""
    done: list[int | None] = []

    async def shut_out() -> None:
        line, loop = LateLine(), asyncio.get_running_loop()
        for number in range(CROWD):
            line.put(loop, partial(done.append, number))
        for _ in range(CROWD):
            done.append(None)
            await asyncio.sleep(0)

    asyncio.run(shut_out())
    assert [each for each in done if each is not None] == list(range(CROWD))
    turns = [i for i, each in enumerate(done) if each is None]
    assert max(b - a - 1 for a, b in itertools.pairwise(turns)) == LATE_TOGETHER


def test_late_line_takes_who_comes_later() -> None:
    """A line that was worked off begins anew with the next one."""
    done: list[str] = []

    async def shut_out() -> None:
        line, loop = LateLine(), asyncio.get_running_loop()
        for name in ("first", "second"):
            line.put(loop, partial(done.append, name))
            for _ in range(5):
                await asyncio.sleep(0)

    asyncio.run(shut_out())
    assert done == ["first", "second"]


def test_watch_spares_who_went_on_in_the_line() -> None:
    """What comes while others are shut out has come; what doesn't is late."""
    late: list[str | None] = []

    async def wait() -> None:
        line, loop = LateLine(), asyncio.get_running_loop()
        going_on, silent = (Watch(loop, line, late.append) for _ in range(2))
        going_on.wait("body", 0)
        silent.wait("head", 0)
        for _ in range(CROWD):
            line.put(loop, lambda: None)
        line.put(loop, going_on.rest)
        for _ in range(CROWD):
            await asyncio.sleep(0)

    asyncio.run(wait())
    assert late == ["head"]


def test_late_line_makes_room_by_who_was_waited_for_longest() -> None:
    """Of three the second goes first, as the first went on since; then the first, as the third is
    being served by then. There is nobody left then, and nobody goes."""
    gone: list[str] = []

    async def make_room() -> None:
        line, loop = LateLine(), asyncio.get_running_loop()
        first, second, third = (
            Watch(loop, line, lambda _, name=name: gone.append(name))  # type: ignore[misc]
            for name in ("first", "second", "third")
        )
        for each in (first, second, third):
            each.wait("head", 60)
        first.wait("body", 60)
        line.make_room()
        third.rest()
        for _ in range(2):
            line.make_room()
        third.wait("request", 60)
        third.stop()
        line.make_room()

    asyncio.run(make_room())
    assert gone == ["second", "first"]
