"""Who is let in: before the first key, with keys, and never again without one."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace as changed
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from fastapi import FastAPI
from httpx2 import Response
from starlette.testclient import TestClient

from service.api.admission import key_ring
from service.api.admission.admission import Admission
from service.api.admission.key_ring import KeyRing, Keys
from service.api.admission.stored_keys import StoredKeys
from service.api.app import OPERATIONS, create_app
from service.api.dependencies import StoreShelf
from service.api.front import Front
from service.api.operation import Operation
from service.catalog import Catalog
from service.operations.callers import key_text
from service.operations.callers.caller import COMMAND_LINE
from service.operations.callers.keys import end_key, rotate_key
from service.settings import Settings
from service.storage import StorageGoneError, Store
from tests.given.api_keys import ORIGIN, bearer, new_key
from tests.given.quote_requests import Json, read
from tests.given.served import BASE_URL
from tests.given.stores import Clock, sqlite_store

FOREIGN = "https://elsewhere.example"
HEAD = {"Host": "127.0.0.1:8000"}
SCOPES = ("website", "field", "quotes", "prices", "admin")


@contextmanager
def service_over(
    catalog: Catalog, store: Store, settings: Settings | None = None
) -> Iterator[TestClient]:
    """A client of the service that runs as long as the block."""
    app = create_app(settings or Settings(), catalog, store)
    with TestClient(app, base_url=BASE_URL, follow_redirects=False) as client:
        yield client


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keys are read again at each call, so that no test waits for two seconds."""
    monkeypatch.setattr(key_ring, "LOOK_SECONDS", 0.0)
    monkeypatch.setattr(key_ring, "WAIT_FROM_SECONDS", 0.0)


def code(response: Response) -> str:
    """The code of a problem."""
    found: str = read(response)["code"]
    return found


def address(operation: Operation) -> str:
    """An address of an operation with something in its open parts."""
    path = operation.path.replace("{n}", "1").replace("{number}", "1")
    return re.sub(r"\{[^}]+\}", "none", path)


def call(client: TestClient, operation: Operation, **headers: str) -> Response:
    """Call an operation with no body."""
    return client.request(operation.method, address(operation), headers=headers)


def allowed(operation: Operation, scope: str) -> bool:
    """By the table: a scope of the operation, and `quotes` for what is the field's."""
    return scope in operation.scopes or (scope == "quotes" and "field" in operation.scopes)


@pytest.mark.no_cover  # others run the same lines
def test_each_operation_lets_in_whom_the_table_says(
    catalog: Catalog, tmp_path: Path, clock: Clock
) -> None:
    """Every operation, eight callers: none, each scope, one that has ended, a page of a foreign
    origin with a key for a website."""
    with sqlite_store(tmp_path, clock) as store:
        assert_table_is_heeded(catalog, store)


def assert_table_is_heeded(catalog: Catalog, store: Store) -> None:
    """Whom a service over a store with keys lets in is whom the table of operations says."""
    keys = {scope: new_key(store, scope) for scope in SCOPES}
    ended = new_key(store, "admin")
    with store.write() as connection:
        end_key(connection, store, ended[0], by=COMMAND_LINE.by)
    with service_over(catalog, store) as client:
        for operation in OPERATIONS:
            if operation.scopes == ("public",):
                assert call(client, operation).status_code not in {401, 403}, operation.id
                continue
            for headers in ({}, bearer(ended[1])):
                refused = call(client, operation, **headers)
                assert (refused.status_code, code(refused)) == (401, "key-invalid"), operation.id
                assert refused.headers["www-authenticate"] == "Bearer"
            for scope, (_, key) in keys.items():
                answer = call(client, operation, **bearer(key))
                let_in = answer.status_code != 401 and (
                    answer.status_code != 403 or code(answer) != "scope-missing"
                )
                assert let_in == allowed(operation, scope), (operation.id, scope)
            foreign = call(client, operation, Origin=FOREIGN, **bearer(keys["website"][1]))
            assert foreign.status_code == 403, operation.id


def test_service_without_keys_answers_its_own_machine(catalog: Catalog, store: Store) -> None:
    """Before the first key: no key is asked for; a shown one, a proxy and a foreign page are
    refused, health of the process never."""
    with service_over(catalog, store) as client:
        assert client.get("/v1/soils").status_code == 200
        assert client.get("/v1/soils", headers={"Origin": BASE_URL}).status_code == 200
        refused = {
            "origin-refused": {"Origin": FOREIGN},
            "key-invalid": bearer("wqkey_none"),
            "key-needed": {"X-Forwarded-Whatever": "x"},
        }
        for expected, headers in refused.items():
            assert code(client.get("/v1/soils", headers=headers)) == expected
        for name in ("Forwarded", "Via", "X-Forwarded-For"):
            for path in ("/v1/soils", "/", "/health/ready", "/docs", "/nothing"):
                assert code(client.get(path, headers={name: "10.0.0.1"})) == "key-needed", path
            assert client.get("/health/live", headers={name: "10.0.0.1"}).status_code == 200
        for path in ("/health/live", "/health/ready"):
            assert client.get(path, headers={"Origin": FOREIGN}).status_code == 200
        assert code(client.post("/v1/api-keys", json={})) == "key-needed"
        assert code(client.get("/v1/soils", headers={"Host": "10.0.0.1"})) == "host-refused"


@pytest.mark.usefixtures("at_once")
def test_service_never_answers_without_a_key_again(catalog: Catalog, store: Store) -> None:
    """From the first key on, and with the last one ended, every call needs one; an unknown
    address too."""
    with service_over(catalog, store) as client:
        assert client.get("/v1/soils").status_code == 200
        key_id, key = new_key(store, "quotes")
        assert client.get("/v1/soils").status_code == 401
        assert client.get("/nothing").status_code == 401
        assert client.get("/v1/soils", headers=bearer(key)).status_code == 200
        assert client.get("/nothing", headers=bearer(key)).status_code == 404
        assert client.put("/v1/soils", headers=bearer(key)).status_code == 405
        assert client.options("/v1/soils", headers=bearer(key)).status_code == 405
        assert client.options("/v1/soils").status_code == 401
        with store.write() as connection:
            end_key(connection, store, key_id, by=COMMAND_LINE.by)
        for headers in ({}, bearer(key)):
            assert client.get("/v1/soils", headers=headers).status_code == 401
    with service_over(catalog, store) as client:
        assert client.get("/v1/soils").status_code == 401


@pytest.mark.usefixtures("at_once")
def test_refusals_without_a_good_key_are_alike(catalog: Catalog, store: Store) -> None:
    """Missing, malformed, mistyped, unknown, twice, another scheme, in the query, expired, ended:
    one answer, but for its id."""
    key_id, key = new_key(store, "quotes")
    _, other = new_key(store, "quotes")
    slip = key[:-1] + ("0" if key[-1] != "0" else "1")
    unknown = key_of_another_service()
    with store.write() as connection:
        end_key(connection, store, key_id, by=COMMAND_LINE.by)
    shown: list[dict[str, str]] = [
        {},
        bearer(key),
        bearer(slip),
        bearer(unknown),
        {"Authorization": f"Basic {other}"},
        {"Authorization": other},
    ]
    with service_over(catalog, store) as client:
        answers = [client.get("/v1/soils", headers=headers) for headers in shown]
        answers.append(client.get(f"/v1/soils?key={other}&access_token={other}"))
        letters = [(b"Authorization", "Bearer ü".encode())]
        answers.append(client.get("/v1/soils", headers=letters))
        twice = [("Authorization", f"Bearer {other}"), ("Authorization", f"Bearer {other}")]
        answers.append(client.get("/v1/soils", headers=twice))
        told = {alike(answer) for answer in answers}
        assert len(told) == 1
        assert {answer.status_code for answer in answers} == {401}
        lower = {"Authorization": f"bEaReR {other}"}
        assert client.get("/v1/soils", headers=lower).status_code == 200


def key_of_another_service() -> str:
    """A key in good form that nobody here has made."""
    return key_text.new_key().text


def alike(answer: Response) -> str:
    """All of an answer but what is each one's own."""
    heads = {
        name: value
        for name, value in answer.headers.items()
        if name not in {"x-request-id", "date"}
    }
    body = {name: value for name, value in read(answer).items() if name != "instance"}
    return f"{answer.status_code} {sorted(heads.items())} {body}"


@pytest.mark.usefixtures("at_once")
def test_key_is_good_to_the_end_of_its_last_day(catalog: Catalog, store: Store) -> None:
    """A key made on the evening of its last day ends at midnight of the service's time zone."""
    # 2026-05-04 23:30 at UTC−7 is 06:30 of the next day in UTC.
    moment = [1_777_962_600]
    clocked = changed(store, now=lambda: moment[0], zone=ZoneInfo("Etc/GMT+7"))
    _, key = new_key(clocked, "quotes", expires="2026-05-04")
    with service_over(catalog, clocked) as client:
        assert client.get("/v1/soils", headers=bearer(key)).status_code == 200
        moment[0] += 1799
        assert client.get("/v1/soils", headers=bearer(key)).status_code == 200
        moment[0] += 1
        assert client.get("/v1/soils", headers=bearer(key)).status_code == 401


@pytest.mark.usefixtures("at_once")
def test_rotate_key_lets_the_old_secret_be_good_for_a_while(catalog: Catalog, store: Store) -> None:
    """Two secrets at a time: a third ends the first at once; the id, the caller, stays."""
    moment = [1_777_900_000]
    clocked = changed(store, now=lambda: moment[0])
    key_id, first = new_key(clocked, "quotes")
    with clocked.write() as connection:
        second = rotated(rotate_key(connection, clocked, key_id, 3600, by="x").body)
    with service_over(catalog, clocked) as client:
        assert [status(client, key) for key in (first, second)] == [200, 200]
        with clocked.write() as connection:
            third = rotated(rotate_key(connection, clocked, key_id, 3600, by="x").body)
        assert [status(client, key) for key in (first, second, third)] == [401, 200, 200]
        moment[0] += 3600
        assert [status(client, key) for key in (first, second, third)] == [401, 401, 200]
        with clocked.write() as connection:
            fourth = rotated(rotate_key(connection, clocked, key_id, 0, by="x").body)
        assert [status(client, key) for key in (third, fourth)] == [401, 200]


def test_stored_keys_say_when_a_secret_ends(store: Store) -> None:
    """The old secret of a key is good as long as both last, the new one as long as the key."""
    clocked = changed(store, now=lambda: 1_777_900_000, zone=ZoneInfo("UTC"))
    key_id, first = new_key(clocked, "quotes", expires="2026-05-10")
    with clocked.write() as connection:
        second = rotated(rotate_key(connection, clocked, key_id, 3600, by="x").body)
    known = StoredKeys(StoreShelf(lambda: clocked, clocked))(frozenset()).by_digest
    assert known[key_text.key_digest(first)].until == 1_777_903_600
    # 2026-05-11, midnight.
    assert known[key_text.key_digest(second)].until == 1_778_457_600


def rotated(body: bytes) -> str:
    """The key that an answer shows."""
    key: str = json.loads(body)["key"]
    return key


def status(client: TestClient, key: str) -> int:
    """What reading with a key comes to."""
    answer: int = client.get("/v1/soils", headers=bearer(key)).status_code
    return answer


@pytest.mark.usefixtures("at_once")
def test_keys_are_made_and_shown_once(catalog: Catalog, store: Store) -> None:
    """Over HTTP with an admin's key: the key stands in the first answer alone, a repeated call
    says so, and no other answer has it."""
    _, admin = new_key(store, "admin")
    with service_over(catalog, store) as client:
        sent = {**bearer(admin), "Idempotency-Key": "one"}
        body = {"name": "field", "scopes": ["field"], "expires": "2199-01-31"}
        made = client.post("/v1/api-keys", json=body, headers=sent)
        assert made.status_code == 201
        key = read(made)["key"]
        again = client.post("/v1/api-keys", json=body, headers=sent)
        assert again.headers["idempotent-replayed"] == "true"
        expected = {name: value for name, value in read(made).items() if name != "key"}
        assert read(again) == {**expected, "secret_shown": True}
        listed = client.get("/v1/api-keys", headers=bearer(admin)).text
        assert key not in listed
        assert read(made)["id"] in listed
        assert client.get(made.headers["location"], headers=bearer(admin)).status_code == 200
        assert client.get("/v1/soils", headers=bearer(key)).status_code == 200
        ended = client.delete(made.headers["location"], headers=bearer(admin))
        assert ended.status_code == 204
        assert client.get("/v1/soils", headers=bearer(key)).status_code == 401


@pytest.mark.usefixtures("at_once")
def test_key_requests_say_what_is_wrong(catalog: Catalog, store: Store) -> None:
    """A key for a website stands alone and names its pages; others name none."""
    _, admin = new_key(store, "admin")
    site = {"name": "x", "scopes": ["website"], "website": "demo_site", "origins": [ORIGIN]}
    wrong: list[tuple[Json, str]] = [
        ({**site, "scopes": ["website", "field"]}, "scope-not-combined"),
        ({**site, "scopes": ["field"]}, "scope-not-combined"),
        ({**site, "origins": []}, "field-missing"),
        ({**site, "origins": ["https://a.example/path"]}, "text-invalid"),
        ({**site, "website": "nobodys"}, "unknown-choice"),
        ({"name": "x", "scopes": []}, "too-short"),
        ({"name": "x", "scopes": ["field"], "expires": "2020-01-01"}, "api-key-expired"),
    ]
    with service_over(catalog, store) as client:
        for body, expected in wrong:
            answer = client.post("/v1/api-keys", json=body, headers=bearer(admin))
            assert answer.status_code in {409, 422}, answer.text
            codes = {read(answer)["code"], *(each["code"] for each in read(answer)["errors"])}
            assert expected in codes, (body, codes)


@pytest.mark.usefixtures("at_once")
def test_key_requests_say_what_would_be_right(catalog: Catalog, store: Store) -> None:
    """What is missing is shown as it is written for a key, with the words there are; a last day
    that is over is called by its field."""
    _, admin = new_key(store, "admin")
    with service_over(catalog, store) as client:
        empty = read(client.post("/v1/api-keys", json={}, headers=bearer(admin)))["errors"]
        hints = {each["pointer"]: each["hint"] for each in empty}
        assert hints == {
            "/name": 'write it like "office"',
            "/scopes": "one of: website, field, quotes, prices, admin",
        }
        over = {"name": "x", "scopes": ["field"], "expires": "2020-01-01"}
        answer = read(client.post("/v1/api-keys", json=over, headers=bearer(admin)))
        assert answer["detail"].startswith("expires: 2020-01-01 is over")


@pytest.mark.usefixtures("at_once")
def test_refusals_say_what_the_key_lacks(catalog: Catalog, store: Store) -> None:
    """What a key of the field may is told with both scopes that may; a page that a website's key
    isn't for is told its origin, also before the call, and
    none of those the key is for."""
    (_, admin), (_, website) = new_key(store, "admin"), new_key(store, "website")
    with service_over(catalog, store) as client:
        detail = read(client.get("/v1/soils", headers=bearer(admin)))["detail"]
        assert detail == "This takes a key with the scope field or quotes; the key has admin."
        path = "/v1/website/form"
        asked = client.get(path, headers={**bearer(website), "Origin": FOREIGN})
        assert FOREIGN in read(asked)["detail"]
        before = client.options(path, headers={"Origin": FOREIGN})
        assert FOREIGN in read(before)["detail"]
        assert ORIGIN not in asked.text + before.text


@pytest.mark.usefixtures("at_once")
def test_pages_of_keyed_websites_may_call_two_addresses(catalog: Catalog, store: Store) -> None:
    """What browsers ask first is answered to origins of live keys for websites; of other pages
    and addresses it isn't."""
    key_id, key = new_key(store, "website")
    asked = {"Origin": ORIGIN, "Access-Control-Request-Method": "POST"}
    with service_over(catalog, store) as client:
        for path in ("/v1/website/form", "/v1/website/price-range"):
            answer = client.options(path, headers=asked)
            assert answer.status_code == 204
            assert answer.headers["access-control-allow-origin"] == ORIGIN
            assert answer.headers["access-control-allow-methods"] == "POST, GET"
            assert answer.headers["access-control-max-age"] == "600"
            assert answer.headers["vary"] == "Origin"
            assert answer.headers["cross-origin-resource-policy"] == "cross-origin"
            assert "access-control-allow-credentials" not in answer.headers
            foreign = client.options(path, headers={**asked, "Origin": FOREIGN})
            assert code(foreign) == "origin-refused"
            assert "access-control-allow-origin" not in foreign.headers
            refused = client.get(path, headers={"Origin": ORIGIN})
            assert refused.status_code == 401
            assert refused.headers["access-control-allow-origin"] == ORIGIN
        assert client.options("/v1/quotes", headers=asked).status_code == 401
        wrong = client.put("/v1/website/form", headers={**bearer(key), "Origin": ORIGIN})
        assert code(wrong) == "method-not-allowed"
        assert wrong.headers["access-control-allow-origin"] == ORIGIN
        with store.write() as connection:
            end_key(connection, store, key_id, by=COMMAND_LINE.by)
        assert client.options("/v1/website/form", headers=asked).status_code == 403


@pytest.mark.usefixtures("at_once")
def test_ready_gives_details_to_an_admin_alone(catalog: Catalog, store: Store) -> None:
    """Once there are keys others are told the word alone; a proxy that nobody named is warned
    of."""
    _, admin = new_key(store, "admin")
    _, quotes = new_key(store, "quotes")
    with service_over(catalog, store) as client:
        for headers in ({}, bearer(quotes), bearer("x")):
            assert read(client.get("/health/ready", headers=headers)) == {"status": "ready"}
        details = read(client.get("/health/ready", headers=bearer(admin)))
        assert {"catalog", "database"} <= set(details)
        assert "warnings" not in details
        client.get("/v1/soils", headers={"X-Forwarded-For": "203.0.113.9", **bearer(quotes)})
        details = read(client.get("/health/ready", headers=bearer(admin)))
        assert details["warnings"] == ["proxy-not-trusted"]


@pytest.mark.usefixtures("at_once")
def test_pages_of_the_api_close_by_a_setting(catalog: Catalog, store: Store) -> None:
    """With keys the pages and the document are open, unless the setting says no; then a key
    opens them."""
    _, key = new_key(store, "field")
    pages = ("/docs", "/openapi.json", "/redoc")
    with service_over(catalog, store) as client:
        assert [client.get(path).status_code for path in pages] == [200] * 3
    with service_over(catalog, store, Settings(docs=False)) as client:
        assert [client.get(path).status_code for path in pages] == [401] * 3
        opened = [client.get(path, headers=bearer(key)).status_code for path in pages]
        assert opened == [200] * 3


@pytest.mark.usefixtures("at_once")
def test_service_with_keys_answers_to_addresses(catalog: Catalog, store: Store) -> None:
    """A `Host` that is a literal address passes with keys, and the host of the public address;
    other names don't."""
    _, key = new_key(store, "field")
    public = "https://quotes.example.com/walls"
    with service_over(catalog, store, Settings(public_url=public)) as client:
        for host, expected in (
            ("192.0.2.7:8000", 200),
            ("[2001:db8::7]:8000", 200),
            ("quotes.example.com", 200),
            ("elsewhere.example", 403),
        ):
            sent = {"Host": host, **bearer(key)}
            assert client.get("/v1/soils", headers=sent).status_code == expected, host


def test_service_that_never_read_its_keys_lets_nobody_in(app: FastAPI) -> None:
    """Where the database can't tell whether there are keys, nothing but open pages is answered."""

    def read_keys(_used: frozenset[str]) -> Keys:
        raise StorageGoneError("gone")

    admission = Admission(ring=KeyRing(read_keys, lambda: 0))
    front = Front(app, table=OPERATIONS, admission=admission)
    client = TestClient(front, base_url=BASE_URL)
    assert client.get("/health/live").status_code == 200
    assert client.get("/v1/soils").status_code == 503
