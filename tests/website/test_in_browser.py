"""The form in a browser: in a page of another origin, in the service's own, without script."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import pytest

from service.api.problems import ProblemError
from service.core.errors import QuoteFaultsError
from tests.given.browsers import Opener, Visit, opened_browser
from tests.given.website_page import FormByHand, fault
from tests.given.website_service import other_page, serving, website_app

UNUSABLE = "We can't use this answer: please see what stands above it."
PRICE = "$8,415.00 to $13,860.00"
# Widths of a phone and of a desk, in CSS pixels.
WIDTHS = (360, 1280)


@dataclass(slots=True)
class Places:
    """Where the service and the other page are reached."""

    website: FormByHand
    service: str
    other: str = ""
    spanish: str = ""
    allowed: set[str] = field(default_factory=set)


@pytest.fixture(scope="module")
def opener() -> Iterator[Opener]:
    """A browser."""
    with opened_browser() as opener:
        yield opener


@pytest.fixture
def places() -> Iterator[Places]:
    """A service, and pages of two other origins that have its form in them."""
    website = FormByHand()
    with (
        serving(website_app(website)) as service,
        serving(other_page(service)) as other,
        serving(other_page(service, "es")) as spanish,
    ):
        yield Places(website, service, other, spanish, {service, other, spanish})


def fill_figures(visit: Visit, *, length: str = "40", height: str = "2.5") -> None:
    """Say how long and how high, by keyboard alone."""
    visit.page.locator("form").wait_for()
    visit.tab_to("answers.length")
    visit.write(length)
    visit.press("Tab")
    visit.write(height)


def fill(visit: Visit, *, length: str = "40", height: str = "2.5") -> None:
    """Answer the questions by keyboard alone."""
    fill_figures(visit, length=length, height=height)
    visit.press("Tab")
    assert visit.focused() == "answers.line"
    visit.write("One")


def send(visit: Visit) -> None:
    """Go on to the button and press it."""
    visit.tab_to("BUTTON")
    visit.press("Enter")


def typed(visit: Visit) -> dict[str, str]:
    """What stands in the fields."""
    found: dict[str, str] = visit.page.locator("form").evaluate(
        "form => Object.fromEntries(new FormData(form))"
    )
    return found


def test_embedded_form_is_filled_by_keyboard_alone(opener: Opener, places: Places) -> None:
    """In a page of another origin the form is filled, sent and answered by keyboard; the page
    hears the range; nobody else is asked, nothing fails, no rule of accessibility is broken."""
    with opener.visit(f"http://{places.other}/", allowed=places.allowed) as visit:
        visit.page.evaluate(
            "() => addEventListener('wall-price-range', event => { window.heard = event.detail; })"
        )
        fill(visit)
        send(visit)
        answer = visit.page.locator(".answer")
        answer.get_by_text(PRICE).wait_for()
        assert visit.focused() == "wall-form-answer"
        assert places.website.bodies == [
            {
                "answers": {"length": "40", "height": "2.5", "line": "curved"},
                "form_version": 3,
                "website": "",
            }
        ]
        assert visit.page.evaluate("() => window.heard.range.above") == "13860.00"
        assert "<b>drainage</b>" in answer.inner_text()
        drawing = visit.page.get_by_role(
            "img", name="Sketch of the wall: length 40 ft, height 2.5 m"
        )
        assert drawing.is_visible()
        assert drawing.locator("text").all_text_contents() == ["length 40 ft", "height 2.5 m"]
        assert "not to scale" in visit.page.locator("figcaption").inner_text()
        assert visit.broken_rules() == []
        assert (visit.refused, visit.errors) == ([], [])


@pytest.mark.parametrize("page", ["other", "own"])
def test_form_is_walked_in_its_order(opener: Opener, places: Places, page: str) -> None:
    """The Tab key goes from question to question, then to the button; what only programs fill in
    is not among them."""
    urls = {"other": f"http://{places.other}/", "own": f"http://{places.service}/website/x"}
    with opener.visit(urls[page], allowed=places.allowed) as visit:
        visit.page.locator("form").wait_for()
        visit.tab_to("answers.length")
        walked = [visit.focused()]
        while walked[-1] != "BUTTON":
            visit.press("Tab")
            walked.append(visit.focused())
        questions = ["answers.length", "answers.height", "answers.line", "answers.wish"]
        assert walked == [*questions, "SUMMARY", "BUTTON"]
        visit.press("Shift+Tab", "Enter")
        walked = [visit.focused()]
        while walked[-1] != "BUTTON":
            visit.press("Tab")
            walked.append(visit.focused())
        assert walked == ["SUMMARY", "lead.email", "lead.consent", "BUTTON"]
        place = visit.page.locator("[name=website]").bounding_box()
        assert place is not None
        assert place["x"] < 0


def test_embedded_form_says_what_is_wrong(opener: Opener, places: Places) -> None:
    """A wrong and a missing answer are said at their fields and above the form, where the focus
    goes; a link leads to the field; nothing is asked of the service until it is mended."""
    with opener.visit(f"http://{places.other}/", allowed=places.allowed) as visit:
        fill(visit, length="forty", height="")
        send(visit)
        assert visit.focused() == "box faults"
        length = visit.page.get_by_label("How long is the wall, in feet?")
        assert length.get_attribute("aria-invalid") == "true"
        assert length.input_value() == "forty"
        summary = visit.page.locator(".faults").inner_text()
        assert f"How long is the wall, in feet? – {UNUSABLE}" in summary
        assert "Height – Please answer this." in summary
        assert visit.broken_rules() == []
        assert places.website.bodies == []
        visit.press("Tab", "Enter")
        assert visit.focused() == "answers.length"
        visit.press("Control+A")
        visit.write("40")
        visit.press("Tab")
        visit.write("2.5")
        send(visit)
        visit.page.get_by_text(PRICE).wait_for()
        assert length.get_attribute("aria-invalid") is None
        assert visit.page.locator(".faults").inner_text() == ""


def test_embedded_form_shows_the_faults_that_the_service_finds(
    opener: Opener, places: Places
) -> None:
    """What only the service can tell is said at its field, in the visitor's words."""
    with opener.visit(f"http://{places.spanish}/", allowed=places.allowed) as visit:
        fill(visit)
        places.website.fails = QuoteFaultsError([fault("answers", "length")])
        send(visit)
        where = visit.page.locator("#wall-form-answers-length-fault")
        where.get_by_text("No podemos usar esta respuesta: vea lo que dice arriba.").wait_for()
        assert "PROGRAMMERS" not in visit.page.locator("form").inner_text()
        assert visit.page.locator(".wall-form").get_attribute("lang") == "es"
        assert visit.broken_rules() == []


@pytest.mark.parametrize(
    ("error", "word"),
    [
        (ProblemError("rate-limited", headers={"Retry-After": "1500"}), "in 25 minutes"),
        (ProblemError("internal-error"), "No answer came"),
        (ProblemError("request-invalid", status=409), "questions have changed"),
        (None, "No answer came"),
    ],
    ids=["limit", "failure", "form changed", "no connection"],
)
def test_embedded_form_keeps_what_was_typed_without_an_answer(
    opener: Opener, places: Places, error: ProblemError | None, word: str
) -> None:
    """Where no range comes the form says why in words, keeps all answers, and works again."""
    with opener.visit(f"http://{places.other}/", allowed=places.allowed) as visit:
        fill(visit)
        before = typed(visit)
        places.website.fails = error
        visit.page.context.set_offline(error is None)
        send(visit)
        visit.page.locator(".faults").get_by_text(word).wait_for()
        assert visit.focused() == "box faults"
        assert typed(visit) == before
        assert visit.broken_rules() == []
        places.website.fails = None
        visit.page.context.set_offline(False)
        send(visit)
        visit.page.get_by_text(PRICE).wait_for()


def test_embedded_form_tells_that_it_cannot_be_shown(opener: Opener, places: Places) -> None:
    """A form that can't be loaded says so, and can be tried again."""
    places.website.fails = ProblemError("internal-error")
    with opener.visit(f"http://{places.other}/", allowed=places.allowed) as visit:
        visit.page.get_by_text("The form can't be shown right now.").wait_for()
        assert visit.broken_rules() == []
        places.website.fails = None
        visit.tab_to("BUTTON")
        visit.press("Enter")
        visit.page.get_by_label("Height").wait_for()


def test_embedded_form_sends_how_the_visitor_is_reached(opener: Opener, places: Places) -> None:
    """Without consent nothing is sent; with it the request carries a key of its own, so that
    sending it again keeps it once; the number is shown, and not told to the page."""
    with opener.visit(f"http://{places.other}/", allowed=places.allowed) as visit:
        visit.page.evaluate(
            "() => addEventListener('wall-price-range', event => { window.heard = event.detail; })"
        )
        fill(visit)
        visit.tab_to("SUMMARY")
        visit.press("Enter")
        visit.tab_to("lead.email")
        visit.write("ann@mail.example")
        send(visit)
        fault_at = visit.page.locator("#wall-form-lead-consent-fault")
        assert fault_at.inner_text().startswith("Without your consent we keep nothing")
        assert places.website.bodies == []
        visit.tab_to("lead.consent")
        visit.press("Space")
        send(visit)
        visit.page.get_by_text("We have your request. Its number is W-17.").wait_for()
        assert places.website.bodies[0]["lead"] == {"email": "ann@mail.example", "consent": True}
        send(visit)
        visit.page.get_by_text(PRICE).wait_for()
        heard = visit.page.evaluate("() => JSON.stringify(window.heard)")
        assert "W-17" not in heard
        assert "ann" not in heard
    assert len(set(places.website.keys)) == 1
    assert len(places.website.keys[0]) == 34


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("page", ["other", "own"])
def test_form_fits_a_phone_and_a_desk(
    opener: Opener, places: Places, page: str, width: int
) -> None:
    """Nothing sticks out of the window, at 200 % neither (a window half as wide shows the same),
    and no rule of accessibility is broken, before and after the answer."""
    urls = {"other": f"http://{places.other}/", "own": f"http://{places.service}/website/x"}
    with opener.visit(urls[page], allowed=places.allowed, width=width) as visit:
        fill(visit)
        assert visit.overflow() <= 0
        send(visit)
        visit.page.get_by_text(PRICE).wait_for()
        assert visit.overflow() <= 0
        assert visit.broken_rules() == []
        visit.page.set_viewport_size({"width": max(width // 2, 320), "height": 450})
        assert visit.overflow() <= 0


def test_own_page_answers_without_a_reload(opener: Opener, places: Places) -> None:
    """The service's own page shows range and sketch in place; what is typed stays; faults are
    said at their fields; nothing fails and nobody else is asked."""
    with opener.visit(f"http://{places.service}/website/x", allowed=places.allowed) as visit:
        visit.page.evaluate("() => { window.same = true; }")
        fill(visit, length="4x")
        send(visit)
        fault_at = visit.page.locator("#wall-form-answers-length-fault")
        fault_at.get_by_text(UNUSABLE).wait_for()
        assert visit.focused() == "box faults"
        assert visit.broken_rules() == []
        visit.tab_to("answers.length")
        visit.press("Control+A")
        visit.write("40")
        told = "Sketch of the wall: length 40 ft, height 2.5 m"
        assert visit.page.get_by_role("img", name=told).is_visible()
        send(visit)
        visit.page.get_by_text(PRICE).wait_for()
        assert visit.focused() == "wall-form-answer"
        assert visit.page.evaluate("() => window.same") is True
        assert typed(visit)["answers.line"] == "curved"
        assert (visit.refused, visit.errors) == ([], [])


def test_own_page_keeps_what_was_typed_without_an_answer(opener: Opener, places: Places) -> None:
    """Without a connection the service's own page says so and loses nothing."""
    with opener.visit(f"http://{places.service}/website/x", allowed=places.allowed) as visit:
        fill(visit)
        before = typed(visit)
        visit.page.context.set_offline(True)
        send(visit)
        visit.page.locator(".faults").get_by_text("No answer came").wait_for()
        assert typed(visit) == before


def test_own_page_works_without_script(opener: Opener, places: Places) -> None:
    """With script off the page is filled, mended and answered by keyboard; its address can be
    loaded again."""
    page = f"http://{places.service}/website/x"
    with opener.visit(page, allowed=places.allowed, script=False) as visit:
        visit.page.get_by_label("How long is the wall, in feet?").focus()
        visit.write("4x")
        visit.press("Tab")
        visit.write("2.5")
        visit.press("Enter")
        visit.page.get_by_text("Please look at these answers again").wait_for()
        length = visit.page.get_by_label("How long is the wall, in feet?")
        assert length.input_value() == "4x"
        length.fill("40")
        visit.press("Enter")
        visit.page.get_by_text(PRICE).wait_for()
        assert visit.page.url.startswith(f"{page}?language=en&")
        assert visit.page.url.endswith("#wall-form-answer")
        visit.page.reload()
        assert visit.page.get_by_text(PRICE).is_visible()
        visit.page.get_by_role("link", name="En español").press("Enter")
        visit.page.get_by_label("¿Qué largo tiene el muro, en pies?").wait_for()
        assert visit.refused == []


def test_sketch_says_units_in_the_pages_language(opener: Opener, places: Places) -> None:
    """A Spanish page asks in feet by their Spanish name, and so its sketch says them."""
    with opener.visit(f"http://{places.spanish}/", allowed=places.allowed) as visit:
        fill_figures(visit)
        told = visit.page.locator("figure text").all_text_contents()
        assert told == ["largo 40 pies", "altura 2.5 m"]
