"""A request of a batch, answered while the event loop goes on: read and, where it is small,
calculated by a thread; else in a process that calculates, where it waits until there is room."""

from __future__ import annotations

from collections.abc import Callable

from service.api.batch import Batch, Ready
from service.api.calculating import in_thread, is_small
from service.api.lines import Line
from service.calculators import Door
from service.operations.quoting.elsewhere import asked


async def answered(batch: Batch, door: Door, line: Line) -> bytes:
    """The answer to a line, without a line break."""
    return await _answered(batch, door, lambda: batch.read_line(line))


async def answered_document(batch: Batch, door: Door, number: int, document: object) -> bytes:
    """The answer to a request that came as plain objects."""
    return await _answered(batch, door, lambda: batch.read_document(number, document))


async def _answered(batch: Batch, door: Door, read: Callable[[], Ready | bytes]) -> bytes:
    here = await in_thread(lambda: _small(batch, read()))
    return here if isinstance(here, bytes) else await _elsewhere(batch, door, here)


def _small(batch: Batch, read: Ready | bytes) -> Ready | bytes:
    """The answer of what is small; what isn't as it was read."""
    if isinstance(read, bytes) or not is_small(read.prepared.cost_ms):
        return read
    return batch.answer(read)


async def _elsewhere(batch: Batch, door: Door, ready: Ready) -> bytes:
    told = asked(ready.document, ready.prepared.prices, batch.catalog)
    try:
        cost_ms = ready.prepared.cost_ms
        quote = await door.run(batch.quoting.answer_quote, batch.catalog, told, cost_ms, waits=True)
    except Exception as error:  # noqa: BLE001  (one line that fails leaves the others whole)
        return batch.refusal(ready.number, error)
    return batch.quote(ready, quote)
