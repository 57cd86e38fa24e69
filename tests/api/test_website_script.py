"""The script for other pages: small, whole in itself, the same for everybody."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.api.website.words import words_by_name


@pytest.fixture(scope="module")
def script(client: TestClient) -> Any:  # noqa: ANN401  an answer
    """The script as it is answered."""
    return client.get("/website.js")


def test_script_may_stand_in_other_pages(client: TestClient, script: Any) -> None:  # noqa: ANN401
    """Pages of other origins load it, browsers keep it, and ask whether it changed."""
    assert script.status_code == 200
    assert script.headers["content-type"] == "text/javascript; charset=utf-8"
    assert script.headers.get_list("cross-origin-resource-policy") == ["cross-origin"]
    assert script.headers["cache-control"] == "public, max-age=3600"
    tag = {"If-None-Match": script.headers["etag"]}
    assert client.get("/website.js", headers=tag).status_code == 304
    assert client.get("/").headers.get_list("cross-origin-resource-policy") == ["same-origin"]


def test_script_is_small_and_whole_in_itself(script: Any) -> None:  # noqa: ANN401
    """Under 30 kB as it stands; no address of anybody, nothing is read as code or as markup."""
    assert len(script.content) < 30_000
    assert set(re.findall(r"https?://[^\s\"']+", script.text)) == {"http://www.w3.org/2000/svg"}
    assert (
        re.findall(r"innerHTML|insertAdjacentHTML|document\.write|\beval\b|Function\(", script.text)
        == []
    )
    assert "/*" not in script.text


def test_script_says_what_the_page_says(script: Any) -> None:  # noqa: ANN401
    """Each word in it is one of the page's, in both languages."""
    found = re.search(r"const WORDS = (\{.*\});\n", script.text)
    assert found is not None
    assert json.loads(found[1]) == {each: words_by_name(each) for each in ("en", "es")}
    used = set(re.findall(r"words\.(\w+)|words, \"(\w+)\"", script.text))
    named = {name for pair in used for name in pair if name}
    assert named <= set(words_by_name("en"))
    assert len(named) > 15
