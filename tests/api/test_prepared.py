"""Answers that are made once."""

import asyncio
import hashlib
import threading
import time

from service.api.prepared import Once, Prepared, prepare


def test_once_makes_an_answer_for_all_who_wait() -> None:
    """A hundred who ask at the same time get one answer, made once and in a thread, so that
    others are answered meanwhile."""
    made: list[int] = []

    def make() -> Prepared:
        made.append(threading.get_ident())
        time.sleep(0.2)
        return prepare(b"x" * 2000, "text/plain")

    async def ask() -> tuple[set[int], float]:
        once = Once(make)
        waiting = [asyncio.create_task(once.get()) for _ in range(100)]
        began = time.monotonic()
        await asyncio.sleep(0.01)
        slept = time.monotonic() - began
        return {id(each) for each in await asyncio.gather(*waiting)}, slept

    answers, slept = asyncio.run(ask())
    assert (len(answers), len(made)) == (1, 1)
    assert made[0] != threading.get_ident()
    assert slept < 0.15


def test_prepare_packs_what_gains_by_it() -> None:
    """A long text is packed, a short one and one that doesn't pack are not."""
    assert prepare(b"x" * 2000, "text/plain").packed is not None
    assert prepare(b"x" * 999, "text/plain").packed is None
    assert prepare(hashlib.shake_256(b"").digest(2000), "image/png").packed is None
