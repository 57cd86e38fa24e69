"""Where a request is calculated: what is small here, what is not in a process that calculates.

What a request will take is known once it was read. Reading a large one takes its time, too, and a
thread that reads it holds up everybody: it is read where it is answered.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, Final, TypeVar

from starlette.requests import ClientDisconnect, Request

from service.api.dependencies import (
    get_caller,
    get_catalog,
    get_door,
    get_gates,
    get_stored_prices,
    get_turns,
)
from service.api.quoting import Answer, Prepare, quoting_for
from service.catalog import Catalog
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.cost import MOST_MS
from service.operations.quoting.elsewhere import Asked, asked, asked_unread, is_large
from service.operations.quoting.quote_answer import encode_answer
from service.operations.quoting.quote_request import names_stored_list

A = TypeVar("A")
T = TypeVar("T")

# What is calculated while everybody else waits, in ms of one core.
SMALL_MS: Final = 100.0
# More threads would take turns on one interpreter and keep everyone else waiting.
THREADS: Final = 2
_THREADS = ThreadPoolExecutor(THREADS, thread_name_prefix="calculation")


def is_small(cost_ms: float) -> bool:
    """Whether something is calculated at once."""
    return cost_ms <= SMALL_MS


async def in_thread(function: Callable[..., T], *arguments: object) -> T:
    """The result of a function that takes its time, while the event loop goes on."""
    return await asyncio.get_running_loop().run_in_executor(_THREADS, function, *arguments)


async def quoted(request: Request, document: object, size: int) -> bytes:
    """The answer to a quote request of so many bytes. Raises what calculating raises."""
    how = quoting_for(get_caller(request))
    return await _answered(request, document, size, (how.prepare_quote, how.answer_quote))


async def compared(request: Request, document: object, size: int) -> bytes:
    """The answer to a comparison, likewise."""
    how = quoting_for(get_caller(request))
    operation = (how.prepare_comparison, how.answer_comparison)
    return await _answered(request, document, size, operation)


async def ranged(request: Request, document: object) -> bytes:
    """What the answers to a website's form come to, likewise."""
    from service.operations.callers.website.price_range import (  # noqa: PLC0415  few have one
        answer_range,
        prepare_range,
    )

    return await _answered(request, document, 0, (prepare_range, answer_range))


async def worked_out(
    request: Request, function: Callable[[Catalog, A], T], argument: A, cost_ms: float
) -> T:
    """What a function comes to that takes its time whatever it costs: in a thread, or in a process
    that calculates. The request's body was read. Raises what the function and the door raise."""
    catalog = get_catalog(request)
    if is_small(cost_ms):
        return await in_thread(function, catalog, argument)
    running = get_door(request).run(function, catalog, argument, cost_ms)
    return await while_connected(request, running)


async def _answered(
    request: Request, document: object, size: int, operation: tuple[Prepare, Answer]
) -> bytes:
    prepare, answer = operation
    if is_large(size):
        return await answered_elsewhere(request, document, answer)
    catalog = get_catalog(request)
    prepared = await prepared_here(
        request, document, lambda stored: prepare(document, catalog, stored)
    )
    if _is_done_here(request, prepared.cost_ms):
        turns = get_turns(request)
        return await turns.take(lambda: encode_answer(prepared.answer()), prepared.cost_ms)
    told = asked(document, prepared.prices, catalog)
    running = get_door(request).run(answer, catalog, told, prepared.cost_ms)
    return await while_connected(request, running)


def _is_done_here(request: Request, cost_ms: float) -> bool:
    """Whether the event loop calculates something: what is small, unless much of it waits already
    and a process is free for it."""
    if not is_small(cost_ms):
        return False
    return get_turns(request).has_room(cost_ms) or not get_door(request).is_free


async def prepared_here(
    request: Request, document: object, prepare: Callable[[StoredPrices | None], T]
) -> T:
    """What preparing a small request comes to; in a thread where prices are asked of the database.
    Raises what `prepare` raises."""
    if names_stored_list(document, get_catalog(request)):
        stored = get_stored_prices(request)
        return await get_gates(request).reading.run(lambda: prepare(stored))
    return await get_turns(request).take(lambda: prepare(None))


async def answered_elsewhere(
    request: Request, document: object, answer: Callable[[Catalog, Asked], T]
) -> T:
    """The answer to a large request, read by a process that calculates, too: by its size alone it
    may take as much as any. Raises what calculating raises."""
    catalog, stored = get_catalog(request), get_stored_prices(request)
    if names_stored_list(document, catalog):
        reading = get_gates(request).reading
        told = await reading.run(lambda: asked_unread(document, stored, catalog))
    else:
        told = Asked(document, None)
    running = get_door(request).run(answer, catalog, told, MOST_MS)
    return await while_connected(request, running)


async def while_connected(request: Request, work: Coroutine[Any, Any, T]) -> T:
    """What some work comes to, given up when the caller leaves. The request's body was read.

    Raises ClientDisconnect, and what the work raises.
    """
    working = asyncio.ensure_future(work)
    leaving = asyncio.ensure_future(_left(request))
    try:
        await asyncio.wait((working, leaving), return_when=asyncio.FIRST_COMPLETED)
        if not working.done():
            raise ClientDisconnect
        return working.result()
    finally:
        working.cancel()
        leaving.cancel()
        await asyncio.gather(working, leaving, return_exceptions=True)


async def _left(request: Request) -> None:
    """Wait until the caller leaves."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
