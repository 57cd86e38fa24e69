"""Call a service for a while as a day's callers do, and see that nothing creeps.

    python -m tests.faults.soak [--seconds 600]

Callers save, read, quote, ask for lists and previews of new prices, reload the catalog; backups are
made meanwhile. Prints calls and statuses, and for each tenth of the time the 99th percentile of
quotes, memory and open descriptors. Ends with 1 where a call failed on the service's side, a save
is not there, or memory or descriptors went on growing.
"""

from __future__ import annotations

import argparse
import json
import random
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from service.cli.loopback import call
from service.storage import Store
from tests.given.savers import EXAMPLE
from tests.given.served import JSON
from tests.given.service_process import HOST, running_service

TENTHS = 10
# Beyond what is held from the first tenths on: pages of SQLite's cache, and what callers hold.
MOST_GROWTH_MIB = 32
MOST_DESCRIPTORS = 16
SEED = 20260504


@dataclass(frozen=True, slots=True)
class Tenth:
    """How a tenth of the time went."""

    quotes: int
    p99_ms: float
    memory_mib: float
    descriptors: int


@dataclass(slots=True)
class Soak:
    """Callers of a service on a file; what they were told."""

    address: str
    file: Path
    chance: random.Random = field(default_factory=lambda: random.Random(SEED))  # noqa: S311
    stop: threading.Event = field(default_factory=threading.Event)
    seen: Counter[str] = field(default_factory=Counter)
    kept: list[str] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    backups: int = 0

    def ask(self, what: str, method: str, path: str, body: object = None) -> bytes:
        """One call, counted by what it was and its status."""
        sent = b"" if body is None else json.dumps(body).encode()
        try:
            told = call(self.address, method, path, sent, JSON if sent else {})
        except OSError as error:
            self.seen[f"{what} {type(error).__name__}"] += 1
            return b""
        self.seen[f"{what} {told.status}"] += 1
        return told.body

    def quote(self) -> None:
        """A quote, timed."""
        began = time.monotonic()
        self.ask("quote", "POST", "/v1/quotes", json.loads(EXAMPLE.read_bytes()))
        self.seconds.append(time.monotonic() - began)

    def save(self) -> None:
        """A quote that is kept, and read back."""
        wanted = json.loads(EXAMPLE.read_bytes())
        del wanted["reference"]  # one quote alone may carry it
        told = json.loads(self.ask("save", "POST", "/v1/saved-quotes", {"quote": wanted}) or b"{}")
        if "id" in told:
            self.kept.append(told["id"])
            self.ask("read", "GET", f"/v1/saved-quotes/{self.chance.choice(self.kept)}")

    def look(self) -> None:
        """Lists, and what new prices would change."""
        self.ask("list", "GET", "/v1/saved-quotes")
        asked = {"price_list": "demo_2026", "quotes": {"ids": self.kept[-5:]}}
        if self.kept:
            self.ask("preview", "POST", "/v1/repricings", asked)

    def care(self) -> None:
        """A reload and a backup."""
        self.ask("reload", "POST", "/v1/catalog/reload", {})
        store = Store.open(f"sqlite:///{self.file}")
        copy = self.file.with_name(f"copy{self.backups}")
        store.backup(copy)
        store.close()
        copy.unlink()
        self.backups += 1

    def again_and_again(self, work: Callable[[], None], pause: float) -> None:
        """Until the stop, at a pace that leaves the service time."""
        while not self.stop.wait(pause):
            work()


def measured(soak: Soak, process: int, seconds: float) -> Tenth:
    """Wait for a tenth of the time, and look."""
    before = len(soak.seconds)
    time.sleep(seconds)
    took = sorted(soak.seconds[before:]) or [0.0]
    status = Path(f"/proc/{process}/status").read_text("utf-8")
    (held,) = [line.split()[1] for line in status.splitlines() if line.startswith("VmRSS")]
    p99 = took[int(len(took) * 0.99)]
    open_files = len([*Path(f"/proc/{process}/fd").iterdir()])
    return Tenth(len(took), p99 * 1000, int(held) / 1024, open_files)


def run(seconds: float, folder: Path) -> tuple[Soak, list[Tenth], set[str]]:
    """Call so long; what was told, how it went, and the quotes that are there."""
    file = folder / "store.sqlite"
    settings = {"SERVICE_DATABASE_URL": f"sqlite:///{file}"}
    with running_service(log=subprocess.DEVNULL, **settings) as (process, port):
        soak = Soak(f"http://{HOST}:{port}", file)
        soak.save()
        works = ((soak.quote, 0.1), (soak.save, 0.2), (soak.look, 1.0), (soak.care, 3.0))
        threads = [threading.Thread(target=soak.again_and_again, args=work) for work in works]
        for thread in threads:
            thread.start()
        tenths = [measured(soak, process.pid, seconds / TENTHS) for _ in range(TENTHS)]
        soak.stop.set()
        for thread in threads:
            thread.join()
    store = Store.open(f"sqlite:///{file}")
    with store.read() as connection:
        there = {str(id_) for (id_,) in connection.exec_driver_sql("SELECT id FROM quote")}
    store.close()
    return soak, tenths, there


def faults(soak: Soak, tenths: list[Tenth], there: set[str]) -> list[str]:
    """What went wrong."""
    found = [
        f"{count} x {what}" for what, count in soak.seen.items() if what.split()[1][0] not in "24"
    ]
    found += [f"{name} is gone" for name in set(soak.kept) - there]
    grown = tenths[-1].memory_mib - tenths[2].memory_mib
    if grown > MOST_GROWTH_MIB:
        found.append(f"memory grew by {grown:.0f} MiB")
    if tenths[-1].descriptors > tenths[2].descriptors + MOST_DESCRIPTORS:
        found.append(f"descriptors grew to {tenths[-1].descriptors}")
    return found


def main() -> int:
    """Run from the command line; 1 where something went wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=600)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        soak, tenths, there = run(given.seconds, Path(folder))
    for number, tenth in enumerate(tenths, start=1):
        sys.stdout.write(f"{number}: {tenth}\n")
    found = faults(soak, tenths, there)
    sys.stdout.write(f"{dict(soak.seen)}, {soak.backups} backups, {len(there)} there; {found}\n")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main())
