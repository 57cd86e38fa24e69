"""A browser that is used by keyboard, and the checker of accessibility that runs in its pages."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, sync_playwright

from tests.clients.generated import TOOLS, installed


@dataclass(slots=True)
class Visit:
    """A page in a browser. `refused` are the addresses it asked for and was not let to."""

    page: Page
    checker: str
    refused: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def press(self, *keys: str) -> None:
        """Press keys one after the other."""
        for key in keys:
            self.page.keyboard.press(key)

    def write(self, text: str) -> None:
        """Type a text where the focus is."""
        self.page.keyboard.type(text)

    def focused(self) -> str:
        """The name or the id of what has the focus, within the form's own root too."""
        found: str = self.page.evaluate(
            """() => {
                let at = document.activeElement;
                while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
                return at ? at.name || at.id || at.className || at.tagName : "";
            }"""
        )
        return found

    def tab_to(self, name: str) -> None:
        """Go on by the Tab key until a field has the focus."""
        for _ in range(60):
            if self.focused() == name:
                return
            self.press("Tab")
        raise AssertionError(f"{name} can't be reached by keyboard")

    def broken_rules(self) -> list[str]:
        """Rules of accessibility that the page breaks, each with the first part that does."""
        self.page.evaluate(self.checker)
        found: list[dict[str, Any]] = self.page.evaluate("async () => (await axe.run()).violations")
        return [f"{each['id']}: {each['nodes'][0]['html'][:200]}" for each in found]

    def overflow(self) -> int:
        """Pixels by which the page is wider than its window."""
        wider: int = self.page.evaluate(
            "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        return wider


@dataclass(frozen=True, slots=True)
class Opener:
    """Opens pages, each in a browser of its own that knows nothing."""

    browser: Browser
    checker: str

    @contextmanager
    def visit(
        self, url: str, *, allowed: set[str], width: int = 1280, script: bool = True
    ) -> Iterator[Visit]:
        """A page, with or without script; what isn't on an `allowed` host:port is asked of
        nobody."""
        context = self.browser.new_context(
            viewport={"width": width, "height": 900}, java_script_enabled=script
        )
        context.set_default_timeout(15_000)
        try:
            yield self._open(context, url, allowed)
        finally:
            context.close()

    def _open(self, context: BrowserContext, url: str, allowed: set[str]) -> Visit:
        visit = Visit(context.new_page(), self.checker)

        def pass_or_refuse(route: Route) -> None:
            if urlsplit(route.request.url).netloc in allowed:
                route.continue_()
            else:
                visit.refused.append(route.request.url)
                route.abort()

        context.route("**/*", pass_or_refuse)
        visit.page.on("pageerror", lambda error: visit.errors.append(str(error)))
        visit.page.goto(url)
        return visit


@contextmanager
def opened_browser() -> Iterator[Opener]:
    """A browser; skips where it or the checker isn't installed."""
    command = shutil.which("chromium") or shutil.which("chromium-browser")
    packages = installed("TEST_NODE_MODULES", TOOLS / "node_modules")
    checker = packages / "axe-core" / "axe.min.js" if packages else Path("none")
    if command is None or not checker.is_file():
        pytest.skip("no Chromium, or Node's packages aren't installed: DEVELOPERS.md, Commands")
    with sync_playwright() as playwright:
        # A container's user has no sandbox.
        browser = playwright.chromium.launch(executable_path=command, args=["--no-sandbox"])
        yield Opener(browser, checker.read_text(encoding="utf-8"))
        browser.close()
