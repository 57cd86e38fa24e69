"""Documents in a browser, on a phone and on a desk: nothing sticks out, everybody can use them."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.documents.forms.html import html_page
from tests.given.measured_page import WIDTHS, Browser, find_browser
from tests.given.papers import KINDS, paper_of
from tests.given.sample_papers import document_of

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work


@pytest.fixture(scope="module")
def browser() -> Browser:
    """A browser with the checker; skips where one of them isn't installed."""
    return find_browser()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", KINDS)
def test_pages_are_for_everybody(kind: str, width: int, browser: Browser, tmp_path: Path) -> None:
    """No rule of accessibility is broken, nothing sticks out of the window, nothing is fetched."""
    seen = browser.look(html_page(paper_of(kind, "two_walls")).text, width, tmp_path)
    assert seen["broken"] == []
    assert seen["outside"] == []
    assert seen["needed"] <= seen["width"] == width
    assert [name for name in seen["fetched"] if not name.startswith("data:")] == []


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("text", ["W" * 500, "קיר תומך באורך 12 מטר", "<b>x</b> {{ 1 }}"])
def test_pages_bear_any_text(text: str, width: int, browser: Browser, tmp_path: Path) -> None:
    """Very long words and right-to-left texts in each place don't stick out of the window."""
    seen = browser.look(html_page(document_of(text)).text, width, tmp_path)
    assert seen["outside"] == []
    assert seen["needed"] <= seen["width"] == width
    assert seen["broken"] == []
