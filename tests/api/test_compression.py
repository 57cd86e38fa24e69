"""Reads are sent compressed when asked: lists, documents, the API document."""

import gzip
import json

import pytest
from starlette.testclient import TestClient

from service.api.app import prepared_document
from tests.given.quote_requests import shipped_request

LONG = "/v1/materials?limit=200"


def _sent(client: TestClient, path: str, accepts: str) -> tuple[bytes, dict[str, str]]:
    """The bytes of an answer as they travel, and its headers."""
    with client.stream("GET", path, headers={"Accept-Encoding": accepts}) as response:
        assert response.status_code == 200
        return b"".join(response.iter_raw()), dict(response.headers)


@pytest.mark.parametrize("path", [LONG, "/openapi.json"])
@pytest.mark.parametrize("accepts", ["gzip", "br, gzip;q=0.5", "*", "GZIP, deflate"])
def test_reads_are_packed_when_asked(client: TestClient, path: str, accepts: str) -> None:
    """Packed and plain are the same document with the same ETag; caches keep them apart."""
    plain, bare = _sent(client, path, "identity")
    packed, headers = _sent(client, path, accepts)
    assert headers["content-encoding"] == "gzip"
    assert "accept-encoding" in headers["vary"].lower()
    assert gzip.decompress(packed) == plain
    assert len(packed) < len(plain) / 3
    assert int(headers["content-length"]) == len(packed)
    assert headers["etag"] == bare["etag"]
    assert "content-encoding" not in bare


@pytest.mark.parametrize("path", [LONG, "/openapi.json"])
@pytest.mark.parametrize("accepts", ["", "identity", "br", "gzip;q=0", "gzip;q=0.0, *", "x-gzip2"])
def test_reads_are_plain_unless_asked(client: TestClient, path: str, accepts: str) -> None:
    """Who doesn't name gzip, or refuses it, gets bytes as they are."""
    plain, headers = _sent(client, path, accepts)
    assert "content-encoding" not in headers
    json.loads(plain)


def test_unchanged_packed_answer_is_not_sent_again(client: TestClient) -> None:
    """The ETag of a packed answer is known: 304, and nothing is said of a coding."""
    for path in (LONG, "/openapi.json"):
        _, headers = _sent(client, path, "gzip")
        sent = {"Accept-Encoding": "gzip", "If-None-Match": headers["etag"]}
        again = client.get(path, headers=sent)
        assert (again.status_code, again.content) == (304, b"")
        assert "content-encoding" not in again.headers


def test_short_answers_and_quotes_are_plain(client: TestClient) -> None:
    """A short answer gains nothing; a quote isn't made to wait."""
    sent = {"Accept-Encoding": "gzip"}
    assert "content-encoding" not in client.get("/health/live", headers=sent).headers
    quote = client.post("/v1/quotes", json=shipped_request(), headers=sent)
    assert quote.status_code == 200
    assert "content-encoding" not in quote.headers


def test_document_is_made_once(client: TestClient) -> None:
    """The API document is neither written nor packed anew for a caller."""
    made = prepared_document()
    assert made is prepared_document()
    assert _sent(client, "/openapi.json", "gzip")[0] == made.packed


@pytest.mark.parametrize(
    ("path", "most_bytes"),
    [
        ("/openapi.json", 100_000),
        ("/docs", 1000),
        ("/problems", 12_000),
        ("/problems/busy", 1000),
        ("/static-offline-docs/redoc.standalone.js", 400_000),
        ("/static-offline-docs/swagger-ui-bundle.js", 500_000),
    ],
)
def test_pages_are_prepared_once(
    client: TestClient, path: str, most_bytes: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page that stays the same is neither packed nor digested for a second caller; packed it
    says the same, in few bytes; and who has it already is told so."""
    plain = client.get(path, headers={"Accept-Encoding": "identity"})
    monkeypatch.setattr("service.api.prepared.prepare", None)
    monkeypatch.setattr("service.api.prepared.etag", None)
    monkeypatch.setattr("service.api.prepared.gzip", None)
    body, _ = _sent(client, path, "gzip")
    assert len(body) <= most_bytes
    packed = client.get(path, headers={"Accept-Encoding": "gzip"})
    assert (packed.content, packed.headers["etag"]) == (plain.content, plain.headers["etag"])
    again = client.get(path, headers={"If-None-Match": plain.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["vary"] == "Accept-Encoding"
