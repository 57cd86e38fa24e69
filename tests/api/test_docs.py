"""The API pages: whole, and without any outside network."""

import base64
import hashlib
import re
from urllib.parse import urljoin, urlsplit

import pytest
from starlette.testclient import TestClient

from tests.given.page_reader import PageReader

PAGES = ("/docs", "/redoc", "/problems", "/problems/price-missing")


@pytest.mark.parametrize("path", PAGES)
def test_pages_refer_to_no_outside_host(client: TestClient, path: str) -> None:
    """Every address on a page is one of this service, and there is no other in its text."""
    response = client.get(path)
    assert response.status_code == 200
    for address in PageReader(response.text).addresses:
        assert not urlsplit(address).netloc, address
        assert client.get(urljoin(path, address)).status_code == 200
    assert not re.search(r"(https?:)?//[a-z]", response.text)


@pytest.mark.parametrize("path", ["/", *PAGES])
def test_pages_are_whole_under_a_path_in_front(client: TestClient, path: str) -> None:
    """No address of a page begins at the host: a proxy may put the service under a path."""
    text = client.get(path).text
    found = PageReader(text).addresses
    assert found or path == "/"
    assert [each for each in found if each.startswith("/")] == []
    assert not re.search(r"(url|spec-url|href|src)[=:] ?['\"]/", text)
    assert "fetch(path" not in text


@pytest.mark.parametrize("path", PAGES)
def test_pages_may_load_from_this_service_only(client: TestClient, path: str) -> None:
    """The policy of a page names no host, so that not even a script could call outside."""
    policy = client.get(path).headers["content-security-policy"]
    directives = dict(part.strip().split(" ", 1) for part in policy.split(";"))
    assert directives["default-src"] == "'none'"
    allowed = {"'none'", "'self'", "'unsafe-inline'", "data:", "blob:"}
    for name, sources in directives.items():
        for source in sources.split():
            assert source in allowed or source.startswith("'sha256-"), (name, source)
    assert "'unsafe-inline'" not in directives.get("script-src", "")


def test_docs_run_their_own_script(client: TestClient) -> None:
    """The policy of the page lets its inline script run, by its digest, and sets no validator."""
    response = client.get("/docs")
    (script,) = re.findall(r"<script>(.*?)</script>", response.text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert f"'sha256-{digest}'" in response.headers["content-security-policy"]
    assert '"validatorUrl": "none"' in script
    assert "url: 'openapi.json'" in script


def test_files_of_the_pages_may_be_kept(client: TestClient) -> None:
    """A script of a megabyte isn't fetched anew for each page: it has a tag and no `no-store`."""
    response = client.get("/static-offline-docs/favicon.png")
    assert response.status_code == 200
    assert "cache-control" not in response.headers
    again = client.get(response.url.path, headers={"If-None-Match": response.headers["etag"]})
    assert again.status_code == 304


def test_reference_asks_for_no_picture_outside(client: TestClient) -> None:
    """The script of the page to read names no picture of another host, which the policy would
    refuse and the browser complain of; it is the package's otherwise, and has a tag."""
    page = client.get("/redoc").text
    (script,) = [each for each in PageReader(page).addresses if each.endswith(".js")]
    response = client.get(script)
    assert "redoc.ly/" not in response.text.replace("https://redocly.com", "")
    assert "logo-mini" not in response.text
    assert len(response.content) > 1_000_000
    again = client.get(script, headers={"If-None-Match": response.headers["etag"]})
    assert again.status_code == 304
