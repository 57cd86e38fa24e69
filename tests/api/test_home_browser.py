"""The page to look at in a browser, on a phone and on a desk, with the answers of the service."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.given.measured_page import WIDTHS, Browser, find_browser

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

DRAWN = ("plan", "elevation", "section", "earthwork_map", "order_of_work")
# The page asks nobody else: its calls are answered from what the service said before.
ANSWERING = """<script>
const told = %s;
window.fetch = async (path) => {
  const { status, type, body } = told[path];
  return new Response(body, { status, headers: { "content-type": type } });
};
</script>"""


@pytest.fixture(scope="module")
def browser() -> Browser:
    """A browser with the checker; skips where one of them isn't installed."""
    return find_browser()


def kept(answer: Any) -> dict[str, Any]:  # noqa: ANN401  an answer of either client
    """An answer as the page is told it."""
    kind = answer.headers["content-type"]
    return {"status": answer.status_code, "type": kind, "body": answer.text}


@pytest.fixture(scope="module")
def page(client: TestClient) -> str:
    """The page with the answers to what it asks when it is opened."""
    text = client.get("/").text
    examples = re.search(r'<script type="application/json" id="examples">(.*?)</script>', text)
    assert examples is not None
    quote = next(iter(json.loads(examples[1]).values()))
    told = {"/v1/quotes": kept(client.post("/v1/quotes", json=quote))}
    for kind in DRAWN:
        path = f"/v1/documents/{kind}?format=svg"
        told[path] = kept(client.post(path, json={"quote": quote}))
    saved = "/v1/saved-quotes?limit=20"
    told[saved] = kept(client.get(saved))
    beside = {f".{path}": answer for path, answer in told.items()}
    answering = ANSWERING % json.dumps(beside).replace("</", "<\\/")
    return text.replace("</head>", f"{answering}</head>")


@pytest.mark.parametrize("width", WIDTHS)
def test_page_is_for_everybody(page: str, width: int, browser: Browser, tmp_path: Path) -> None:
    """With drawings, price and cautions shown, no rule of accessibility is broken, nothing sticks
    out of the window, nothing is fetched."""
    drawn = 'document.querySelectorAll("#drawings img").length >= 4'
    heeded = '!!document.querySelector("#heed li")'
    seen = browser.look(page, width, tmp_path, ready=f"{drawn} && {heeded}")
    assert seen["broken"] == []
    assert seen["outside"] == []
    assert seen["needed"] <= seen["width"] == width
    assert [name for name in seen["fetched"] if not name.startswith("data:")] == []
    assert seen["pictures"] >= 4


def test_browser_sees_what_is_missing(page: str, browser: Browser, tmp_path: Path) -> None:
    """A field without its label and a picture that is too wide are found."""
    broken = page.replace('<label for="request">', "<label>").replace(
        "<h2>Papers</h2>", '<h2>Papers</h2><p style="width:900px">wide</p>'
    )
    seen = browser.look(broken, 360, tmp_path)
    assert any(told.startswith("label") for told in seen["broken"])
    assert seen["outside"] != []
