"""Addresses that the service writes: from where callers find it, a path in front included."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from service.api.app import create_app
from service.catalog import Catalog
from service.operations.callers.webhook_sending import WebhookSender
from service.settings import Settings
from service.storage import Store
from tests.given.price_requests import NEAR, publish
from tests.given.quote_requests import Json, read
from tests.given.saved_quotes import URL, small_request
from tests.given.served import BASE_URL
from tests.given.webhooks import Receiver, box_in, made_webhook

PUBLIC = "https://quotes.example.com/walls"


@pytest.fixture
def client(proof_catalog: Catalog, store: Store) -> Iterator[TestClient]:
    """A client of a service that stands behind a path."""
    app = create_app(Settings(public_url=PUBLIC), proof_catalog, store)
    with TestClient(app, base_url=BASE_URL, follow_redirects=False) as client:
        yield client


def path_of(address: str) -> str:
    """What stands behind the public address."""
    assert address.startswith(f"{PUBLIC}/"), address
    return address.removeprefix(PUBLIC)


def texts(document: object) -> Iterator[str]:
    """Every text of a document."""
    if isinstance(document, str):
        yield document
    for part in document.values() if isinstance(document, dict) else ():
        yield from texts(part)
    for part in document if isinstance(document, list) else ():
        yield from texts(part)


def no_bare_path(answer: Response) -> None:
    """Nothing in an answer is an address without its beginning."""
    assert not [text for text in texts(read(answer)) if text.startswith("/v1/")]
    assert not answer.headers.get("location", "").startswith("/")
    assert not answer.headers.get("content-location", "").startswith("/")


def saved(client: TestClient) -> Response:
    """A quote that is kept."""
    return client.post(URL, json={"quote": small_request()})


def test_made_things_are_found_at_the_public_address(client: TestClient) -> None:
    """`Location` leads to what was made, `Content-Location` to the revision that is shown."""
    made = saved(client)
    assert read(client.get(path_of(made.headers["location"])))["id"] == read(made)["id"]
    latest = client.get(f"{URL}/{read(made)['id']}/revisions/latest")
    assert client.get(path_of(latest.headers["content-location"])).content == latest.content
    published = publish(client, NEAR)
    assert client.get(path_of(published.headers["location"])).status_code == 200


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    "path", ["/v1/soils", URL, "/v1/price-lists/yard/revisions", "/v1/repricings", "/v1/events"]
)
def test_pages_lead_on_at_the_public_address(client: TestClient, path: str) -> None:
    """`next` and `Link` of each kind of list."""
    for _ in range(2):
        quote = read(saved(client))["id"]
        etag = None
        if path.endswith("revisions"):
            etag = client.get(f"{path}/latest").headers.get("etag")
        publish(client, {**NEAR, "effective_from": "2026-05-01"} if etag else NEAR, etag=etag)
        asked = {"price_list": "yard", "quotes": {"ids": [quote]}}
        if path.endswith("repricings"):
            client.post(path, json=asked)
    page = client.get(f"{path}?limit=1")
    address: str = read(page)["next"]
    assert page.headers["link"] == f'<{address}>; rel="next"'
    no_bare_path(page)
    onward = client.get(path_of(address))
    assert onward.status_code == 200
    assert len(read(onward)["items"]) == 1
    assert read(onward)["items"] != read(page)["items"]


def test_events_lead_to_the_public_address(client: TestClient) -> None:
    """Links of events are whole addresses."""
    quote = read(saved(client))["id"]
    page = client.get("/v1/events")
    no_bare_path(page)
    (event,) = read(page)["items"]
    assert event["data"]["links"]["quote"] == f"{PUBLIC}{URL}/{quote}"


def test_webhooks_are_sent_the_public_address(
    client: TestClient, store: Store, tmp_path: Path
) -> None:
    """A message holds the bytes that a poller reads: what it leads to is found from outside."""
    box = box_in(tmp_path)
    made_webhook(store, box)
    saved(client)
    receiver = Receiver()
    sender = WebhookSender(store, box, "one", send=receiver, chance=lambda: 0.0, public_url=PUBLIC)
    assert sender.deliver()
    items: list[Json] = read(client.get("/v1/events?type=quote.saved"))["items"]
    assert [json.loads(body) for _, body in receiver.sent] == items


def test_document_names_the_public_address(client: TestClient) -> None:
    """Whoever makes a client of the document calls the service where it is found."""
    (server,) = read(client.get("/openapi.json"))["servers"]
    assert server["url"] == PUBLIC
