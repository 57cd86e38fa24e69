"""What others notice while the heaviest requests are calculated.

Run by name (`python .ci/tasks.py benchmarks`), on a machine that does nothing else. The service is
a process of its own with one process to calculate for each core.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing

import pytest

from service.catalog import Catalog, load_catalog
from service.core.errors import QuoteFaultsError
from service.operations.quoting.quote import prepare_document
from tests.given.costly_requests import (
    LABOR,
    dug_terraces,
    measured_wall,
    sectioned_wall,
    stepped_walls,
)
from tests.given.heavy import heavy_request, small_request
from tests.given.measured_service import Caller, memory_mib, once, share
from tests.given.papers import EXAMPLES
from tests.given.quote_requests import Json, shipped_request
from tests.given.service_process import running_service

QUOTES, LIVE = "/v1/quotes", "/health/live"
IDLE_CALLS = 200
P99_RATIO, LIVE_SECONDS, MEMORY_MIB = 3.0, 0.1, 512.0
PAPER, PAPERS, P99_PAPERS = "/v1/documents/customer_quote?format=pdf", 40, 2.0


def heaviest_request() -> Json:
    """The one that costs most of what is answered, of tall walls with more and more sections
    (beyond it what would pass is not searched for), walls dug together, walls above each other,
    and walls whose ground was measured across them."""
    catalog = load_catalog(())
    walls = [heavy_request(entries, 36) for entries in range(40, 120, 8)]
    dug = [{**shipped_request(), **dug_terraces(2, parts)} for parts in range(120, 201, 20)]
    tiers = [{**shipped_request(), **stepped_walls(3, 5 + tenth / 10)} for tenth in range(0, 15, 3)]
    measured = [shipped_request(sectioned_wall(40, pairs)) for pairs in range(20, 61, 10)]
    return max((*walls, *dug, *tiers, *measured), key=lambda each: cost_ms(each, catalog))


def cost_ms(body: Json, catalog: Catalog) -> float:
    """What a request costs; 0 where it is refused as too large."""
    try:
        return prepare_document(body, catalog).cost_ms
    except QuoteFaultsError:
        return 0.0


def largest_request() -> Json:
    """The one with most values: level walls that were measured at each step."""
    walls = [{**measured_wall(990), "name": f"wall {number}"} for number in range(4)]
    return {**shipped_request(**LABOR), "walls": walls}


def large_call(what: str, quote: Json) -> tuple[str, object]:
    """The address and body of a call with a quote request; of papers the one with most rows."""
    wrapped = {"quote": quote}
    calls: dict[str, tuple[str, object]] = {
        "quotes": (QUOTES, quote),
        "comparisons": (
            "/v1/comparisons",
            {**wrapped, "alternatives": [{"section": quote["section"]}]},
        ),
        "batches": ("/v1/quotes/batch", [quote] * 3),
        "saved quotes": ("/v1/saved-quotes", wrapped),
        "papers": ("/v1/documents/crew_sheet?format=pdf", wrapped),
    }
    return calls[what]


@pytest.mark.parametrize("number", [1, 2, 10])
def test_heaviest_requests_hold_nobody_up(number: int) -> None:
    """While so many run: p99 of small quotes <= 3 x that of a service without them, health within
    100 ms, at most 512 MiB more."""
    hold_nobody_up("heaviest", number, QUOTES, heaviest_request(), ())


@pytest.mark.parametrize("number", [1, 2, 10])
@pytest.mark.parametrize("what", ["quotes", "comparisons", "batches", "saved quotes", "papers"])
def test_largest_requests_hold_nobody_up(what: str, number: int) -> None:
    """The same of the largest, whatever they are for, beside a service whose processes that
    calculate have begun."""
    path, largest = large_call(what, largest_request())
    _, begun = large_call(what, heavy_request())
    hold_nobody_up(f"largest {what}", number, path, largest, [begun] * (os.cpu_count() or 1))


def hold_nobody_up(
    what: str, number: int, path: str, heaviest: object, begin: Sequence[object]
) -> None:
    """Send so many at a time, and see what others notice; `begin` are sent together before."""
    small = small_request()
    with (
        running_service(log=subprocess.DEVNULL) as (process, port),
        closing(Caller(port)) as caller,
        closing(Caller(port)) as other,
        ThreadPoolExecutor(number + len(begin) + 1) as pool,
    ):
        for each in [pool.submit(once, port, path, body) for body in begin]:
            each.result()
        idle = [caller.seconds(QUOTES, small) for _ in range(IDLE_CALLS)]
        before, most = memory_mib(process.pid), 0.0
        heavy = [pool.submit(once, port, path, heaviest) for _ in range(number)]
        lives = pool.submit(other.until, lambda: all(each.done() for each in heavy), LIVE)
        busy: list[float] = []
        while not lives.done():
            busy.append(caller.seconds(QUOTES, small))
            most = max(most, memory_mib(process.pid) - before)
        slowest = max(each.result() for each in heavy)
    ratio, live = share(busy, 0.99) / share(idle, 0.99), max(lives.result())
    sys.stdout.write(
        f"\n{number} {what} ({slowest:.1f} s): p50 {share(idle, 0.5) * 1e3:.0f} -> "
        f"{share(busy, 0.5) * 1e3:.0f} ms, p99 {share(idle, 0.99) * 1e3:.0f} -> "
        f"{share(busy, 0.99) * 1e3:.0f} ms ({ratio:.2f} x, {len(busy)} calls), health at most "
        f"{live * 1e3:.0f} ms, at most {most:.0f} MiB more\n"
    )
    assert ratio <= P99_RATIO
    assert live <= LIVE_SECONDS
    assert most <= MEMORY_MIB


def test_papers_hold_nobody_up() -> None:
    """While customers' quotes are set as PDF one after the other, p99 of small quotes is at most
    twice that of a service that does nothing else."""
    small = small_request()
    jobs = [{**shipped_example(), "reference": f"job {count}"} for count in range(PAPERS)]
    with (
        running_service(log=subprocess.DEVNULL) as (_, port),
        closing(Caller(port)) as caller,
        ThreadPoolExecutor(1) as pool,
    ):
        once(port, PAPER, {"quote": jobs[0]})
        idle = [caller.seconds(QUOTES, small) for _ in range(IDLE_CALLS)]

        def make_all() -> list[float]:
            with closing(Caller(port)) as other:
                return [other.seconds(PAPER, {"quote": job}) for job in jobs]

        making = pool.submit(make_all)
        busy = caller.until(making.done, QUOTES, small)
        papers = making.result()
    ratio = share(busy, 0.99) / share(idle, 0.99)
    sys.stdout.write(
        f"\n{PAPERS} papers ({share(papers, 0.5) * 1e3:.0f} ms each): p99 of small quotes "
        f"{share(idle, 0.99) * 1e3:.0f} -> {share(busy, 0.99) * 1e3:.0f} ms ({ratio:.2f} x, "
        f"{len(busy)} calls)\n"
    )
    assert ratio <= P99_PAPERS


def shipped_example() -> Json:
    """A whole job."""
    found: Json = json.loads((EXAMPLES / "garden_wall.request.json").read_text(encoding="utf-8"))
    return found
