"""An office that publishes one price list, keeps quotes on it, and prices them again."""

from __future__ import annotations

from starlette.testclient import TestClient

from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json

ITEMS: Json = shipped_catalog().price_lists["demo_2026"].document["items"]


class ListOffice:
    """An office with a price list of its own, on which all that isn't said costs as in the demo."""

    def __init__(self, client: TestClient, price_list: str) -> None:
        self.client = client
        self._list = price_list
        self._published = 0

    def publish(self, items: Json) -> None:
        """The next revision of the price list."""
        address = f"/v1/price-lists/{self._list}/revisions"
        conditions = {"If-None-Match": "*"}
        if self._published:
            conditions = {"If-Match": self.client.get(f"{address}/latest").headers["etag"]}
        content = {"currency": "USD", "effective_from": "2026-03-01", "items": ITEMS | items}
        answered = self.client.post(address, json=content, headers=conditions)
        assert answered.status_code == 201, answered.text
        self._published += 1

    def quote(self, asked: Json) -> Json:
        """A fresh quote on the newest revision."""
        answered = self.client.post("/v1/quotes", json=asked)
        assert answered.status_code == 200, answered.text
        answer: Json = answered.json()
        return answer

    def save(self, asked: Json) -> str:
        """Keep a quote; returns its address."""
        answered = self.client.post("/v1/saved-quotes", json={"quote": asked})
        assert answered.status_code == 201, answered.text
        return f"/v1/saved-quotes/{answered.json()['id']}"

    def reprice(self) -> Json:
        """Price the saved quote on the newest revision: the preview's item, written too."""
        run = self.client.post("/v1/repricings", json={"price_list": self._list}).json()
        (item,) = self.client.get(f"/v1/repricings/{run['id']}/items").json()["items"]
        sent = {"mode": "write", "preview": run["id"]}
        written = self.client.post("/v1/repricings", json=sent)
        assert written.status_code == 201, written.text
        shown: Json = item
        return shown

    def latest(self, saved: str) -> tuple[Json, Json]:
        """The answer of the newest revision, and what it is calculated once more."""
        number = self.client.get(f"{saved}/revisions/latest").json()["revision"]
        kept = f"{saved}/revisions/{number}"
        answer, again = (self.client.get(f"{kept}/{what}") for what in ("answer", "recomputed"))
        return answer.json(), again.json()

    def reprice_as_fresh(self, saved: str, asked: Json) -> None:
        """Price the one saved quote again, and see that it is a fresh one on the newest revision:
        the preview's total, the written answer, and what it is calculated once more."""
        fresh, shown = self.quote(asked), self.reprice()
        kept, again = self.latest(saved)
        assert shown["new_total"] == fresh["price"]["total"], shown
        assert without_stamps(kept) == without_stamps(fresh)
        assert again["same"] is True


def without_stamps(answer: Json) -> Json:
    """An answer without what says that it was priced again."""
    return {key: part for key, part in answer.items() if key not in ("digest", "priced_by")}
