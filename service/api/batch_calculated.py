"""A request of a batch, answered while the event loop goes on: what is small is read and calculated
by a thread; the rest in a process that calculates, where it waits until there is room."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from service import json_text
from service.api.batch import Batch, Parsed, Ready
from service.api.calculating import in_thread, is_small
from service.api.lines import Line
from service.calculators import Door
from service.operations.quoting.cost import MOST_MS
from service.operations.quoting.elsewhere import Asked, asked, asked_unread, is_large


@dataclass(frozen=True, slots=True)
class _Large:
    """A request that is not answered here: what is told elsewhere, and what it takes in ms."""

    parsed: Parsed
    told: Asked
    cost_ms: float


async def answered(batch: Batch, door: Door, line: Line) -> bytes:
    """The answer to a line, without a line break."""
    return await _answered(batch, door, lambda: batch.parse(line))


async def answered_document(batch: Batch, door: Door, number: int, document: object) -> bytes:
    """The answer to a request that came as plain objects."""

    def parsed() -> Parsed:
        return Parsed(number=number, document=document, size=len(json_text.as_received(document)))

    return await _answered(batch, door, parsed)


async def _answered(batch: Batch, door: Door, parse: Callable[[], Parsed | bytes]) -> bytes:
    here = await in_thread(lambda: _small(batch, parse()))
    return here if isinstance(here, bytes) else await _elsewhere(batch, door, here)


def _small(batch: Batch, parsed: Parsed | bytes) -> _Large | bytes:
    """The answer to what is small; the rest as it is told elsewhere."""
    if isinstance(parsed, bytes):
        return parsed
    if is_large(parsed.size):
        return _unread(batch, parsed)
    ready = batch.prepare(parsed)
    if not isinstance(ready, Ready):
        return ready
    if is_small(ready.prepared.cost_ms):
        return batch.answer(ready)
    told = asked(parsed.document, ready.prepared.prices, batch.catalog)
    return _Large(parsed, told, ready.prepared.cost_ms)


def _unread(batch: Batch, parsed: Parsed) -> _Large | bytes:
    try:
        told = asked_unread(parsed.document, batch.stored, batch.catalog)
    except Exception as error:  # noqa: BLE001  (one line that fails leaves the others whole)
        return batch.refusal(parsed, error)
    return _Large(parsed, told, MOST_MS)


async def _elsewhere(batch: Batch, door: Door, large: _Large) -> bytes:
    answer = batch.quoting.answer_quote
    try:
        quote = await door.run(answer, batch.catalog, large.told, large.cost_ms, waits=True)
    except Exception as error:  # noqa: BLE001
        return batch.refusal(large.parsed, error)
    return batch.quote(large.parsed, quote)
