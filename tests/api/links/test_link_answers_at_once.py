"""Answers by links that come at once, forms that no page sends, and what is logged of links."""

from __future__ import annotations

import logging
from concurrent.futures import ThreadPoolExecutor

import pytest

from service.storage import Store
from tests.given.links import FORM, Linker
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import read
from tests.given.stores import ON_SQLITE

pytestmark = pytest.mark.no_cover  # others run the same lines


@pytest.fixture
def linker(store: Store) -> Linker:
    """A client over an empty store, on each database in turn."""
    return Linker(store)


def test_of_two_yeses_at_once_one_wins(linker: Linker) -> None:
    """Eight yeses at once, by two links: one is kept, all others are told that it was answered."""
    quote_id = linker.issued()
    links = [linker.link(quote_id), linker.link(quote_id)]
    sends = [(links[number % 2], links[number % 2].form()) for number in range(8)]
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda send: send[0].send(send[1]).status_code, sends))
    assert sorted(answers) == [303, *[409] * 7]
    state = read(linker.get(f"/{quote_id}/state"))
    assert (state["state"], len(state["acceptances"])) == ("accepted", 1)
    told = [data for _, by, data in linker.events("quote.state_changed") if by == "link"]
    assert len(told) == 1
    assert state["acceptances"][0]["link"] == told[0]["link"]


def test_yes_and_no_at_once_one_wins(linker: Linker) -> None:
    """Of a yes and a no at once one is kept, and what the other one finds says which."""
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    forms = [shown.form(), {"answer": "decline"}] * 3
    with ThreadPoolExecutor(6) as pool:
        answers = list(pool.map(shown.send, forms))
    won = [form["answer"] for form, sent in zip(forms, answers, strict=True)
           if sent.status_code == 303]  # fmt: skip
    assert len(won) == 1
    became = {"accept": "accepted", "decline": "declined"}[won[0]]
    assert linker.state(quote_id) == became
    assert all(f"It was {became}." in sent.text for sent in answers if sent.status_code != 303)


def test_views_at_once_are_told_once(linker: Linker) -> None:
    """Eight who look at a paper at once are one event, and each of them sees it."""
    shown = linker.link(linker.issued())
    with ThreadPoolExecutor(8) as pool:
        pages = list(pool.map(lambda _: shown.page().status_code, range(8)))
    assert pages == [200] * 8
    assert len(linker.events("quote.viewed")) == 1


def test_link_of_a_quote_that_moved_takes_no_answer(linker: Linker) -> None:
    """What the office accepted or withdrew meanwhile isn't answered over again."""
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    fields = shown.form()
    linker.moved(quote_id, "accepted")
    assert shown.send(fields).status_code == 409
    page = shown.page()
    assert "This quote has been accepted." in page.text
    assert "<form" not in page.text
    other = linker.issued()
    withdrawn = linker.link(other)
    fields = withdrawn.form()
    linker.moved(other, "withdrawn")
    assert withdrawn.send(fields).status_code == 410
    assert linker.state(other) == "withdrawn"


def test_crew_sheet_takes_no_answer(linker: Linker) -> None:
    """A paper that isn't a customer's has no form, and what is sent all the same changes nothing;
    it is open for 30 days, and has no money on it."""
    quote_id = linker.issued()
    made = read(linker.make(quote_id, kind="crew_sheet"))
    assert made["expires_at"] == "2026-06-03T00:00:00Z"
    shown = linker.link(quote_id, kind="crew_sheet")
    page = shown.page()
    assert page.status_code == 200
    assert "<form" not in page.text
    assert "form-action 'none'" in page.headers["content-security-policy"]
    assert "$" not in page.text.partition("</style>")[2]
    for answer in ({"answer": "accept", "name": "A", "agrees": "yes"}, {"answer": "decline"}):
        assert shown.send(answer).status_code == 409
    assert linker.state(quote_id) == "issued"


@ON_SQLITE
@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ("answer=maybe", 400, "request-malformed"),
        ("", 400, "request-malformed"),
        ("answer=decline&answer=decline", 400, "request-malformed"),
        ("answer=decline&state=accepted", 400, "request-malformed"),
        ("answer=decline&name=%FF", 400, "request-malformed"),
        ("answer=accept&name=a%00b", 400, "request-malformed"),
        ("answer=decline;", 400, "request-malformed"),
        ("decline", 400, "request-malformed"),
        ("answer=decline&name=" + "x" * 9000, 413, "body-too-large"),
    ],
)
def test_answer_form_is_read_strictly(linker: Linker, body: str, status: int, code: str) -> None:
    """Unknown, doubled, cut and undecodable fields are refused, and so is more than 8 KiB."""
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    assert_problem(shown.client.post(shown.path, content=body, headers=FORM), status, code)
    assert linker.state(quote_id) == "issued"


@ON_SQLITE
@pytest.mark.parametrize("media_type", ["application/json", "text/plain", "multipart/form-data"])
def test_answer_form_has_one_media_type(linker: Linker, media_type: str) -> None:
    """Nothing but the form of the page is taken, and no other address takes a form."""
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    head = {"Content-Type": media_type}
    sent = shown.client.post(shown.path, content="answer=decline", headers=head)
    assert_problem(sent, 415, "media-type-unsupported")
    other = shown.client.post("/v1/quotes", content="answer=decline", headers=FORM)
    assert_problem(other, 415, "media-type-unsupported")
    assert linker.state(quote_id) == "issued"


@ON_SQLITE
@pytest.mark.parametrize("origin", ["https://example.org", "null", "http://127.0.0.1:8001"])
def test_answer_form_of_another_page_is_refused(linker: Linker, origin: str) -> None:
    """A form that another page sends is refused; our own page's is taken."""
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    assert_problem(shown.send({"answer": "decline"}, Origin=origin), 403, "origin-refused")
    assert linker.state(quote_id) == "issued"
    ours = shown.send({"answer": "decline"}, Origin="http://127.0.0.1:8000")
    assert ours.status_code == 303


def test_secret_is_in_no_log(
    linker: Linker, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Calls are logged by the address's form, and a failure by its place: never the secret."""
    caplog.set_level(logging.DEBUG)
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    secret = shown.path.removeprefix("/q/")
    for below in ("", "/paper.pdf", "/receipt", "/none", "/"):
        shown.page(below)
    shown.accept()
    shown.send({"answer": "accept"})
    monkeypatch.setattr("service.operations.callers.links.pages.paper_page", lambda *_: 1 / 0)
    assert linker.client.get(shown.path).status_code == 500
    logged = [f"{record.getMessage()} {record.__dict__}" for record in caplog.records]
    assert any("ZeroDivisionError" in line for line in logged)
    ours = [line for line in logged if "'name': 'service" in line]
    assert ours
    assert [line for line in ours if secret in line] == []


@pytest.mark.parametrize(
    ("accepts", "said"),
    [
        ("", "There is nothing here"),
        ("es-MX,es;q=0.9,en;q=0.8", "Aquí no hay nada"),
        ("fr, en;q=0.5, es;q=0.7", "Aquí no hay nada"),
        ("es;q=0, en", "There is nothing here"),
        ("en-US,en;q=0.9,es;q=0.8", "There is nothing here"),
        (";;;,*", "There is nothing here"),
    ],
)
def test_closed_page_speaks_the_readers_language(linker: Linker, accepts: str, said: str) -> None:
    """Where no link says its language, the reader's browser does."""
    page = linker.client.get(f"/q/{'A' * 43}", headers={"Accept-Language": accepts})
    assert (page.status_code, said in page.text) == (404, True)
