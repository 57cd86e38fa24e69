"""The recipes of openapi/recipes, and an office that runs them: a service with keys and prices."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.given.quote_requests import Json
from tests.given.service_process import ROOT, running_service

FOLDER = ROOT / "openapi" / "recipes"
ORIGIN = "https://www.example.com"
MAPPING: Json = {"columns": {"item": "Article", "unit_cost": "Net", "per": "Unit"}}


@dataclass(frozen=True)
class Office:
    """A service at a port, and a key by scope."""

    port: int
    url: str
    keys: dict[str, str] = field(default_factory=dict)

    def run(
        self, scope: str, recipe: str, *words: str | Path, code: int = 0, **settings: str
    ) -> subprocess.CompletedProcess[str]:
        """What a recipe says that is run with a key of this scope; it ends with `code`."""
        service = f"http://127.0.0.1:{self.port}"
        key = self.keys.get(scope, "")
        done = subprocess.run(
            [*([sys.executable] if recipe.endswith(".py") else []), FOLDER / recipe, *words],
            env={**os.environ, "SERVICE": service, "SERVICE_KEY": key, **settings},
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
        assert done.returncode == code, (done.stdout, done.stderr)
        return done

    def call(self, scope: str, method: str, path: str, body: Json | None, **head: str) -> Json:
        """The answer to a call with a key of this scope."""
        return self._answer(scope, method, path, body, **head)[0]

    def tag(self, scope: str, path: str) -> str:
        """The ETag of what is read there."""
        return self._answer(scope, "GET", path, None)[1]

    def _answer(
        self, scope: str, method: str, path: str, body: Json | None, **head: str
    ) -> tuple[Json, str]:
        given = {name.replace("_", "-"): value for name, value in head.items()}
        if self.keys.get(scope):
            given["Authorization"] = f"Bearer {self.keys[scope]}"
        data = None if body is None else json.dumps(body).encode()
        given |= {"Content-Type": "application/json"} if data else {}
        address = f"http://127.0.0.1:{self.port}{path}"
        request = urllib.request.Request(address, data, given, method=method)
        with urllib.request.urlopen(request, timeout=120) as answer:  # noqa: S310  this machine
            return json.load(answer), answer.headers.get("ETag", "")

    def get(self, scope: str, path: str) -> Json:
        """What is read there."""
        return self.call(scope, "GET", path, None)


def csv_of(item: str, cost: str) -> str:
    """A supplier's file with one row."""
    return f"Article,Net,Unit\n{item},{cost},each\n"


def new_key(url: str, scope: str, *words: str) -> Json:
    """A key of a scope, made on the command line: its `id`, and the `key` that is shown once."""
    command = [sys.executable, "-m", "service", "keys", "new", "--json", "--name", scope]
    done = subprocess.run(
        [*command, "--scope", scope, *words],
        env={**os.environ, "SERVICE_DATABASE_URL": url},
        capture_output=True, check=True, cwd=ROOT,
    )  # fmt: skip
    made: Json = json.loads(done.stdout)
    return made


@contextmanager
def office_at(folder: Path, **settings: str) -> Iterator[Office]:
    """A service over a database of its own, with the list `yard`: the prices of `demo_2026`."""
    url = f"sqlite:///{folder / 'store.sqlite'}"
    keys = {scope: new_key(url, scope)["key"] for scope in ("admin", "quotes", "prices")}
    page = ("--website", "demo_site", "--origin", ORIGIN)
    keys["website"] = new_key(url, "website", *page)["key"]
    with running_service(log=subprocess.DEVNULL, SERVICE_DATABASE_URL=url, **settings) as (_, port):
        office = Office(port, url, keys)
        shipped = office.get("quotes", "/v1/price-lists/demo_2026/revisions/latest")
        kept = ("title", "currency", "items", "delivery")
        body = {"effective_from": "2026-01-01", **{k: shipped[k] for k in kept if k in shipped}}
        revisions = "/v1/price-lists/yard/revisions"
        office.call("prices", "POST", revisions, body, If_None_Match="*")
        mapping = "/v1/price-lists/yard/column-mapping"
        office.call("prices", "PUT", mapping, MAPPING, If_None_Match="*")
        yield office
