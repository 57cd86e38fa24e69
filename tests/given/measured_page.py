"""A browser that looks at a page: what sticks out, what rules of accessibility are broken."""

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

from tests.clients.generated import TOOLS, installed

# Widths of a phone and of a desk, in CSS pixels.
WIDTHS = (360, 1280)
# What a browser finds out, and the rules of accessibility that the page breaks.
ASK = """
<script>%s</script>
<script>
addEventListener("load", async () => {
  for (let turn = 0; turn < 100 && !(%s); turn += 1) await new Promise(r => setTimeout(r, 50));
  const told = {
    broken: (await axe.run()).violations.map(v => v.id + ": " + v.nodes[0].html.slice(0, 200)),
    width: document.documentElement.clientWidth,
    needed: document.documentElement.scrollWidth,
    outside: [...document.querySelectorAll("body *")]
      .filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
      .filter(e => !e.closest(".table, figure"))
      .map(e => e.outerHTML.slice(0, 80)),
    pictures: document.images.length,
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

    def look(self, page: str, width: int, folder: Path, *, ready: str = "true") -> dict[str, Any]:
        """What a page is like in a frame of some width: a window can't be as narrow as a phone.
        `ready` says in the page's script when it is whole."""
        page = page.replace("</body>", ASK % (self.checker, ready) + "</body>")
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


def find_browser() -> Browser:
    """A browser with the checker; skips where one of them isn't installed."""
    command = shutil.which("chromium") or shutil.which("chromium-browser")
    packages = installed("TEST_NODE_MODULES", TOOLS / "node_modules")
    checker = packages / "axe-core" / "axe.min.js" if packages else None
    if command is None or checker is None or not checker.is_file():
        pytest.skip("no Chromium, or Node's packages aren't installed: DEVELOPERS.md, Commands")
    return Browser(command, checker.read_text(encoding="utf-8"))
