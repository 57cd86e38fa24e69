"""What a process counts of the calls that it answers, in the text format of Prometheus.

Labels are methods, addresses as the table of operations has them, and statuses: never a key, a
name or an amount. Where several processes answer on one port each counts into a file of one
folder, and whichever is asked adds them up. The library is loaded by the first call.
"""

from __future__ import annotations

import asyncio
import os
import time
from collections.abc import Iterable, Iterator
from functools import cached_property
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Final

from starlette.requests import Request
from starlette.responses import Response

from service.api.dependencies import get_gates, get_store_shelf
from service.api.health import LOOK_SECONDS
from service.api.operation import Answer, Operation
from service.core import ENGINE_VERSION
from service.storage import StorageError

if TYPE_CHECKING:
    from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, Metric

    from service.storage.telling import Telling

METHODS: Final = frozenset({"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"})
# Seconds; a quote takes some 10 ms, and a minute is the longest that a calculation is given.
SECONDS: Final = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0, 60.0)
NOWHERE: Final = "none"
_STORED: Final = (
    ("service_last_event", "last_event", "Number of the last event."),
    ("service_webhook_messages_waiting", "waiting", "Messages that wait for their webhooks."),
    ("service_webhook_oldest_waiting_seconds", "oldest_seconds", "How long the oldest waits."),
    ("service_webhooks_off", "switched_off", "Webhooks that were switched off."),
)


class Metrics:
    """The counts of one process. `several`: of as many as share the folder in which they count,
    which the environment names before the library is loaded."""

    def __init__(self, *, several: bool = False) -> None:
        self._several = several

    @cached_property
    def _made(self) -> _Instruments:
        return _Instruments()

    def began(self) -> float:
        """A call begins: the moment, for `ended`."""
        self._made.running.inc()
        return time.perf_counter()

    def ended(self, method: str, route: str | None, status: int, began: float) -> None:
        """A call is over; a status of 0 is none: the caller went away."""
        labels = (method if method in METHODS else NOWHERE, route or NOWHERE)
        self._made.running.dec()
        self._made.calls.labels(*labels, str(status or NOWHERE)).inc()
        self._made.seconds.labels(*labels).observe(time.perf_counter() - began)

    def calculations(self, running: int, waiting: int) -> None:
        """So many calculations run in processes of their own, and so many wait for one."""
        self._made.calculations.labels("running").set(running)
        self._made.calculations.labels("waiting").set(waiting)

    def told(self, accept: str, telling: Telling | None = None) -> tuple[bytes, str]:
        """All that was counted, and its media type, as a header `Accept` asks for it. May wait
        for the disk."""
        from prometheus_client import CollectorRegistry  # noqa: PLC0415
        from prometheus_client.exposition import choose_encoder  # noqa: PLC0415

        whole = CollectorRegistry()
        whole.register(_Several() if self._several else self._made.registry)
        if telling is not None:
            whole.register(_Stored(telling))
        write, media_type = choose_encoder(accept)
        return write(whole), media_type


class _Instruments:
    """The counters of a process."""

    def __init__(self) -> None:
        from prometheus_client import (  # noqa: PLC0415
            CollectorRegistry,
            Counter,
            Gauge,
            Histogram,
            ProcessCollector,
        )

        self.registry: CollectorRegistry = CollectorRegistry()
        ProcessCollector(registry=self.registry)
        made, where = self.registry, ("method", "route")
        self.calls: Counter = Counter(
            "service_calls", "Calls that were answered.", (*where, "status"), registry=made
        )
        self.seconds: Histogram = Histogram(
            "service_call_seconds", "How long answers took.", where, buckets=SECONDS, registry=made
        )
        self.running: Gauge = Gauge(
            "service_calls_running", "Calls at work.", multiprocess_mode="livesum", registry=made
        )
        self.calculations: Gauge = Gauge(
            "service_calculations",
            "Calculations in processes of their own.",
            ("state",),
            multiprocess_mode="livesum",
            registry=made,
        )
        Gauge(
            "service_build",
            "The release that answers.",
            ("version", "engine_version"),
            multiprocess_mode="livemax",
            registry=made,
        ).labels(version("wall-quote-service"), ENGINE_VERSION).set(1)


class _Several:
    """The counts of all processes that share a folder."""

    def collect(self) -> Iterable[Metric]:
        """Those of all files. One that a process has opened a moment ago is still empty."""
        from prometheus_client.multiprocess import MultiProcessCollector  # noqa: PLC0415

        files = Path(os.environ["PROMETHEUS_MULTIPROC_DIR"]).glob("*.db")
        begun = [str(file) for file in files if _size(file)]
        counts: Iterable[Metric] = MultiProcessCollector.merge(begun)  # type: ignore[no-untyped-call]
        return counts


def _size(file: Path) -> int:
    """Bytes; none of a file that is gone with its process."""
    try:
        return file.stat().st_size
    except FileNotFoundError:
        return 0


class _Stored:
    """What the database says, which is the same for all processes."""

    def __init__(self, telling: Telling) -> None:
        self._telling = telling

    def collect(self) -> Iterator[Metric]:
        """Each as a figure of its own."""
        from prometheus_client.core import GaugeMetricFamily  # noqa: PLC0415

        for name, field, words in _STORED:
            yield GaugeMetricFamily(name, words, value=getattr(self._telling, field))


async def read_metrics(request: Request) -> Response:
    """Counts and times of calls by address and status, calls that run and calculations that
    wait, of all processes together; where the database can be asked, the number of the last
    event and what waits for webhooks. For a collector of the house."""
    metrics: Metrics = request.app.state.metrics
    accept, telling = request.headers.get("accept", ""), await _telling(request)
    body, media_type = await asyncio.to_thread(metrics.told, accept, telling)
    return Response(body, headers={"Content-Type": media_type, "Cache-Control": "no-store"})


async def _telling(request: Request) -> Telling | None:
    """How far behind those are who are told of changes. None where no call has needed a database,
    or it can't be asked now: what the process counted is told all the same."""
    store = get_store_shelf(request).opened
    if store is None:
        return None

    from service.storage.telling import find_telling  # noqa: PLC0415  loaded with the store

    def look() -> Telling:
        with store.read() as connection:
            return find_telling(connection, store.now())

    try:
        async with asyncio.timeout(LOOK_SECONDS):
            return await get_gates(request).looking.run(look)
    except (StorageError, TimeoutError):
        return None


_TEXT = {"type": "string"}
OPERATIONS = (
    Operation(
        method="GET",
        path="/metrics",
        handler=read_metrics,
        scopes=("admin",),
        form="chosen",
        tag="health",
        summary="Tell what the service has done, for monitoring",
        answers=(
            Answer(
                shapes={"text/plain": _TEXT, "application/openmetrics-text": _TEXT},
                description="The counts, as a collector reads them.",
            ),
        ),
    ),
)
