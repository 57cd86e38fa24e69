"""Call a service as the callers of a busy season do, and see that nothing creeps.

    python -m tests.faults.soak [--seconds 600] [--workers 2] [--share 0.6]

Website and CRM call first as fast as they are answered, then at a share of that pace; the office
publishes prices, prices quotes again, asks for batches and papers, reloads the catalog and takes
backups beside it. Prints calls and statuses, and for each tenth of the time the 99th percentile of
quotes, memory and open descriptors of all processes. Ends with 1 where a call failed, a save is not
there, or memory or descriptors went on growing; over an hour or more also where the last tenth is
slower than the first, or memory rises.
"""

from __future__ import annotations

import argparse
import random
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from service.storage import Store
from tests.given.api_keys import new_key
from tests.given.busy_season import CALLERS, Pace, Season
from tests.given.measured_service import memory_mib
from tests.given.measured_service import share as quantile
from tests.given.processes import spawned_by
from tests.given.service_process import running_workers

TENTHS, LOOKS = 10, 5
# Quotes that are kept before, more than a connection to the database holds in memory.
STOCK = 500
SETTLED = 2  # tenths after which caches are full
# Of ten minutes or more, beyond what is held from then on: what callers hold, and pages of
# SQLite's cache.
MOST_GROWTH_MIB = 32
MOST_DESCRIPTORS = 16
# Of an hour or more.
MOST_SLOWER = 1.2
MOST_MIB_AN_HOUR = 2.0
SOME_SECONDS, LONG_SECONDS = 600.0, 3600.0


@dataclass(frozen=True, slots=True)
class Tenth:
    """How a tenth of the time went."""

    quotes: int
    p99_ms: float
    memory_mib: float
    descriptors: int


@dataclass(frozen=True, slots=True)
class Soaked:
    """What callers met: `paces` are calls a second, the fastest and those that were made then;
    `there` are the ids of the quotes in the database afterwards."""

    season: Season
    tenths: list[Tenth]
    paces: tuple[float, float]
    there: set[str]


def descriptors(process: int) -> int:
    """Open descriptors of a process and all that it began."""
    return len([*Path(f"/proc/{process}/fd").iterdir()]) + sum(
        map(descriptors, spawned_by(process))
    )


def measured(season: Season, process: int, seconds: float) -> Tenth:
    """Wait for a tenth of the time, and look now and then."""
    before, memory, opened = len(season.seconds), [0.0] * 0, [0] * 0
    for _ in range(LOOKS):
        time.sleep(seconds / LOOKS)
        memory.append(memory_mib(process))
        opened.append(descriptors(process))
    took = season.seconds[before:] or [0.0]
    held = statistics.median(memory)
    return Tenth(len(took), quantile(took, 0.99) * 1000, held, max(opened))


@contextmanager
def at_work(works: list[Callable[[], None]], pace: Pace) -> Iterator[None]:
    """Callers beside each other for as long as the block."""
    threads = [threading.Thread(target=work) for work in works]
    for thread in threads:
        thread.start()
    try:
        yield
    finally:
        pace.stop.set()
        for thread in threads:
            thread.join()


def many(season: Season, pace: Pace) -> list[Callable[[], None]]:
    """The callers of website and CRM."""
    return [lambda who=who: pace.many(season, who) for who in range(CALLERS)]  # type: ignore[misc]


def fastest(season: Season, seconds: float) -> float:
    """Calls a second that are answered at most."""
    pace = Pace()
    began = time.monotonic()
    with at_work(many(season, pace), pace):
        time.sleep(seconds)
    return pace.calls / (time.monotonic() - began)


def run(seconds: float, workers: int, part: float, folder: Path) -> Soaked:
    """Call so long at that part of the fastest pace."""
    url = f"sqlite:///{folder / 'store.sqlite'}"
    settings = {"SERVICE_DATABASE_URL": url, "SERVICE_PRICE_RANGE_LIMITS": "0,0"}
    store = Store.open(url)
    store.migrate()
    keys = (new_key(store, "website")[1], new_key(store, "quotes", "prices", "admin")[1])
    with running_workers(workers, log=subprocess.DEVNULL, **settings) as (process, port):
        season = Season(port, keys, folder, settings)
        office = season.office()
        season.publish(office)
        chance = random.Random(0)  # noqa: S311  repeatable, no secret
        for _ in range(1 + min(STOCK, int(seconds / 10))):
            season.save(office, chance)
        most = fastest(season, min(60.0, max(2.0, seconds / 20)))
        sys.stdout.write(f"at most {most:.0f} calls a second\n")
        pace = Pace(CALLERS / (most * part))
        with at_work([*many(season, pace), lambda: pace.few(season)], pace):
            began = time.monotonic()
            tenths: list[Tenth] = []
            for number in range(1, TENTHS + 1):
                tenths.append(measured(season, process.pid, seconds / TENTHS))
                sys.stdout.write(f"{number}: {tenths[-1]}\n")
                sys.stdout.flush()
            made = pace.calls / (time.monotonic() - began)
        office.close()
    with store.read() as connection:
        there = {str(id_) for (id_,) in connection.exec_driver_sql("SELECT id FROM quote")}
    store.close()
    return Soaked(season, tenths, (most, made), there)


def faults(soaked: Soaked) -> list[str]:
    """What went wrong, however long it took."""
    season = soaked.season
    found = [
        f"{count} x {told}" for told, count in season.seen.items() if told.split()[1][0] != "2"
    ]
    found += [f"{name} is gone" for name in set(season.kept) - soaked.there]
    return found


def slower(tenths: list[Tenth]) -> float:
    """The 99th percentile of the last tenth, in that of the first."""
    return tenths[-1].p99_ms / tenths[0].p99_ms


def mib_an_hour(tenths: list[Tenth], seconds: float) -> float:
    """How fast memory rises once caches are full: the slope of the nearest straight line."""
    held = [tenth.memory_mib for tenth in tenths[SETTLED:]]
    hours = [number * seconds / TENTHS / 3600 for number in range(len(held))]
    return statistics.linear_regression(hours, held).slope


def drifts(tenths: list[Tenth], seconds: float) -> list[str]:
    """What goes on getting worse; a short time does not tell."""
    found = []
    grown = tenths[-1].memory_mib - tenths[SETTLED].memory_mib
    if grown > MOST_GROWTH_MIB:
        found.append(f"memory grew by {grown:.0f} MiB")
    if tenths[-1].descriptors > tenths[SETTLED].descriptors + MOST_DESCRIPTORS:
        found.append(f"descriptors grew to {tenths[-1].descriptors}")
    if seconds < LONG_SECONDS:
        return found if seconds >= SOME_SECONDS else []
    if (times := slower(tenths)) > MOST_SLOWER:
        found.append(f"the last tenth takes {times:.2f} x the first")
    if (rise := mib_an_hour(tenths, seconds)) > MOST_MIB_AN_HOUR:
        found.append(f"memory rises by {rise:.1f} MiB an hour")
    return found


def main() -> int:
    """Run from the command line; 1 where something went wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=600)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--share", type=float, default=0.6)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        soaked = run(given.seconds, given.workers, given.share, Path(folder))
    tenths, (most, made) = soaked.tenths, soaked.paces
    found = faults(soaked) + drifts(tenths, given.seconds)
    sys.stdout.write(f"at most {most:.0f} calls a second, {made:.0f} made; ")
    sys.stdout.write(f"{soaked.season.seen.total()} in all: {dict(soaked.season.seen)}; ")
    sys.stdout.write(f"{len(soaked.there)} quotes there; last tenth {slower(tenths):.2f} x first, ")
    sys.stdout.write(f"{mib_an_hour(tenths, given.seconds):+.1f} MiB an hour; {found}\n")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main())
