"""The door to the processes that calculate: so many at a time, so many wait, the rest come again.

`await door.run(function, catalog, argument, cost_ms)` gives what `function(catalog, argument)`
comes to there. The function stands at the top of a module; argument and result can be pickled.
"""

from __future__ import annotations

import asyncio
import math
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeVar

from service.calculators.outcome import CatalogWanted, Done, Failed, Found, Outcome
from service.calculators.packing import pack, unpack
from service.catalog import Catalog
from service.core.errors import QuoteFaultsError

if TYPE_CHECKING:
    from service.calculators.pool import Pool

A = TypeVar("A")
R = TypeVar("R")

# A calculation is given this long at least, however little it was thought to cost.
LEAST_SECONDS: Final = 60.0


def cores() -> int:
    """How many cores this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1


class DoorBusyError(Exception):
    """As many wait as may; `seconds` is when it is worth coming again."""

    def __init__(self, seconds: int) -> None:
        self.seconds = seconds
        super().__init__("too many calculations wait")


class CalculationStoppedError(Exception):
    """A calculation was stopped after so many seconds; it was thought to take `cost_ms`."""

    def __init__(self, seconds: float, cost_ms: float) -> None:
        self.seconds = seconds
        self.cost_ms = cost_ms
        super().__init__(
            f"This was to take about {cost_ms / 1000:.1f} s and was stopped after {seconds:.1f} s."
        )


class CalculationFailedError(Exception):
    """What nobody expected happened in the process: `kind` of error and `where`."""

    def __init__(self, kind: str, where: str) -> None:
        self.kind = kind
        self.where = where
        super().__init__(kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """How many calculate and how many wait; a calculation is stopped after so many times its
    cost, but not before so many seconds."""

    calculators: int
    waiting: int
    times_cost: float
    least_seconds: float = LEAST_SECONDS


class Door:
    """Lets calculations to processes, first come first. `inside` are calculated or wait. Nothing
    begins before the first."""

    def __init__(self, bounds: Bounds, told: Callable[[int, int], None] | None = None) -> None:
        """`told` hears how many calculate and how many wait, whenever that changes."""
        self._bounds = bounds
        self._told = told
        self._free = asyncio.Semaphore(bounds.calculators)
        self.inside = 0
        self._ahead_ms = 0.0
        self._pool: Pool | None = None
        self._packed: tuple[str, bytes] | None = None

    @property
    def is_free(self) -> bool:
        """Whether what comes now is calculated at once."""
        return self.inside < self._bounds.calculators

    async def run(
        self,
        function: Callable[[Catalog, A], R],
        catalog: Catalog,
        argument: A,
        cost_ms: float,
        *,
        waits: bool = False,
    ) -> R:
        """What the function comes to in a process. Who is cancelled frees the place.

        `waits`: however many wait already. Raises QuoteFaultsError as the function does,
        DoorBusyError, CalculationStoppedError, CalculationFailedError.
        """
        with self._place(cost_ms, waits=waits):
            async with self._free:
                seconds = max(self._bounds.least_seconds, self._bounds.times_cost * cost_ms / 1000)
                try:
                    outcome = await self._outcome(catalog, pack((function, argument)), seconds)
                except TimeoutError:
                    raise CalculationStoppedError(seconds, cost_ms) from None
        return _value(outcome)

    async def close(self) -> None:
        """End the processes; the next calculation begins new ones."""
        if self._pool is not None:
            pool, self._pool = self._pool, None
            await asyncio.to_thread(pool.close)

    @contextmanager
    def _place(self, cost_ms: float, *, waits: bool) -> Iterator[None]:
        """A place with those who calculate and wait."""
        bounds = self._bounds
        if self.inside >= bounds.calculators + bounds.waiting and not waits:
            raise DoorBusyError(math.ceil(self._ahead_ms / bounds.calculators / 1000) or 1)
        self._count(1, cost_ms)
        try:
            yield
        finally:
            self._count(-1, -cost_ms)

    def _count(self, more: int, cost_ms: float) -> None:
        self.inside += more
        self._ahead_ms += cost_ms
        if self._told is not None:
            running = min(self.inside, self._bounds.calculators)
            self._told(running, self.inside - running)

    async def _outcome(self, catalog: Catalog, packed: bytes, seconds: float) -> Outcome:
        """The outcome of a task; a process that is new to its catalog is given it."""
        outcome = await self._run(catalog.version, packed, None, seconds)
        if isinstance(outcome, CatalogWanted):
            given = self._pack_catalog(catalog)
            outcome = await self._run(catalog.version, packed, given, seconds)
        return outcome

    async def _run(
        self, version: str, packed: bytes, catalog: bytes | None, seconds: float
    ) -> Outcome:
        """The same, tried once more where the process was lost: it was not the task's fault."""
        from service.calculators.pool import Pool, TaskLostError  # noqa: PLC0415

        if self._pool is None:
            self._pool = Pool(self._bounds.calculators)
        pool, task = self._pool, (version, packed, catalog)
        try:
            return await pool.run(task, seconds)
        except TaskLostError:
            try:
                return await pool.run(task, seconds)
            except TaskLostError as error:
                raise CalculationFailedError("TaskLostError", "lost twice") from error

    def _pack_catalog(self, catalog: Catalog) -> bytes:
        """The catalog as bytes, made once."""
        if self._packed is None or self._packed[0] != catalog.version:
            self._packed = (catalog.version, pack(catalog))
        return self._packed[1]


def _value(outcome: Outcome) -> R:  # type: ignore[type-var]
    """What a task came to, or its error."""
    match outcome:
        case Done(packed):
            return unpack(packed)  # type: ignore[no-any-return]
        case Found(faults):
            raise QuoteFaultsError(faults)
        case Failed(kind, where):
            raise CalculationFailedError(kind, where)
        case CatalogWanted():
            raise CalculationFailedError("CatalogWanted", "asked twice")
