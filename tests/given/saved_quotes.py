"""A client that keeps quotes as a caller would, for tests of what is kept."""

from __future__ import annotations

from httpx2 import Response
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Store
from tests.given.quote_requests import TERMS, Json, proof_request, read
from tests.given.served import BASE_URL, application

URL = "/v1/saved-quotes"
DAYS = {"issued": {"on": "2026-05-05"}, "accepted": {"on": "2026-05-06"}}


class Keeper:
    """Keeps quotes over HTTP."""

    def __init__(self, catalog: Catalog, store: Store) -> None:
        self.client = TestClient(application(catalog, store), base_url=BASE_URL)

    def save(self, request: Json | None = None, **more: object) -> Json:
        """Keep a quote and return its document."""
        body = {"quote": request or small_request(), **more}
        response = self.client.post(URL, json=body)
        assert response.status_code == 201, response.text
        return read(response)

    def get(self, path: str, **headers: str) -> Response:
        """Read something below the saved quotes."""
        return self.client.get(f"{URL}{path}", headers=headers)

    def tag(self, path: str) -> str:
        """The ETag of something."""
        response = self.get(path)
        assert response.status_code == 200, response.text
        return response.headers["etag"]

    def seen(self, quote_id: str) -> dict[str, str]:
        """The head of a change of a quote as it is now."""
        return {"If-Match": self.tag(f"/{quote_id}")}

    def state(self, quote_id: str) -> str:
        """The state of a quote."""
        state: str = read(self.get(f"/{quote_id}/state"))["state"]
        return state

    def move(self, quote_id: str, state: str, tag: str | None = None, **headers: str) -> Response:
        """Ask for a state, by the tag that stands unless told otherwise; issued on a day of the
        year of the tests."""
        return self.say(quote_id, {"state": state, **DAYS.get(state, {})}, tag, **headers)

    def say(self, quote_id: str, body: Json, tag: str | None = None, **headers: str) -> Response:
        """Ask for a state in words of one's own."""
        sent = {"If-Match": tag or self.tag(f"/{quote_id}"), **headers}
        return self.client.post(f"{URL}/{quote_id}/state", json=body, headers=sent)

    def moved(self, quote_id: str, *states: str) -> Json:
        """Bring a quote through states that are allowed."""
        for state in states:
            response = self.move(quote_id, state)
            assert response.status_code == 200, response.text
        return read(self.get(f"/{quote_id}/state"))

    def revise(
        self, quote_id: str, request: Json, tag: str | None = None, **headers: str
    ) -> Response:
        """Ask for a further revision."""
        sent = {"If-Match": tag or self.tag(f"/{quote_id}"), **headers}
        url = f"{URL}/{quote_id}/revisions"
        return self.client.post(url, json={"quote": request}, headers=sent)


def small_request(**more: object) -> Json:
    """A complete quote on the small catalog: material alone, and it says so. Its 4 ft call for an
    engineer, which is the owner's matter unless told otherwise."""
    settled: Json = {"engineering": {"settled": "by_owner"}, **more}
    return proof_request(materials_only=True, terms=TERMS, **settled)
