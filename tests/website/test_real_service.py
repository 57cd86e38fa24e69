"""The embedded form against a service with keys: only the pages that a key was made for get it."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from tests.given.browsers import Opener, Visit, opened_browser
from tests.given.service_process import free_port, running_service
from tests.given.website_service import made_key, other_page, serving

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

# What the visitor of a small wall answers, by the field and the beginning of the choice.
ANSWERS = {
    "answers.length": "40", "answers.height": "2.5", "answers.line": "One",
    "answers.behind": "Lev", "answers.in_front": "Lev", "answers.above": "Law",
    "answers.now": "Only", "answers.way_in": "8", "answers.water": "It r",
}  # fmt: skip
PRICE = re.compile(r"^\$[\d,]+\.\d\d to \$[\d,]+\.\d\d$")


@dataclass(frozen=True, slots=True)
class Places:
    """A service, a page that has the form by a key made for it, and one that took the key."""

    service: str
    named: str
    other: str

    @property
    def allowed(self) -> set[str]:
        """Whom a browser may ask."""
        return {self.service, self.named, self.other}


@pytest.fixture(scope="module")
def opener() -> Iterator[Opener]:
    """A browser."""
    with opened_browser() as opener:
        yield opener


@pytest.fixture(scope="module")
def places(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Places]:
    """A service that asks for keys, and the two pages."""
    folder = tmp_path_factory.mktemp("service")
    settings = {"SERVICE_DATABASE_URL": f"sqlite:///{folder / 'store.sqlite'}"}
    port = free_port()
    key = made_key(settings, f"http://127.0.0.1:{port}")
    with running_service(log=subprocess.DEVNULL, **settings) as (_, at):
        service = f"127.0.0.1:{at}"
        page = other_page(service, key=key)
        with serving(page, port) as named, serving(page) as other:
            yield Places(service, named, other)


def fill(visit: Visit, answers: dict[str, str]) -> None:
    """Answer by keyboard alone, and press the button."""
    visit.page.locator("form").wait_for()
    for name, text in answers.items():
        visit.tab_to(name)
        visit.write(text)
    visit.tab_to("BUTTON")
    visit.press("Enter")


def test_embedded_form_is_answered_with_a_range(opener: Opener, places: Places) -> None:
    """In the page that its key was made for, the form is filled by keyboard and answered; nobody
    else is asked, and no rule of accessibility is broken."""
    with opener.visit(f"http://{places.named}/", allowed=places.allowed) as visit:
        fill(visit, ANSWERS)
        visit.page.locator(".price").wait_for()
        assert PRICE.match(visit.page.locator(".price").inner_text())
        assert "Line: One gentle curve." in visit.page.locator(".answer").inner_text()
        assert visit.broken_rules() == []
        assert (visit.refused, visit.errors) == ([], [])


def test_embedded_form_says_that_the_place_must_be_seen(opener: Opener, places: Places) -> None:
    """A building above the wall has to be looked at: reasons stand where a range would."""
    with opener.visit(f"http://{places.named}/", allowed=places.allowed) as visit:
        fill(visit, {**ANSWERS, "answers.above": "A house"})
        visit.page.get_by_role("heading", name="We need to see it").wait_for()
        assert "A building stands above the wall" in visit.page.locator(".answer").inner_text()
        assert visit.page.locator(".price").count() == 0
        assert visit.broken_rules() == []


def test_embedded_form_keeps_a_request_once(opener: Opener, places: Places) -> None:
    """Who leaves his address and agrees gets a number, the same one when it is sent again."""
    with opener.visit(f"http://{places.named}/", allowed=places.allowed) as visit:
        visit.page.locator("form").wait_for()
        visit.tab_to("SUMMARY")
        visit.press("Enter")
        fill(visit, {**ANSWERS, "lead.email": "a.example@example.com"})
        assert "Without your consent" in visit.page.locator(".faults").inner_text()
        visit.tab_to("lead.consent")
        visit.press("Space")
        fill(visit, {})
        told = visit.page.get_by_text("We have your request. Its number is")
        told.wait_for()
        first = told.inner_text()
        visit.page.locator(".answer").evaluate("place => place.replaceChildren()")
        fill(visit, {})
        told.wait_for()
        assert told.inner_text() == first


def test_embedded_form_stays_out_of_other_pages(opener: Opener, places: Places) -> None:
    """A page that took the key from another one gets no form."""
    with opener.visit(f"http://{places.other}/", allowed=places.allowed) as visit:
        visit.page.get_by_text("The form can't be shown right now.").wait_for()
        assert visit.page.locator("form").count() == 0


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_own_page_needs_no_key(opener: Opener, places: Places, *, script: bool) -> None:
    """The service's own page is filled by keyboard and answered, with and without script."""
    page = f"http://{places.service}/website/demo_site"
    with opener.visit(page, allowed=places.allowed, script=script) as visit:
        for name, text in ANSWERS.items():
            control = visit.page.locator(f"[name='{name}']")
            control.focus()
            visit.write(text)
        visit.page.get_by_role("button").press("Enter")
        visit.page.locator(".price").wait_for()
        assert PRICE.match(visit.page.locator(".price").inner_text())
        assert visit.page.url.endswith("#wall-form-answer") is not script
        assert visit.refused == []


@pytest.mark.parametrize("width", [360, 1280])
def test_own_page_is_for_everybody(opener: Opener, places: Places, width: int) -> None:
    """All questions of the shipped entry, and the answer, fit the window and break no rule."""
    page = f"http://{places.service}/website/demo_site?language=es"
    with opener.visit(page, allowed=places.allowed, width=width) as visit:
        assert (visit.overflow(), visit.broken_rules()) == (0, [])
        fill(visit, {"answers.length": "40", "answers.height": "x"})
        visit.page.locator(".faults li").first.wait_for()
        assert (visit.overflow(), visit.broken_rules()) == (0, [])
