"""Callers who quote, save, read, list and preview new prices, in turns, for some seconds."""

from __future__ import annotations

import json
import random
import threading
import time
from collections import Counter
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from typing import Any

from service.cli.loopback import call
from tests.given.savers import at_work, quote_called
from tests.given.served import JSON
from tests.given.service_process import HOST

SAVED = "/v1/saved-quotes"


@dataclass(slots=True)
class MixedLoad:
    """Several callers of one service. `word` is the key under which a quote to save stands there.

    `kept` has what was acknowledged, totals by id; `seen` counts what was called with the code or
    status of the answer.
    """

    port: int
    word: str = "quote"
    kept: dict[str, str] = field(default_factory=dict)
    seen: Counter[str] = field(default_factory=Counter)
    stop: threading.Event = field(default_factory=threading.Event)

    def ask(self, what: str, method: str, path: str, body: object = None) -> dict[str, Any]:
        """One call, counted."""
        sent = b"" if body is None else json.dumps(body).encode()
        try:
            told = call(f"http://{HOST}:{self.port}", method, path, sent, JSON if sent else {})
        except OSError as error:
            self.seen[f"{what} {type(error).__name__}"] += 1
            return {}
        document: dict[str, Any] = json.loads(told.body)
        self.seen[f"{what} {document.get('code', told.status)}"] += 1
        return document

    def save(self, chance: random.Random) -> None:
        """A quote that is kept, and one of those that are, read back."""
        told = self.ask("save", "POST", SAVED, {self.word: quote_called("a wall")})
        if "id" in told:
            self.kept[told["id"]] = told["facts"]["total"]
        if ids := list(self.kept):
            self.ask("read", "GET", f"{SAVED}/{chance.choice(ids)}/revisions/1/answer")

    def look(self) -> None:
        """A quote, the list, and what new prices would change."""
        self.ask("quote", "POST", "/v1/quotes", quote_called("a wall"))
        self.ask("list", "GET", SAVED)
        if ids := list(self.kept)[-5:]:
            asked = {"price_list": "demo_2026", "quotes": {"ids": ids}}
            self.ask("preview", "POST", "/v1/repricings", asked)

    def call_on(self, who: int) -> None:
        """Until the stop, at a pace that leaves the service time."""
        chance = random.Random(who)  # noqa: S311  repeatable, no secret
        while not self.stop.wait(0.05):
            self.save(chance)
            self.look()

    def at_work(self) -> AbstractContextManager[None]:
        """All of them, for as long as the block."""
        return at_work(self.call_on, self.stop)

    def work(self, seconds: float) -> None:
        """Call so long, and until everything was called once."""
        with self.at_work():
            time.sleep(seconds)
            self.wait_for(lambda: all(self.count(what) for what in ("save", "read", "preview")))

    def count(self, what: str) -> int:
        """How many calls of one kind, or with one word of an answer, there were."""
        return sum(number for told, number in self.seen.items() if what in told.split())

    def wait_for(self, reached: Callable[[], bool]) -> None:
        """Wait until something was seen."""
        end = time.monotonic() + 120
        while not reached():
            assert time.monotonic() < end, self.seen
            time.sleep(0.01)
