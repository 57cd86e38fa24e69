"""Quotes that are issued and shown by links, and a customer who answers them."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from functools import cache
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from httpx2 import Response
from starlette.testclient import TestClient

from service.api.app import create_app
from service.settings import Settings
from service.storage import Store
from service.storage.tables import EVENT
from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json, read
from tests.given.saved_quotes import URL, Keeper
from tests.given.served import BASE_URL, Here

EXAMPLE = Path(__file__).parents[2] / "openapi/examples/quote_walls/garden_wall.request.json"
SMITH: Json = {
    "name": "Ana Quimbrel",
    "site_address": {"lines": ["12 Quarry Lane", "Town"]},
    "billing_address": {"street_name": "9 Orchard Row", "city_name": "Town"},
}
FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@cache
def _example() -> str:
    return EXAMPLE.read_text(encoding="utf-8")


def garden(**more: object) -> Json:
    """The request of the garden wall, on the day of the clock."""
    request: Json = json.loads(_example())
    request.pop("reference")
    return {**request, "engineering": {"settled": "by_owner"}, **more}


class Linker(Keeper):
    """Keeps quotes over HTTP over the shipped catalog, and links to them."""

    def __init__(self, store: Store, **settings: Any) -> None:  # noqa: ANN401  of any type
        self.store = store
        app = create_app(Settings.model_construct(**settings), shipped_catalog(), store)
        app.state.door = Here()
        self.client = TestClient(app, base_url=BASE_URL, follow_redirects=False)

    def issued(self, request: Json | None = None, **more: object) -> str:
        """The id of a quote that is issued on the first day."""
        quote_id: str = self.save(request or garden(), **{"customer": SMITH, **more})["id"]
        self.issue(quote_id)
        return quote_id

    def issue(self, quote_id: str) -> None:
        """Issue the draft of a quote."""
        issued = self.say(quote_id, {"state": "issued", "on": "2026-05-04"})
        assert issued.status_code == 200, issued.text

    def make(self, quote_id: str, revision: int | str = 1, **asked: object) -> Response:
        """Ask for a link."""
        headers = {"Idempotency-Key": str(asked.pop("key"))} if "key" in asked else {}
        url = f"{URL}/{quote_id}/revisions/{revision}/links"
        body = {"kind": "customer_quote", **asked}
        return self.client.post(url, json=body, headers=headers)

    def link(self, quote_id: str, revision: int | str = 1, **asked: object) -> Shown:
        """A link that was made."""
        made = self.make(quote_id, revision, **asked)
        assert made.status_code == 201, made.text
        told = read(made)
        return Shown(self.client, told["id"], told["url"].removeprefix(BASE_URL))

    def listed(self, quote_id: str, revision: int = 1) -> list[Json]:
        """The links of a revision."""
        items: list[Json] = read(self.get(f"/{quote_id}/revisions/{revision}/links"))["items"]
        return items

    def events(self, *types: str) -> list[tuple[str, str, Json]]:
        """What was told: type, by whom, data."""
        with self.store.read() as connection:
            rows = connection.execute(EVENT.select().order_by(EVENT.c.id)).all()
        return [
            (row.type, row.by, json.loads(row.data))
            for row in rows
            if not types or row.type in types
        ]


@dataclass(frozen=True, slots=True)
class Shown:
    """A link as whoever has its address meets it."""

    client: TestClient
    id: str
    path: str

    def page(self, below: str = "", **headers: str) -> Response:
        """Its page, or something below it."""
        return self.client.get(f"{self.path}{below}", headers=headers)

    def form(self) -> dict[str, str]:
        """The fields of the form of a yes as the page has them, filled in."""
        text = self.page().text
        mark = re.search(r'name="mark" value="([0-9a-f]{64})"', text)
        assert mark is not None, text[-3000:]
        return {"answer": "accept", "name": "Ana Quimbrel", "agrees": "yes", "mark": mark[1]}

    def sentence(self) -> str:
        """The sentence that is ticked."""
        found = re.search(r'<label for="agrees"[^>]*>(.*?)</label>', self.page().text, re.DOTALL)
        assert found is not None
        return unescape(found[1])

    def send(self, fields: dict[str, str], **headers: str) -> Response:
        """Send a form as a browser does."""
        return self.client.post(self.path, content=urlencode(fields), headers={**FORM, **headers})

    def accept(self, **fields: str) -> Response:
        """Accept, by the form as it is now."""
        return self.send({**self.form(), **fields})
