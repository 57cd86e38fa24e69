"""What a process counts of the calls that it answers, in the text format of Prometheus.

Labels are methods, addresses as the table of operations has them, and statuses: never a key, a
name or an amount. Where several processes answer on one port each counts into a file of one
folder, and whichever is asked adds them up. The library is loaded by the first call.
"""

from __future__ import annotations

import asyncio
import time
from functools import cached_property
from importlib.metadata import version
from typing import TYPE_CHECKING, Final

from starlette.requests import Request
from starlette.responses import Response

from service.api.operation import Answer, Operation
from service.core import ENGINE_VERSION

if TYPE_CHECKING:
    from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram

METHODS: Final = frozenset({"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"})
# Seconds; a quote takes some 10 ms, and a minute is the longest that a calculation is given.
SECONDS: Final = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0, 60.0)
NOWHERE: Final = "none"


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

    def told(self, accept: str) -> tuple[bytes, str]:
        """All that was counted, and its media type, as a header `Accept` asks for it. May wait
        for the disk."""
        from prometheus_client.exposition import choose_encoder  # noqa: PLC0415

        write, media_type = choose_encoder(accept)
        return write(_added_up() if self._several else self._made.registry), media_type


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


def _added_up() -> CollectorRegistry:
    """What all processes counted."""
    from prometheus_client import CollectorRegistry  # noqa: PLC0415
    from prometheus_client.multiprocess import MultiProcessCollector  # noqa: PLC0415

    registry = CollectorRegistry()
    MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
    return registry


async def read_metrics(request: Request) -> Response:
    """Counts and times of calls by address and status, calls that run and calculations that
    wait, of all processes together. For a collector of the house."""
    metrics: Metrics = request.app.state.metrics
    body, media_type = await asyncio.to_thread(metrics.told, request.headers.get("accept", ""))
    return Response(body, headers={"Content-Type": media_type, "Cache-Control": "no-store"})


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
