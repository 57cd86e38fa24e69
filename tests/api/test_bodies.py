"""Bodies: the table of hostile texts, tried on every operation that takes a body."""

import threading
from collections.abc import Iterator
from typing import Any

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from service.api import bodies
from service.api.app import create_app
from service.api.bodies import parse_json
from service.catalog import Catalog
from service.settings import Settings
from service.storage import Store
from tests.given.api_keys import bearer, new_key
from tests.given.problem_checks import assert_problem
from tests.given.served import BASE_URL, client_over

Operations = list[tuple[str, str]]
JSON = {"Content-Type": "application/json"}
# What is sent, the status, the code.
HOSTILE: dict[str, tuple[bytes, int, str]] = {
    "empty": (b"", 400, "json-invalid"),
    "cut off": (b'{"a": ', 400, "json-invalid"),
    "not JSON": (b"title=wall", 400, "json-invalid"),
    "two documents": (b"{} {}", 400, "json-invalid"),
    "single quotes": (b"{'a': 1}", 400, "json-invalid"),
    "depth 33": (b"[" * 33 + b"]" * 33, 400, "json-too-deep"),
    "150,001 values": (b"[" + b"0," * 150_000 + b"0]", 422, "too-long"),
    "2,001 keys": (b"{" + b",".join(b'"k%d":0' % n for n in range(2_001)) + b"}", 422, "too-long"),
    "depth 900": (b"[" * 900 + b"]" * 900, 400, "json-too-deep"),
    "depth 5,000": (b'{"a":' * 5000 + b"1" + b"}" * 5000, 400, "json-too-deep"),
    "depth 400,000, never closed": (b"[" * 400_000, 400, "json-too-deep"),
    "NaN": (b'{"a": NaN}', 400, "json-number"),
    "Infinity": (b'{"a": -Infinity}', 400, "json-number"),
    "1e400": (b'{"a": 1e400}', 400, "json-number"),
    "1e-400": (b'{"a": 1e-400}', 400, "json-number"),
    "exponent of 100 digits": (b'{"a": 1e' + b"9" * 100 + b"}", 400, "json-number"),
    "19 digits": (b'{"a": ' + b"1" * 19 + b"}", 400, "json-number"),
    "4,000 digits": (b'{"a": ' + b"1" * 4000 + b"}", 400, "json-number"),
    "500,000 digits": (b'{"a": ' + b"1" * 500_000 + b"}", 400, "json-number"),
    "key given twice": (b'{"a": 1, "a": 1}', 400, "json-duplicate-key"),
    "key given twice, escaped": (b'{"a": 1, "\\u0061": 2}', 400, "json-duplicate-key"),
    "key given twice, deep": (b'[{"b": {"a": 1, "a": 2}}]', 400, "json-duplicate-key"),
    "lone surrogate": (b'{"a": "\\ud800"}', 400, "json-text"),
    "lone surrogate in a key": (b'{"\\udfff": 1}', 400, "json-text"),
    "U+0000": (b'{"a": "\\u0000"}', 400, "json-text"),
    "byte order mark": (b"\xef\xbb\xbf{}", 400, "json-encoding"),
    "UTF-16": ("{}".encode("utf-16"), 400, "json-encoding"),
    "Latin-1": ('{"a": "ü"}'.encode("latin-1"), 400, "json-encoding"),
    "2 MB": (b'{"a": "' + b"x" * 2_000_000 + b'"}', 413, "body-too-large"),
}
# Sound JSON, but nothing the service takes.
UNWANTED: dict[str, bytes] = {
    "null": b"null",
    "list": b"[]",
    "text": b'"wall"',
    "true": b"true",
    "number": b"4.5",
    "unknown key": b'{"no_such_key": 1}',
    "text of 100 KB": b'{"a": "' + b"x" * 100_000 + b'"}',
    "key of 100 KB": b'{"' + b"x" * 100_000 + b'": 1}',
    "key of slashes": b'{"' + b"~/" * 50_000 + b'": 1}',
    "20,000 keys": b"{" + b",".join(b'"k%d":0' % n for n in range(20_000)) + b"}",
    "markup": b'{"<script>alert(1)</script>": "\\u001b[31m"}',
}


class Callers:
    """Who calls: without a key while there is none, with one where it takes keys."""

    def __init__(self, keyless: TestClient, keyed: TestClient) -> None:
        self._keyless, self._keyed = keyless, keyed

    def request(
        self, method: str, path: str, *, content: bytes, headers: dict[str, str]
    ) -> Response:
        """Call an operation."""
        client = self._keyed if path.startswith("/v1/api-keys") else self._keyless
        return client.request(method, path, content=content, headers=headers)


@pytest.fixture(scope="module")
def callers(catalog: Catalog, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callers]:
    """Both of them, of services that count no calls."""
    uncounted = Settings.model_construct(price_range_limits=(0, 0))
    keyless = TestClient(create_app(uncounted, catalog), base_url=BASE_URL)
    store = Store.open(f"sqlite:///{tmp_path_factory.mktemp('keyed') / 'store.sqlite'}")
    store.migrate()
    key = new_key(store, "admin")[1]
    with client_over(catalog, store) as keyed:
        keyed.headers.update(bearer(key))
        yield Callers(keyless, keyed)
    store.close()


def fill(path: str) -> str:
    """An address with something in its open parts."""
    drawn = {"/v1/api-keys/": "aaaaaaaaaa", "/v1/leads/": "2222222222"}
    id_ = next((word for place, word in drawn.items() if path.startswith(place)), "a_list")
    return path.replace("{id}", id_).replace("{kind}", "plan").replace("{revision}", "1")


@pytest.fixture(scope="module")
def operations(document: dict[str, Any]) -> Operations:
    """Method and path of every operation that takes a JSON body."""
    paths: dict[str, dict[str, Any]] = document["paths"]
    return [
        (method.upper(), fill(path))
        for path, methods in paths.items()
        for method, operation in methods.items()
        if "application/json" in operation.get("requestBody", {}).get("content", ())
    ]


@pytest.mark.parametrize("name", HOSTILE)
def test_read_json_refuses_hostile_text(
    operations: Operations, callers: Callers, name: str
) -> None:
    """Text that is no strict JSON in UTF-8, or too long, gets its problem from every operation."""
    body, status, code = HOSTILE[name]
    for method, path in operations:
        response = callers.request(method, path, content=body, headers=JSON)
        if name == "empty" and path == "/v1/catalog/reload":
            assert response.status_code == 200  # this call may come without a body
            continue
        if name == "empty" and path == "/v1/leads/2222222222/quote":
            assert_problem(response, 404, "unknown-lead")  # so may this one
            continue
        assert_problem(response, status, code)


@pytest.mark.parametrize("name", UNWANTED)
def test_every_operation_refuses_unwanted_documents(
    operations: Operations, callers: Callers, name: str
) -> None:
    """JSON that is not what an operation takes is a 422 of at most 64 KiB, whatever it holds."""
    for method, path in operations:
        response = callers.request(method, path, content=UNWANTED[name], headers=JSON)
        assert_problem(response, 422, response.json()["code"])


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Content-Type": ""},
        {"Content-Type": "text/plain"},
        {"Content-Type": "text/json"},
        {"Content-Type": "application/x-www-form-urlencoded"},
        {"Content-Type": "multipart/form-data; boundary=x"},
        {"Content-Type": "application/json; charset=iso-8859-1"},
        {"Content-Type": "application/json; charset=utf-16"},
        {"Content-Type": "application/json; version=2"},
        {"Content-Type": "application/json, application/json"},
        {"Content-Type": "application/json", "Content-Encoding": "gzip"},
        {"Content-Type": "application/json", "Content-Encoding": "br"},
    ],
)
def test_read_json_refuses_other_media_types(
    operations: Operations, callers: Callers, headers: dict[str, str]
) -> None:
    """Only JSON in plain UTF-8 is read; a web form of another page can't pass for it."""
    for method, path in operations:
        response = callers.request(method, path, content=b"{}", headers=headers)
        assert_problem(response, 415, "media-type-unsupported")


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    "content_type",
    [
        "application/json",
        "APPLICATION/JSON",
        'application/json; charset="UTF-8"',
        "application/json;",
    ],
)
def test_read_json_reads_json_however_it_is_named(client: TestClient, content_type: str) -> None:
    """Case, quotes and `charset=utf-8` change nothing."""
    headers = {"Content-Type": content_type}
    response = client.post("/v1/catalog/reload", content=b"{}", headers=headers)
    assert response.status_code == 200


def test_read_no_body_refuses_a_body_that_says_something(client: TestClient) -> None:
    """A call without a body refuses one, so that nobody believes it was heeded."""
    response = client.post("/v1/catalog/reload", json={"force": True})
    assert_problem(response, 422, "request-invalid")


@pytest.mark.parametrize(("length", "beside"), [(1_000, False), (20_000, True)])
def test_large_bodies_are_parsed_beside_the_others(
    client: TestClient, monkeypatch: pytest.MonkeyPatch, length: int, beside: bool
) -> None:
    """What takes its time is parsed by a thread of its own, whatever it is for."""
    parsed: list[str] = []

    def noted(*given: Any) -> object:  # noqa: ANN401
        parsed.append(threading.current_thread().name)
        return parse_json(*given)

    monkeypatch.setattr(bodies, "parse_json", noted)
    text = '{"a": "' + "x" * length + '"}'
    paths = ("/v1/quotes", "/v1/comparisons", "/v1/documents/crew_sheet")
    for path in paths:
        client.post(path, content=text, headers=JSON)
    assert [name.startswith("calculation") for name in parsed] == [beside] * len(paths)
