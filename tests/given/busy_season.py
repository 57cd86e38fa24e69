"""The callers of a contractor's busiest season: website, CRM and office."""

from __future__ import annotations

import http.client
import json
import os
import random
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from tests.given.api_keys import bearer
from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json, level_wall, shipped_request
from tests.given.savers import quote_called
from tests.given.service_process import HOST, ROOT
from tests.given.visitors import LEAD, asked

CALLERS = 8
TIMEOUT_SECONDS = 300.0
PRICE_LIST = "season"
PRICES = f"/v1/price-lists/{PRICE_LIST}/revisions"
SAVED = "/v1/saved-quotes"
LATEST, TOGETHER = 20, 20  # quotes that are priced again, and those of a batch


class Line:
    """A connection that is kept, of a caller with a key; `told` counts calls with their status.
    `tag` is the ETag of the last answer."""

    def __init__(self, port: int, key: str, told: Counter[str]) -> None:
        self._connection = http.client.HTTPConnection(HOST, port, timeout=TIMEOUT_SECONDS)
        self._key = bearer(key)
        self._told = told
        self.tag = ""

    def ask(self, what: str, method: str, path: str, body: object = None, **more: str) -> bytes:
        """One call; the body of its answer, nothing where it failed."""
        sent = None if body is None else json.dumps(body)
        headers = {**self._key, "Content-Type": "application/json"} if sent else dict(self._key)
        named = {name.replace("_", "-"): value for name, value in more.items()}
        try:
            self._connection.request(method, path, sent, headers | named)
            answer = self._connection.getresponse()
            body_told = answer.read()
            self.tag = answer.headers["ETag"] or ""
        except (OSError, http.client.HTTPException) as error:
            self._connection.close()
            self._told[f"{what} {type(error).__name__}"] += 1
            return b""
        self._told[f"{what} {answer.status}"] += 1
        return body_told if answer.status < http.HTTPStatus.BAD_REQUEST else b""

    def ask_json(self, what: str, method: str, path: str, body: object = None, **more: str) -> Json:
        """The same; the document, empty where it failed."""
        document: Json = json.loads(self.ask(what, method, path, body, **more) or b"{}")
        return document

    def close(self) -> None:
        """Go."""
        self._connection.close()


def garden_wall(chance: random.Random) -> Json:
    """A garden wall of some length, on the list of the office."""
    quote: Json = quote_called("garden wall (invented)")
    (wall,) = quote["walls"]
    wall["plan"] = [{"kind": "straight", "length": f"{chance.randint(16, 48)} ft"}]
    return quote | {"prices": {"price_list": PRICE_LIST}}


def plain_wall(chance: random.Random) -> Json:
    """A wall of some length on level ground, on the same list."""
    wall = level_wall(f"{chance.randint(16, 48)} ft", exposed="2 ft")
    return shipped_request(wall, prices={"price_list": PRICE_LIST})


@dataclass(slots=True)
class Season:
    """The callers of one service. `keys` are those of the website and of the office; `folder` takes
    backups, `settings` are what the service was started with. Found are the statuses of all calls,
    the ids that were acknowledged, and the seconds of each quote."""

    port: int
    keys: tuple[str, str]
    folder: Path
    settings: Mapping[str, str]
    seen: Counter[str] = field(default_factory=Counter)
    kept: list[str] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)

    def website(self) -> Line:
        """A visitor's connection."""
        return Line(self.port, self.keys[0], self.seen)

    def office(self) -> Line:
        """A connection of the CRM or the office."""
        return Line(self.port, self.keys[1], self.seen)

    # What the many do.

    def quote(self, line: Line, chance: random.Random) -> None:
        """A quote, timed: of a whole job, or of a wall alone."""
        wanted = chance.choice((garden_wall, plain_wall))(chance)
        began = time.perf_counter()
        line.ask("quote", "POST", "/v1/quotes", wanted)
        self.seconds.append(time.perf_counter() - began)

    def read(self, line: Line, chance: random.Random) -> None:
        """One of the quotes that are kept."""
        line.ask("read", "GET", f"{SAVED}/{chance.choice(self.kept)}")

    def list_kept(self, line: Line, _chance: random.Random) -> None:
        """The newest of them."""
        line.ask("list", "GET", f"{SAVED}?limit=20")

    def systems(self, line: Line, _chance: random.Random) -> None:
        """What can be built with."""
        line.ask("systems", "GET", "/v1/wall-systems")

    def save(self, line: Line, chance: random.Random) -> None:
        """A quote that is kept, and read back."""
        told = line.ask_json("save", "POST", SAVED, {"quote": garden_wall(chance)})
        if "id" in told:
            self.kept.append(told["id"])
            line.ask("latest", "GET", f"{SAVED}/{told['id']}/revisions/latest")

    def form(self, line: Line, _chance: random.Random) -> None:
        """The form of the website."""
        line.ask("form", "GET", "/v1/website/form")

    def price_range(self, line: Line, chance: random.Random) -> None:
        """What a visitor asks."""
        line.ask("range", "POST", "/v1/website/price-range", asked(length=str(_feet(chance))))

    def lead(self, line: Line, chance: random.Random) -> None:
        """What a visitor asks who wants to be called."""
        sent = asked(LEAD, length=str(_feet(chance)))
        line.ask("lead", "POST", "/v1/website/price-range", sent)

    # What the office does now and then.

    def publish(self, line: Line) -> None:
        """New prices; the first before anything is kept."""
        told = line.ask_json("prices", "GET", f"{PRICES}/latest") if self.kept else {}
        number = told.get("revision", 0)
        cost = {"unit_cost": f"6.{number % 100:02d}", "per": "each"}
        items = shipped_catalog().price_lists["demo_2026"].document["items"] | {"garden_6in": cost}
        content = {"currency": "USD", "effective_from": "2026-03-01", "items": items}
        condition = {"If_Match": line.tag} if told else {"If_None_Match": "*"}
        line.ask("publish", "POST", PRICES, content, **condition)

    def reprice(self, line: Line) -> None:
        """Price the newest quotes again: first to see, then to keep."""
        wanted = {"price_list": PRICE_LIST, "quotes": {"ids": self.kept[-LATEST:]}}
        told = line.ask_json("preview", "POST", "/v1/repricings", wanted)
        if told:
            sent = {"mode": "write", "preview": told["id"]}
            line.ask("write", "POST", "/v1/repricings", sent)

    def batch(self, line: Line) -> None:
        """Several quotes in one call."""
        chance = random.Random(len(self.kept))  # noqa: S311  repeatable, no secret
        line.ask("batch", "POST", "/v1/quotes/batch", [garden_wall(chance)] * TOGETHER)

    def paper(self, line: Line) -> None:
        """A quote as its customer gets it."""
        wanted = {"quote": garden_wall(random.Random(len(self.kept)))}  # noqa: S311  as above
        line.ask("paper", "POST", "/v1/documents/customer_quote?format=pdf", wanted)

    def reload(self, line: Line) -> None:
        """The catalog anew."""
        line.ask("reload", "POST", "/v1/catalog/reload", {})

    def back_up(self, _line: Line) -> None:
        """Copy and check what is kept, by a command of its own."""
        copy = self.folder / "copy.sqlite"
        done = subprocess.run(
            [sys.executable, "-m", "service", "db", "backup", str(copy)],
            cwd=ROOT, env={**os.environ, **self.settings}, check=False, capture_output=True,
        )  # fmt: skip
        self.seen[f"backup {200 if done.returncode == 0 else done.stderr.decode()}"] += 1
        copy.unlink(missing_ok=True)


def _feet(chance: random.Random) -> int:
    return chance.randint(20, 80)


# Of 400 calls: who makes them, and which.
OF_THE_WEBSITE: Mapping[Callable[[Season, Line, random.Random], None], int] = {
    Season.price_range: 18, Season.lead: 1, Season.form: 115,
}  # fmt: skip
OF_THE_CRM: Mapping[Callable[[Season, Line, random.Random], None], int] = {
    Season.quote: 44, Season.read: 88, Season.list_kept: 50, Season.systems: 83, Season.save: 1,
}  # fmt: skip
# Seconds from one to the next.
OF_THE_OFFICE: Mapping[Callable[[Season, Line], None], float] = {
    Season.batch: 10, Season.reload: 30, Season.paper: 60, Season.reprice: 60, Season.publish: 120,
    Season.back_up: 300,
}  # fmt: skip


@dataclass(slots=True)
class Pace:
    """How fast all callers call together: seconds from a call of one to its next, nothing for as
    fast as they are answered."""

    pause: float = 0.0
    calls: int = 0
    stop: threading.Event = field(default_factory=threading.Event)

    def many(self, season: Season, who: int) -> None:
        """One of the many callers, until the stop: website and CRM by turns of chance."""
        chance = random.Random(who)  # noqa: S311  repeatable, no secret
        works = [*OF_THE_WEBSITE, *OF_THE_CRM]
        weights = [*OF_THE_WEBSITE.values(), *OF_THE_CRM.values()]
        due = time.monotonic() + chance.random() * self.pause
        with closing(season.website()) as website, closing(season.office()) as office:
            while not self.stop.wait(max(0.0, due - time.monotonic())):
                (work,) = chance.choices(works, weights)
                work(season, website if work in OF_THE_WEBSITE else office, chance)
                self.calls += 1
                due = max(due + self.pause, time.monotonic() - 1)

    def few(self, season: Season) -> None:
        """The office, until the stop: each thing once at least."""
        due = dict.fromkeys(OF_THE_OFFICE, 0.0)
        while not self.stop.is_set() or not all(due.values()):
            for work, seconds in OF_THE_OFFICE.items():
                if time.monotonic() >= due[work]:
                    with closing(season.office()) as line:
                        work(season, line)
                    due[work] = time.monotonic() + seconds
            self.stop.wait(0.1)
