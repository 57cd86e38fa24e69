"""Answers that are made once."""

import asyncio
import hashlib
import threading

from service.api.prepared import Once, Prepared, prepare


def test_once_makes_an_answer_for_all_who_wait() -> None:
    """A hundred who ask at the same time get one answer, made once and in a thread, so that
    others are answered meanwhile."""
    made: list[int] = []
    begun, answered = threading.Event(), threading.Event()

    def make() -> Prepared:
        made.append(threading.get_ident())
        begun.set()
        assert answered.wait(20)
        return prepare(b"x" * 2000, "text/plain")

    async def ask() -> set[int]:
        once = Once(make)
        waiting = [asyncio.create_task(once.get()) for _ in range(100)]
        await asyncio.to_thread(begun.wait)
        answered.set()  # by another call, while the answer is made
        return {id(each) for each in await asyncio.gather(*waiting)}

    assert (len(asyncio.run(ask())), len(made)) == (1, 1)
    assert made[0] != threading.get_ident()


def test_prepare_packs_what_gains_by_it() -> None:
    """A long text is packed, a short one and one that doesn't pack are not."""
    assert prepare(b"x" * 2000, "text/plain").packed is not None
    assert prepare(b"x" * 999, "text/plain").packed is None
    assert prepare(hashlib.shake_256(b"").digest(2000), "image/png").packed is None
