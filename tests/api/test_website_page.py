"""The form's page without script: what is typed is kept, what is wrong is said at its field."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from service.api.error_answers import ERROR_ANSWERS
from service.api.form_body import FORM
from service.api.front import Front
from service.api.problems import ProblemError
from service.api.table import Table
from service.api.website.pages import page_handlers
from service.api.website.table import page_operations
from tests.given.served import BASE_URL
from tests.given.website_page import FormByHand

PATH = "/website/by_hand"
WHOLE = {"answers.length": "40", "answers.height": "2.5", "answers.line": "curved"}
HIDDEN = {"form_version": "3", "website": ""}
LEAD = {"lead.email": "ann@mail.example", "lead.consent": "true"}


class Controls(HTMLParser):
    """What a page has to fill in: attributes by name; what is chosen or written; the texts."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.controls: dict[str, dict[str, str | None]] = {}
        self.values: dict[str, str] = {}
        self.labels: set[str] = set()
        self.ids: dict[str, str] = {}
        self._open: str | None = None
        self._within: str | None = None
        self._written: str | None = None
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a control, a label, an id."""
        given = dict(attrs)
        if tag in {"input", "select", "textarea"}:
            self._open = str(given["name"])
            self.controls[self._open] = given
            if tag == "input" and (given.get("type") != "checkbox" or "checked" in given):
                self.values[self._open] = given.get("value") or ""
        self._written = given["name"] if tag == "textarea" else None
        if tag == "option" and "selected" in given and self._open:
            self.values[self._open] = given["value"] or ""
        if tag == "label":
            self.labels.add(str(given["for"]))
        self._within = given.get("id")
        if self._within:
            self.ids[self._within] = ""

    def handle_data(self, data: str) -> None:
        """Note what is written in an element with an id."""
        if self._within:
            self.ids[self._within] += data.strip()
        if self._written:
            self.values[self._written] = data.removeprefix("\n")

    def handle_endtag(self, _tag: str) -> None:
        """An element ends."""
        self._within = self._written = None


@pytest.fixture
def website() -> FormByHand:
    """A website that notes what it got."""
    return FormByHand()


@pytest.fixture
def caller(website: FormByHand) -> Iterator[TestClient]:
    """A visitor of its page."""
    operations = page_operations(*page_handlers(lambda _request: website))
    app = FastAPI(exception_handlers=dict(ERROR_ANSWERS))
    app.add_middleware(Front, table=Table(operations))
    for each in operations:
        app.add_api_route(each.path, each.handler, methods=[each.method], response_model=None)
    with TestClient(app, base_url=BASE_URL, follow_redirects=False) as client:
        yield client


def test_page_shows_each_question_with_its_label(caller: TestClient) -> None:
    """Each question has a label, its description and a place for its fault; what must be answered
    says so; the pages's own fields can't be reached by keyboard."""
    answer = caller.get(PATH)
    page = Controls(answer.text)
    assert answer.status_code == 200
    questions = [name for name in page.controls if "." in name]
    assert questions == [
        "answers.length", "answers.height", "answers.line", "answers.wish",
        "lead.email", "lead.consent",
    ]  # fmt: skip
    for name in questions:
        control = page.controls[name]
        assert control["id"] in page.labels
        described = str(control["aria-describedby"]).split()
        assert len(described) == 2
        assert set(described) <= set(page.ids)
        assert ("required" in control) is (name != "answers.wish")
    assert page.ids["wall-form-answers-length-hint"] == "Roughly, along its foot. For example: 40"
    assert page.values == {
        "answers.length": "", "answers.height": "", "answers.line": "straight",
        "answers.wish": "", "lead.email": "", "website": "", "form_version": "3",
    }  # fmt: skip
    assert page.controls["website"]["tabindex"] == "-1"
    assert page.controls["lead.email"]["autocomplete"] == "email"


def test_page_is_locked_to_the_service(caller: TestClient) -> None:
    """No inline script, no outside address, no frame; the form goes to this service alone."""
    answer = caller.get(PATH)
    policy = dict(
        part.split(" ", 1) for part in answer.headers["content-security-policy"].split("; ")
    )
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["connect-src"] == policy["form-action"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert re.fullmatch(r"'sha256-[^']+'", policy["style-src"])
    assert re.findall(r"<script[^>]*>", answer.text) == ['<script src="../website.js" defer>']
    assert re.findall(r"https?://|\sstyle=|\son[a-z]+=", answer.text) == []
    # With `no-referrer` a browser sends the form with `Origin: null` (Fetch, 3.2).
    assert answer.headers.get_list("referrer-policy") == ["same-origin"]
    assert answer.headers.get_list("cross-origin-resource-policy") == ["same-origin"]


def sent(caller: TestClient, values: dict[str, str], **headers: str):  # type: ignore[no-untyped-def]  # noqa: ANN201
    """The answer to a form."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return caller.post(
        f"{PATH}?language=en", content=urlencode(values), headers={"Content-Type": FORM, **named}
    )


def test_page_answers_a_form_with_its_result(caller: TestClient, website: FormByHand) -> None:
    """The answer is another address with the answers in it, at which the range stands."""
    answer = sent(caller, {**HIDDEN, **WHOLE, "answers.wish": "two steps & a <b>"})
    assert answer.status_code == 303
    assert answer.text == ""
    place = urlsplit(answer.headers["location"])
    assert (place.scheme, place.netloc, place.path) == ("", "", "")
    assert parse_qs(place.query) == {
        "language": ["en"], **{name: [value] for name, value in WHOLE.items()},
        "answers.wish": ["two steps & a <b>"],
    }  # fmt: skip
    page = caller.get(f"{PATH}?{place.query}")
    assert page.status_code == 200
    assert "$8,415.00 to $13,860.00" in page.text
    assert "&lt;b&gt;drainage&lt;/b&gt;" in page.text
    assert f'id="{place.fragment}"' in page.text
    assert Controls(page.text).values["answers.wish"] == "two steps & a <b>"
    assert website.bodies[0] == {
        "answers": {"length": "40", "height": "2.5", "line": "curved", "wish": "two steps & a <b>"},
        "form_version": 3,
        "website": "",
    }
    # Worked out once, at the address of the result.
    assert len(website.bodies) == 1


def test_page_says_that_the_wall_must_be_seen(caller: TestClient) -> None:
    """Reasons for a visit stand where a range would."""
    page = caller.get(PATH, params={**WHOLE, "answers.height": "6", "language": "en"})
    assert "We need to see it" in page.text
    assert "The wall would be higher than 4 ft." in page.text
    assert "$" not in page.text


def test_page_keeps_what_reaches_the_visitor_out_of_the_address(
    caller: TestClient, website: FormByHand
) -> None:
    """The way to reach the visitor is sent once and stands in no address; its number does."""
    answer = sent(caller, {**HIDDEN, **WHOLE, **LEAD})
    assert website.bodies[0]["lead"] == {"email": "ann@mail.example", "consent": True}
    query = urlsplit(answer.headers["location"]).query
    assert "ann" not in query
    assert parse_qs(query)["reference"] == ["W-17"]
    page = caller.get(f"{PATH}?{query}")
    assert "We have your request. Its number is W-17." in page.text
    assert "lead" not in website.bodies[1]
    assert website.bodies[1]["answers"] == website.bodies[0]["answers"]
    forged = caller.get(f"{PATH}?{query.replace('W-17', 'call+0100')}")
    assert "call" not in forged.text


def test_page_says_each_fault_at_its_field(caller: TestClient) -> None:
    """What is missing or can't be read is said at its field and above the form; the rest that was
    typed is still there."""
    answer = sent(
        caller,
        {**HIDDEN, "answers.length": "4x", "answers.line": "curved", "lead.email": "a@b.example"},
    )
    page = Controls(answer.text)
    assert answer.status_code == 422
    assert (
        page.ids["wall-form-answers-length-fault"]
        == "We can't use this answer: please see what stands above it."
    )
    assert page.ids["wall-form-answers-height-fault"] == "Please answer this."
    assert page.ids["wall-form-lead-consent-fault"].startswith("Without your consent")
    assert page.ids["wall-form-answers-line-fault"] == ""
    wrong = {name for name, each in page.controls.items() if each.get("aria-invalid") == "true"}
    assert wrong == {"answers.length", "answers.height", "lead.consent"}
    assert page.values["answers.length"] == "4x"
    assert page.values["answers.line"] == "curved"
    assert page.values["lead.email"] == "a@b.example"
    assert '<a href="#wall-form-answers-height">Height – Please answer this.</a>' in answer.text
    assert "PROGRAMMERS" not in answer.text


@pytest.mark.parametrize(
    ("error", "status", "word"),
    [
        (ProblemError("busy", headers={"Retry-After": "7"}), 503, "No answer came"),
        (ProblemError("rate-limited", headers={"Retry-After": "1500"}), 429, "in 25 minutes"),
        (ProblemError("request-invalid", status=409), 409, "questions have changed"),
    ],
)
def test_page_says_in_words_why_no_range_comes(
    caller: TestClient, website: FormByHand, error: ProblemError, status: int, word: str
) -> None:
    """Where the service can't answer, the page says so and keeps what was typed."""
    website.fails = error
    answer = sent(caller, {**HIDDEN, **WHOLE, **LEAD})
    assert answer.status_code == status
    assert answer.headers.get("retry-after") == error.headers.get("Retry-After")
    assert word in answer.text
    values = Controls(answer.text).values
    assert {name: values[name] for name in (*WHOLE, *LEAD)} == {**WHOLE, **LEAD}


def test_page_is_taken_from_no_other_origin(caller: TestClient, website: FormByHand) -> None:
    """A form of another page is refused; one without origin, or of the page itself, is served."""
    whole = {**HIDDEN, **WHOLE}
    for other in ("https://other.example", "null", "http://127.0.0.1:8001"):
        assert sent(caller, whole, Origin=other).status_code == 403
    assert website.bodies == []
    assert sent(caller, whole, Origin=BASE_URL).status_code == 303
    assert sent(caller, whole).status_code == 303


def test_page_takes_a_form_alone(caller: TestClient) -> None:
    """JSON is refused, so is a body that no browser sends."""
    assert caller.post(PATH, json={}).status_code == 415
    assert sent(caller, {"answers.length": "4\0"}).status_code == 400


@pytest.mark.parametrize(
    ("accepted", "query", "language"),
    [
        ("", "", "en"),
        ("es-MX,es;q=0.9,en;q=0.5", "", "es"),
        ("fr,en;q=0.3,es;q=0.4", "", "es"),
        ("fr", "", "en"),
        ("es;q=0", "", "en"),
        ("es", "?language=en", "en"),
        ("en", "?language=es", "es"),
        ("en", "?language=xx&utm=1", "en"),
    ],
)
def test_page_speaks_the_language_of_its_visitor(
    caller: TestClient, accepted: str, query: str, language: str
) -> None:
    """The language of the link wins, then the browser's; English otherwise. The other one is a
    link away."""
    answer = caller.get(PATH + query, headers={"Accept-Language": accepted})
    assert answer.headers["content-language"] == language
    assert f'<html lang="{language}">' in answer.text
    other = {"en": "es", "es": "en"}[language]
    assert f'<a href="?language={other}" lang="{other}"' in answer.text
    assert ("¿Qué largo tiene el muro, en pies?" in answer.text) is (language == "es")
    assert f'action="?language={language}"' in answer.text


def test_page_takes_an_unknown_version_for_another_form(
    caller: TestClient, website: FormByHand
) -> None:
    """The version that was filled in is told on, whatever was made of it."""
    for version, told in (("2", 2), ("x", 0), ("9" * 30, 0)):
        sent(caller, {**WHOLE, **LEAD, "form_version": version})
        assert website.bodies[-1]["form_version"] == told
