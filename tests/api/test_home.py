"""The page to look at: whole in itself, locked, begun with examples that are answered."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from typing import Any

import pytest
from starlette.testclient import TestClient

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work


def digest(text: str) -> str:
    """A part of the page as its policy names it."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


@pytest.fixture(scope="module")
def page(client: TestClient) -> Any:  # noqa: ANN401  an answer
    """The page as it is answered."""
    answer = client.get("/")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    return answer


def examples(page: Any) -> dict[str, Any]:  # noqa: ANN401
    """The requests that the page begins with."""
    found = re.search(r'<script type="application/json" id="examples">(.*?)</script>', page.text)
    assert found is not None
    requests: dict[str, Any] = json.loads(found[1])
    return requests


def test_page_is_locked_to_its_own_parts(page: Any) -> None:  # noqa: ANN401
    """Its policy lets its own script and style run, and asks nobody but this service."""
    (style,) = re.findall(r"<style>(.*?)</style>", page.text, re.DOTALL)
    (script,) = re.findall(r"<script>(.*?)</script>", page.text, re.DOTALL)
    policy = page.headers["content-security-policy"]
    assert f"script-src {digest(script)};" in policy
    assert f"style-src {digest(style)};" in policy
    assert "default-src 'none'" in policy
    assert "connect-src 'self'" in policy
    assert "unsafe" not in policy
    assert re.findall(r"https?://[^\s\"']+", page.text) == []
    assert re.findall(r"\son[a-z]+=", page.text) == []


def test_page_begins_with_examples_that_are_answered(
    client: TestClient,
    page: Any,  # noqa: ANN401
) -> None:
    """Each example of the page is quoted, and its plan is drawn."""
    found = examples(page)
    assert next(iter(found)) == "garden_wall"
    assert len(found) > 10
    for name, request in found.items():
        assert client.post("/v1/quotes", json=request).status_code == 200, name
    plan = client.post("/v1/documents/plan", json={"quote": found["garden_wall"]})
    assert plan.text.startswith("<svg")


def test_page_has_a_label_for_each_field(page: Any) -> None:  # noqa: ANN401
    """What is written in is named, and what changes is told to a screen reader."""
    for name in ("example", "request"):
        assert f'<label for="{name}">' in page.text
    assert 'role="status" aria-live="polite"' in page.text
    assert '<html lang="en">' in page.text
