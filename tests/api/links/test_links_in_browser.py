"""A customer's page in a browser: on a phone and a desk, by keyboard alone, without script."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.given.browsers import Opener, Visit, opened_browser
from tests.given.catalogs import shipped_catalog
from tests.given.links import Linker, garden
from tests.given.served import application
from tests.given.stores import Clock, sqlite_store
from tests.given.website_service import serving

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

# Widths of a phone and of a desk, in CSS pixels.
WIDTHS = (360, 1280)
# Where somebody who looks at the pages wants their pictures.
PICTURES = os.environ.get("TEST_PICTURES", "")


@dataclass(frozen=True, slots=True)
class Place:
    """Where the service is reached, and who makes links there."""

    linker: Linker
    service: str

    def visit(
        self, opener: Opener, path: str, width: int, *, script: bool = True
    ) -> AbstractContextManager[Visit]:
        """A page of it in a browser; nobody else is asked anything."""
        url = f"http://{self.service}{path}"
        return opener.visit(url, allowed={self.service}, width=width, script=script)


@pytest.fixture(scope="module")
def opener() -> Iterator[Opener]:
    """A browser."""
    with opened_browser() as opener:
        yield opener


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    """A service over an empty database."""
    with (
        sqlite_store(tmp_path, Clock()) as store,
        serving(application(shipped_catalog(), store)) as service,
    ):
        yield Place(Linker(store), service)


def picture(visit: Visit, name: str) -> None:
    """Keep what a page looks like, where that is wanted."""
    if PICTURES:
        visit.page.screenshot(path=f"{PICTURES}/{name}.png", full_page=True)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("language", ["en", "es"])
def test_customers_pages_are_for_everybody(
    opener: Opener, place: Place, language: str, width: int
) -> None:
    """The paper with its forms, a yes that is asked for again, the receipt, the paper afterwards,
    and each plain page: no rule of accessibility is broken, nothing is wider than the window,
    nobody else is asked."""
    quote_id = place.linker.issued(garden(jurisdiction="strict_example"))
    shown = place.linker.link(quote_id, language=language)
    other = place.linker.link(quote_id, language=language)
    with place.visit(opener, shown.path, width) as visit:

        def is_sound(name: str) -> None:
            picture(visit, f"{name}-{language}-{width}")
            assert visit.broken_rules() == [], name
            assert visit.overflow() == 0, name

        is_sound("paper")
        page = visit.page
        page.locator("form").first.evaluate("form => { form.noValidate = true; }")
        page.locator("#name").fill("  ")
        page.locator("button.yes").click()
        assert page.locator("[role=alert] a").count() == 2
        is_sound("again")
        page.locator("#name").fill("Ana Quimbrel")
        page.locator("#agrees").check()
        page.locator("button.yes").click()
        page.wait_for_url("**/receipt*")
        is_sound("receipt")
        page.get_by_role("link").first.click()
        page.locator(".note").wait_for()
        is_sound("accepted")
        page.goto(f"http://{place.service}{other.path}")
        is_sound("other")
        place.linker.client.delete(f"/v1/saved-quotes/{quote_id}/revisions/1/links/{other.id}")
        page.reload()
        is_sound("ended")
        assert visit.refused == []
        assert visit.errors == []


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", ["crew_sheet", "visit_sheet", "supplier_order"])
def test_papers_of_links_are_for_everybody(
    opener: Opener, place: Place, kind: str, width: int
) -> None:
    """Papers that a crew, a visitor and a supplier open on a phone keep to its width."""
    shown = place.linker.link(place.linker.issued(), kind=kind)
    with place.visit(opener, shown.path, width) as visit:
        picture(visit, f"{kind}-{width}")
        assert visit.broken_rules() == []
        assert visit.overflow() == 0
        assert visit.refused == []


@pytest.mark.parametrize("script", [True, False])
def test_customer_accepts_by_keyboard_alone(opener: Opener, place: Place, script: bool) -> None:
    """Name, tick and button are reached by the Tab key, and the yes is kept; the browser says
    where the form comes from, script or not."""
    quote_id = place.linker.issued()
    shown = place.linker.link(quote_id)
    with place.visit(opener, shown.path, 360, script=script) as visit:
        page = visit.page
        for _ in range(80):
            visit.press("Tab")
            if page.locator("#name:focus").count():
                break
        visit.write("Ana María Quimbrel")
        visit.press("Tab", "Space", "Tab", "Enter")
        page.wait_for_url("**/receipt*")
        assert "Ana María Quimbrel" in page.content()
    assert place.linker.state(quote_id) == "accepted"


def test_customer_declines_in_two_steps(opener: Opener, place: Place) -> None:
    """A no is asked for twice, without script: one slip of the finger says nothing."""
    quote_id = place.linker.issued()
    shown = place.linker.link(quote_id)
    with place.visit(opener, shown.path, 360, script=False) as visit:
        page = visit.page
        no = page.get_by_role("button", name="Yes, decline")
        assert not no.is_visible()
        page.get_by_text("Decline this quote").click()
        no.click()
        page.locator(".note").wait_for()
        assert "You declined this quote" in page.content()
    assert place.linker.state(quote_id) == "declined"
