"""Documents in a browser, on a phone and on a desk: nothing sticks out, everybody can use them."""

from __future__ import annotations

import base64
import json
import re
import shutil
import subprocess
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

import pytest

from service.documents.forms.html import html_page
from service.documents.tree import Document
from tests.clients.generated import TOOLS, installed
from tests.given.papers import KINDS, paper_of
from tests.given.sample_papers import document_of

# Widths of a phone and of a desk, in CSS pixels.
WIDTHS = (360, 1280)
# What a browser finds out, and the rules of accessibility that the page breaks.
ASK = """
<script>%s</script>
<script>
addEventListener("load", async () => {
  const told = {
    broken: (await axe.run()).violations.map(v => v.id + ": " + v.nodes[0].html.slice(0, 200)),
    width: document.documentElement.clientWidth,
    needed: document.documentElement.scrollWidth,
    outside: [...document.querySelectorAll("body *")]
      .filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
      .filter(e => !e.closest(".table, figure"))
      .map(e => e.outerHTML.slice(0, 80)),
    fetched: performance.getEntriesByType("resource").map(r => r.name.slice(0, 80)),
  };
  const pre = parent.document.createElement("pre");
  pre.id = "told";
  pre.textContent = btoa(unescape(encodeURIComponent(JSON.stringify(told))));
  parent.document.body.append(pre);
});
</script>
"""


@dataclass(frozen=True, slots=True)
class Browser:
    """A browser, and the checker that runs in a page."""

    command: str
    checker: str

    def look(self, document: Document, width: int, folder: Path) -> dict[str, Any]:
        """What a page is like in a frame of some width: a window can't be as narrow as a
        phone."""
        page = html_page(document).text.replace("</body>", ASK % self.checker + "</body>")
        frame = f'<iframe style="border:0;width:{width}px;height:1200px" srcdoc="{escape(page)}">'
        (folder / "page.html").write_text(
            f'<!DOCTYPE html><meta charset="utf-8"><body>{frame}</iframe>', encoding="utf-8"
        )
        command = [
            self.command,
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            f"--user-data-dir={folder / 'profile'}",
            "--window-size=1400,1300",
            "--virtual-time-budget=20000",
            "--dump-dom",
            (folder / "page.html").as_uri(),
        ]
        shown = subprocess.run(command, check=True, capture_output=True, text=True, timeout=120)
        found = re.search('<pre id="told">([^<]+)</pre>', shown.stdout)
        assert found is not None, shown.stderr[-2000:]
        told: dict[str, Any] = json.loads(base64.b64decode(found[1]))
        return told


@pytest.fixture(scope="module")
def browser() -> Browser:
    """A browser with the checker; skips where one of them isn't installed."""
    command = shutil.which("chromium") or shutil.which("chromium-browser")
    packages = installed("TEST_NODE_MODULES", TOOLS / "node_modules")
    checker = packages / "axe-core" / "axe.min.js" if packages else None
    if command is None or checker is None or not checker.is_file():
        pytest.skip("no Chromium, or Node's packages aren't installed: DEVELOPERS.md, Commands")
    return Browser(command, checker.read_text(encoding="utf-8"))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", KINDS)
def test_pages_are_for_everybody(kind: str, width: int, browser: Browser, tmp_path: Path) -> None:
    """No rule of accessibility is broken, nothing sticks out of the window, nothing is fetched."""
    seen = browser.look(paper_of(kind, "two_walls"), width, tmp_path)
    assert seen["broken"] == []
    assert seen["outside"] == []
    assert seen["needed"] <= seen["width"] == width
    assert [name for name in seen["fetched"] if not name.startswith("data:")] == []


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("text", ["W" * 500, "קיר תומך באורך 12 מטר", "<b>x</b> {{ 1 }}"])
def test_pages_bear_any_text(text: str, width: int, browser: Browser, tmp_path: Path) -> None:
    """Very long words and right-to-left texts in each place don't stick out of the window."""
    seen = browser.look(document_of(text), width, tmp_path)
    assert seen["outside"] == []
    assert seen["needed"] <= seen["width"] == width
    assert seen["broken"] == []
