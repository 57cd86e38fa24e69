"""`/v1/webhooks` over HTTP: made, changed, ended; secrets shown once; what was sent."""

import json
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select
from standardwebhooks import Webhook
from starlette.testclient import TestClient

from service.api.app import create_app
from service.catalog import Catalog
from service.settings import Settings
from service.storage import Store, system_clock
from service.storage.tables import METADATA
from tests.given.listener import Listener, listening, reply
from tests.given.quote_requests import Json
from tests.given.served import BASE_URL
from tests.given.stores import Clock

URL = "/v1/webhooks"
IN_A_WEEK = "2026-05-11T00:00:00Z"
ASKED: Json = {"url": "https://crm.example/hooks", "types": ["quote.saved", "webhook.changed"]}


@pytest.fixture
def client(catalog: Catalog, store: Store, tmp_path: Path) -> TestClient:
    """A client of a service that doesn't send: nothing runs it."""
    settings = Settings(secret_file=str(tmp_path / "secrets.key"))
    return TestClient(create_app(settings, catalog, store), base_url=BASE_URL)


def made(client: TestClient, **changed: object) -> Json:
    """Make a webhook."""
    response = client.post(URL, json={**ASKED, **changed})
    assert response.status_code == 201, response.text
    answer: Json = response.json()
    return answer


def test_create_webhook_shows_its_secret_once(client: TestClient) -> None:
    """The first answer has exactly id, url, types and secret; no later one has the secret."""
    answer = made(client)
    assert set(answer) == {"id", "url", "types", "secret"}
    assert answer["secret"].startswith("whsec_")
    read = client.get(f"{URL}/{answer['id']}")
    assert read.json() == {
        "id": answer["id"],
        "url": ASKED["url"],
        "types": ASKED["types"],
        "created_at": "2026-05-04T00:00:00Z",
        "created_by": "loopback",
    }
    assert client.get(URL).json() == {"items": [read.json()], "next": None}


def test_create_webhook_needs_a_file_for_its_secret(client: TestClient, tmp_path: Path) -> None:
    """Where the file of the key holds something else no secret is kept: 503, for the runner."""
    (tmp_path / "secrets.key").write_bytes(b"no key")
    response = client.post(URL, json=ASKED)
    assert (response.status_code, response.json()["code"]) == (503, "secret-file-unusable")
    assert "retry-after" in response.headers
    assert str(tmp_path) not in response.text
    assert client.get(URL).json()["items"] == []


def test_create_webhook_repeats_without_the_secret(client: TestClient) -> None:
    """A call that comes again under its key gets the same webhook, and `secret_shown`."""
    headers = {"Idempotency-Key": "one"}
    first = client.post(URL, json=ASKED, headers=headers)
    again = client.post(URL, json=ASKED, headers=headers)
    assert again.headers["idempotent-replayed"] == "true"
    told = first.json()
    del told["secret"]
    assert again.json() == {**told, "secret_shown": True}
    assert again.headers["location"] == first.headers["location"] == f"{URL}/{told['id']}"
    assert len(client.get(URL).json()["items"]) == 1


def test_twins_with_one_key_make_one_webhook(client: TestClient) -> None:
    """Of 40 calls at once with one key and body, one makes a webhook and shows its secret; all
    others get the same one, without it."""
    answers: list[Json] = []

    def call() -> None:
        response = client.post(URL, json=ASKED, headers={"Idempotency-Key": "twin"})
        assert response.status_code == 201
        answers.append(response.json())

    threads = [threading.Thread(target=call) for _ in range(40)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 40
    assert len({answer["id"] for answer in answers}) == 1
    assert sum("secret" in answer for answer in answers) == 1
    assert sum("secret_shown" in answer for answer in answers) == 39
    assert len(client.get(URL).json()["items"]) == 1


def test_create_webhook_refuses_targets_inside(client: TestClient) -> None:
    """An address inside is 422 `target-refused` at `/url`, and nothing is kept."""
    for url in (
        "https://127.0.0.1/",
        "http://crm.example/",
        "https://2130706433/",
        "https://[::1]/",
    ):
        response = client.post(URL, json={**ASKED, "url": url})
        problem = response.json()
        assert (response.status_code, problem["code"]) == (422, "target-refused")
        assert problem["errors"][0]["pointer"] == "/url"
    assert client.get(URL).json()["items"] == []


def test_create_webhook_refuses_types_that_are_none(client: TestClient) -> None:
    """A type that no event has, or none at all, is 422."""
    for types in ([], ["quote.gone"]):
        assert client.post(URL, json={**ASKED, "types": types}).status_code == 422


def test_replace_webhook_takes_the_tag_of_what_was_read(client: TestClient) -> None:
    """PUT without If-Match is 428, with an old one 412, with that of now 200 with a new one."""
    address = f"{URL}/{made(client)['id']}"
    changed = {**ASKED, "types": ["lead.received"]}
    assert client.put(address, json=changed).status_code == 428
    tag = client.get(address).headers["etag"]
    done = client.put(address, json=changed, headers={"If-Match": tag})
    assert (done.status_code, done.json()["types"]) == (200, ["lead.received"])
    assert done.headers["etag"] == client.get(address).headers["etag"] != tag
    assert client.put(address, json=ASKED, headers={"If-Match": tag}).status_code == 412
    inside = {**ASKED, "url": "https://10.0.0.1/"}
    again = {"If-Match": done.headers["etag"]}
    assert client.put(address, json=inside, headers=again).json()["code"] == "target-refused"


def test_rotate_webhook_secret_keeps_the_old_one_for_a_while(
    client: TestClient, clock: Clock
) -> None:
    """Seven days unless told otherwise; `0d` ends the old one at once; the secret is shown once."""
    answer = made(client)
    address = f"{URL}/{answer['id']}"
    headers = {"Idempotency-Key": "two"}
    rotated = client.post(f"{address}/rotate", json={}, headers=headers)
    assert set(rotated.json()) == {"id", "secret", "old_secret_until"}
    assert rotated.json()["secret"] != answer["secret"]
    assert rotated.json()["old_secret_until"] == IN_A_WEEK
    again = client.post(f"{address}/rotate", json={}, headers=headers).json()
    assert "secret" not in again
    assert again["secret_shown"] is True
    assert client.get(address).json()["old_secret_until"] == IN_A_WEEK
    clock.seconds += 7 * 86_400
    assert "old_secret_until" not in client.get(address).json()
    assert set(client.post(f"{address}/rotate", json={"overlap": "0d"}).json()) == {"id", "secret"}
    assert client.post(f"{address}/rotate", json={"overlap": "31d"}).status_code == 422


def test_end_webhook_forgets_it(client: TestClient) -> None:
    """After DELETE it isn't there, nor are its deliveries."""
    address = f"{URL}/{made(client)['id']}"
    client.post(f"{address}/test")
    assert client.delete(address).status_code == 204
    for response in (client.delete(address), client.get(address), client.post(f"{address}/test")):
        assert (response.status_code, response.json()["code"]) == (404, "unknown-webhook")
    assert client.get(f"{address}/deliveries").status_code == 404


def test_list_deliveries_by_status_and_type(client: TestClient) -> None:
    """Only what is asked for, in pages, the newest first; what isn't known is refused."""
    address = f"{URL}/{made(client)['id']}"
    sent = [client.post(f"{address}/test").json()["id"] for _ in range(3)]
    deliveries = f"{address}/deliveries"
    assert client.get(f"{deliveries}?status=failed").json()["items"] == []
    assert client.get(f"{deliveries}?type=quote.saved").json()["items"] == []
    found: list[str] = []
    page = f"{deliveries}?status=waiting&type=webhook.test&limit=2"
    while page:
        answer = client.get(page).json()
        found += [each["id"] for each in answer["items"]]
        page = answer["next"]
    assert found == sorted(sent, reverse=True)
    for query in ("status=gone", "type=x", "limit=0", "cursor=zz", "other=1"):
        assert client.get(f"{deliveries}?{query}").status_code == 422
    unknown = client.post(f"{deliveries}/d0_x/redeliver")
    assert (unknown.status_code, unknown.json()["code"]) == (404, "unknown-delivery")


def test_database_holds_no_secret(client: TestClient, store: Store) -> None:
    """No row of any table has a secret, or its bytes: neither the first nor the rotated one."""
    headers = {"Idempotency-Key": "three"}
    answer = client.post(URL, json=ASKED, headers=headers).json()
    rotated = client.post(f"{URL}/{answer['id']}/rotate", json={}, headers=headers).json()
    with store.read() as connection:
        rows = [
            repr(row)
            for table in METADATA.sorted_tables
            for row in connection.execute(select(table))
        ]
    assert any(answer["id"] in row for row in rows)
    for secret in (answer["secret"], rotated["secret"]):
        assert not any(secret.removeprefix("whsec_") in row or "whsec_" in row for row in rows)


@pytest.fixture
def listener() -> Iterator[Listener]:
    """A receiver on this machine."""
    with listening() as listener:
        yield listener


@pytest.fixture
def sending(catalog: Catalog, tmp_path: Path, listener: Listener) -> Iterator[TestClient]:
    """A client of a service that sends, by the clock of the machine, to the receiver too."""
    store = Store.open(f"sqlite:///{tmp_path}/sending.sqlite", now=system_clock)
    store.migrate()
    settings = Settings(webhook_targets=(f"127.0.0.1:{listener.port}",))
    with TestClient(create_app(settings, catalog, store), base_url=BASE_URL) as client:
        yield client
    store.close()


def heard(listener: Listener, number: int) -> None:
    """Wait for so many messages."""
    end = time.monotonic() + 15
    while len(listener.requests) < number:
        assert time.monotonic() < end, f"{len(listener.requests)} of {number} messages came"
        time.sleep(0.02)


def settled(client: TestClient, address: str) -> Json:
    """The one delivery of a webhook, when it waits no longer."""
    end = time.monotonic() + 15
    while True:
        items = client.get(f"{address}/deliveries").json()["items"]
        if items and items[0]["status"] != "waiting":
            return dict(items[0])
        assert time.monotonic() < end
        time.sleep(0.02)


def test_service_sends_what_the_library_accepts(sending: TestClient, listener: Listener) -> None:
    """A test, signed: by the new secret and by the old one while both hold."""
    url = f"http://127.0.0.1:{listener.port}/hooks"
    answer = made(sending, url=url, types=["quote.saved"])
    address = f"{URL}/{answer['id']}"
    assert sending.post(f"{address}/test").status_code == 202
    heard(listener, 1)
    body = Webhook(answer["secret"]).verify(listener.body(), listener.headers())
    assert (body["type"], body["data"]["webhook"]) == ("webhook.test", answer["id"])
    delivery = settled(sending, address)
    assert (delivery["status"], delivery["answered"]) == ("delivered", 204)
    rotated = sending.post(f"{address}/rotate", json={}).json()
    again = sending.post(f"{address}/deliveries/{delivery['id']}/redeliver").json()
    assert again["again_of"] == delivery["id"]
    heard(listener, 2)
    for secret in (answer["secret"], rotated["secret"]):
        told = Webhook(secret).verify(listener.body(), listener.headers())
        assert told["id"] == body["id"] == listener.headers()["webhook-id"]


def test_service_sends_events_as_they_happen(sending: TestClient, listener: Listener) -> None:
    """A change of another webhook is an event, and comes without anybody asking."""
    url = f"http://127.0.0.1:{listener.port}/hooks"
    made(sending, url=url, types=["webhook.changed"])
    other = made(sending)["id"]
    heard(listener, 1)
    told = json.loads(listener.body())
    assert (told["type"], told["by"]) == ("webhook.changed", "loopback")
    links = {"webhook": f"{URL}/{other}"}
    assert told["data"] == {"webhook": other, "change": "made", "links": links}
    page = sending.get("/v1/events?type=webhook.changed")
    assert listener.body() in page.content
    assert listener.headers()["content-type"] == "application/json"


def test_ready_says_what_is_switched_off(sending: TestClient, listener: Listener) -> None:
    """A receiver that is gone: a warning until it is switched on again."""
    listener.answer = reply(410)
    url = f"http://127.0.0.1:{listener.port}/hooks"
    address = f"{URL}/{made(sending, url=url, types=['webhook.changed'])['id']}"
    assert "warnings" not in sending.get("/health/ready").json()
    made(sending)
    assert settled(sending, address)["answered"] == 410
    assert sending.get("/health/ready").json()["warnings"] == ["webhook-switched-off"]
    read = sending.get(address)
    assert read.json()["switched_off"]["why"] == "gone"
    listener.answer = reply(204)
    asked = {"url": url, "types": ["webhook.changed"]}
    sending.put(address, json=asked, headers={"If-Match": read.headers["etag"]})
    assert "warnings" not in sending.get("/health/ready").json()
