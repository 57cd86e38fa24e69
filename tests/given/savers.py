"""Callers who save one quote after another, and ask again until each is kept."""

from __future__ import annotations

import json
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from service.cli.loopback import call
from tests.given.served import JSON
from tests.given.service_process import HOST
from tests.given.stores import connected

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "openapi" / "examples" / "quote_walls" / "garden_wall.request.json"
SAVERS = 3
KEPT = 201


def quote_called(title: str) -> dict[str, object]:
    """The example without its reference, which one quote alone may carry: nothing but the key of
    a call keeps it from being done twice."""
    quote: dict[str, object] = {**json.loads(EXAMPLE.read_bytes()), "title": title}
    del quote["reference"]
    return quote


@dataclass(slots=True)
class Savers:
    """Several of them. `keyed`: a call that is made again has the `Idempotency-Key` of the first.
    `kept` has the ids that were acknowledged, `seen` counts codes and statuses of all answers."""

    port: int
    keyed: bool = True
    stop: threading.Event = field(default_factory=threading.Event)
    kept: list[str] = field(default_factory=list)
    seen: Counter[str] = field(default_factory=Counter)

    def save_on(self, who: int) -> None:
        """Save until the stop; what is begun then is still brought to its end."""
        number = 0
        while not self.stop.is_set():
            self.kept.append(self.save(f"{who}-{number}"))
            number += 1

    def save(self, name: str) -> str:
        """Save one, however often it takes; its id."""
        body = json.dumps({"quote": quote_called(f"job {name}")}).encode()
        headers = {**JSON, **({"Idempotency-Key": name} if self.keyed else {})}
        while True:
            document = self._call(body, headers)
            if "id" in document:
                return str(document["id"])
            time.sleep(0.02)

    def _call(self, body: bytes, headers: Mapping[str, str]) -> dict[str, object]:
        try:
            told = call(f"http://{HOST}:{self.port}", "POST", "/v1/saved-quotes", body, headers)
        except Exception as error:  # a thread's failure is told by the counts
            self.seen[repr(error)] += 1
            raise
        document: dict[str, object] = json.loads(told.body)
        self.seen[str(document.get("code", told.status))] += 1
        return document

    def refused(self) -> int:
        """How many saves were not kept at once."""
        return self.seen.total() - self.seen[str(KEPT)]

    def at_work(self) -> AbstractContextManager[None]:
        """All of them, for as long as the block."""
        return at_work(self.save_on, self.stop)


@contextmanager
def at_work(work: Callable[[int], None], stop: threading.Event) -> Iterator[None]:
    """Several who work side by side, each told which one it is, for as long as the block; then
    they are told to stop."""
    threads = [threading.Thread(target=work, args=(who,)) for who in range(SAVERS)]
    for thread in threads:
        thread.start()
    try:
        yield
    finally:
        stop.set()
        for thread in threads:
            thread.join(60)


def wait_until(what: str, reached: Callable[[], bool]) -> None:
    """Wait until something is so."""
    end = time.monotonic() + 60
    while not reached():
        assert time.monotonic() < end, what
        time.sleep(0.005)


def ids_there(url: str) -> list[str]:
    """The saved quotes that stand in a PostgreSQL database."""
    with closing(connected(url)) as connection:
        return [str(id_) for (id_,) in connection.execute("SELECT id FROM quote").fetchall()]
