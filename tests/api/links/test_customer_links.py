"""Links that a customer answers: made, seen, accepted or declined once, and over."""

from __future__ import annotations

import hashlib
import json
import re

import pytest

from service.storage import Store
from service.storage.tables import LINK, LINK_CONTENT
from tests.given.links import Linker, garden
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import read
from tests.given.saved_quotes import URL
from tests.given.stores import ON_SQLITE, Clock

DAY_S = 24 * 60 * 60


@pytest.fixture
def linker(store: Store) -> Linker:
    """A client over an empty store, on each database in turn."""
    return Linker(store)


def test_make_link_tells_its_address_once(linker: Linker) -> None:
    """The address ends in 256 bits, of which the SHA-256 is kept; a repeated call tells none."""
    quote_id = linker.issued()
    first = linker.make(quote_id, key="k1")
    told = read(first)
    assert (first.status_code, set(told)) == (201, {"id", "url", "expires_at"})
    assert told["expires_at"] == "2026-06-04T00:00:00Z"  # issued on 4 May, valid 30 days
    token = told["url"].removeprefix("http://127.0.0.1:8000/q/")
    assert re.fullmatch(r"[A-Za-z0-9_-]{43}", token)
    again = linker.make(quote_id, key="k1")
    assert again.headers["idempotent-replayed"] == "true"
    assert read(again) == {
        "id": told["id"], "expires_at": told["expires_at"], "secret_shown": True
    }  # fmt: skip
    with linker.store.read() as connection:
        (row,) = connection.execute(LINK.select()).all()
    assert row.token_digest == hashlib.sha256(token.encode()).hexdigest()
    assert linker.events("link.made") == [
        (
            "link.made",
            "loopback",
            {
                "quote": quote_id,
                "revision": 1,
                "link": told["id"],
                "kind": "customer_quote",
                "links": {
                    "quote": f"/v1/saved-quotes/{quote_id}",
                    "revision": f"/v1/saved-quotes/{quote_id}/revisions/1",
                },
            },
        )
    ]


def test_make_link_begins_with_the_public_address(store: Store) -> None:
    """The address begins with `SERVICE_PUBLIC_URL`, a path in front included, and what is on the
    page leads on from there; days end at midnight of `SERVICE_TIME_ZONE`."""
    public = "https://quotes.example.com/walls"
    linker = Linker(store, public_url=public, time_zone="MST7MDT")
    quote_id = linker.issued()
    told = read(linker.make(quote_id))
    assert told["url"].startswith(f"{public}/q/")
    assert told["expires_at"] == "2026-06-04T06:00:00Z"  # midnight of the zone, in summer
    path = told["url"].removeprefix("https://quotes.example.com/walls")
    page = linker.client.get(path).text
    assert re.findall(r'(?:href|action)="(/[^"]*)"', page) == []
    assert f'href="{path.removeprefix("/q/")}/paper.pdf"' in page


def test_make_link_needs_an_issued_revision(linker: Linker) -> None:
    """A customer is shown what is issued: no draft, nothing that is decided or run out; a crew may
    see a draft, and nobody what was overtaken."""
    quote_id = linker.save(garden())["id"]
    assert_problem(linker.make(quote_id), 409, "link-not-allowed")
    assert linker.make(quote_id, kind="crew_sheet").status_code == 201
    linker.issue(quote_id)
    assert linker.make(quote_id, "latest").status_code == 201
    assert linker.revise(quote_id, garden(title="Another")).status_code == 201
    linker.issue(quote_id)
    assert_problem(linker.make(quote_id, 1), 409, "link-not-allowed")
    assert_problem(linker.make(quote_id, 1, kind="crew_sheet"), 409, "link-not-allowed")
    assert linker.move(quote_id, "accepted").status_code == 200
    assert_problem(linker.make(quote_id, 2), 409, "link-not-allowed")
    assert_problem(linker.make(quote_id, 3), 404, "unknown-quote-revision")
    assert_problem(linker.make("0" * 20), 404, "unknown-saved-quote")


def test_make_link_is_refused_after_the_last_day(linker: Linker, clock: Clock) -> None:
    """On its last day a quote is still shown, a day later it isn't."""
    quote_id = linker.issued()
    clock.seconds += 31 * DAY_S - 1  # 3 June, the last second
    assert linker.make(quote_id).status_code == 201
    clock.seconds += 1
    assert_problem(linker.make(quote_id), 409, "quote-expired")


@ON_SQLITE
@pytest.mark.parametrize(
    ("body", "code", "pointer"),
    [
        ({"kind": "poster"}, "unknown-choice", "/kind"),
        ({"kind": "crew_sheet", "company": "nobody"}, "unknown-company", "/company"),
        ({"kind": "supplier_order", "supplier": "x"}, "unknown-supplier", "/supplier"),
        ({"kind": "crew_sheet", "colour": "red"}, "unknown-key", "/colour"),
        ({"kind": "crew_sheet", "detail": "groups"}, "link-option-unused", "/detail"),
        ({"kind": "visit_sheet", "detail": "lines"}, "link-option-unused", "/detail"),
        ({"kind": "supplier_order", "detail": "total"}, "link-option-unused", "/detail"),
        ({"kind": "customer_quote", "supplier": "x"}, "link-option-unused", "/supplier"),
        ({"kind": "crew_sheet", "supplier": "x"}, "link-option-unused", "/supplier"),
    ],
)
def test_make_link_says_what_is_wrong(
    linker: Linker, body: dict[str, str], code: str, pointer: str
) -> None:
    """A field that can't be read or names nothing is told by its place."""
    (entry,) = assert_problem(linker.make(linker.issued(), **body), 422, code)["errors"]
    assert entry["pointer"] == pointer


def test_make_link_tells_both_options_that_a_crew_has_no_use_for(linker: Linker) -> None:
    """Both come at once; the message says what was asked for, the hint what has the option."""
    body = {"kind": "crew_sheet", "detail": "lines", "supplier": "x"}
    made = assert_problem(linker.make(linker.issued(), **body), 422, "link-option-unused")
    first, second = made["errors"]
    assert first["message"] == "detail: a crew_sheet tells no customer a price"
    assert first["hint"] == "leave it out, or link to a customer_quote"
    assert second["pointer"] == "/supplier"


def test_read_link_shows_the_paper_to_anybody(linker: Linker) -> None:
    """The page is the customer's quote with drawings, PDF beside it, and asks for no script; it is
    neither found by search, kept, nor named to others."""
    shown = linker.link(linker.issued())
    page = shown.page()
    assert page.status_code == 200
    assert page.headers["content-type"] == "text/html; charset=utf-8"
    assert page.headers["x-robots-tag"] == "noindex"
    assert page.headers["cache-control"] == "private, no-store"
    assert page.headers.get_list("referrer-policy") == ["no-referrer"]
    assert "form-action 'self'" in page.headers["content-security-policy"]
    assert "script" not in page.text
    assert page.text.count('<img src="data:image/svg+xml') >= 3
    assert "Ana Quimbrel" in page.text
    pdf = shown.page("/paper.pdf")
    assert (pdf.status_code, pdf.headers["content-type"]) == (200, "application/pdf")
    assert pdf.content.startswith(b"%PDF")
    assert pdf.headers["cache-control"] == "private, no-store"
    assert pdf.headers["x-robots-tag"] == "noindex"


@pytest.mark.no_cover  # others run the same lines
def test_read_link_shows_no_cost(linker: Linker) -> None:
    """Of the figures of the price only those that are sold by are on the page."""
    quote_id = linker.issued()
    shown = linker.link(quote_id, detail="lines")
    answer = read(linker.get(f"/{quote_id}/revisions/1/answer"))["price"]
    hidden = {line["cost"] for line in answer["lines"]} - {
        line["price"] for line in answer["lines"]
    }
    text = shown.page().text.partition("</style>")[2].replace(",", "")
    assert f"{answer['total']}" in text
    assert [cost for cost in hidden if len(cost) > 5 and cost in text] == []
    for secret in ("margin", "markup", "overhead", "supplier", "Demo block yard", "direct_cost"):
        assert secret not in text


def test_link_fixes_what_is_shown(linker: Linker) -> None:
    """Page and PDF stay what they were when the link was made, whatever is said afterwards; each
    is what its digest says."""
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    page, pdf = shown.page().text, shown.page("/paper.pdf").content
    renamed = linker.client.put(
        f"{URL}/{quote_id}/customer", json={"name": "Bo Ito"}, headers=linker.seen(quote_id)
    )
    assert renamed.status_code == 200
    assert (shown.page().text, shown.page("/paper.pdf").content) == (page, pdf)
    assert "Bo Ito" in linker.link(quote_id).page().text
    with linker.store.read() as connection:
        row = connection.execute(LINK_CONTENT.select().where(LINK_CONTENT.c.link_id == shown.id))
        kept = row.one()
    assert kept.content_digest == hashlib.sha256(kept.content).hexdigest()
    assert json.loads(kept.content)["pdf_sha256"] == hashlib.sha256(pdf).hexdigest()


def test_read_link_tells_the_first_view_of_a_day(linker: Linker, clock: Clock) -> None:
    """`quote.viewed` comes once a link and day; the list says when it was last looked at."""
    quote_id = linker.issued()
    shown, other = linker.link(quote_id), linker.link(quote_id, kind="crew_sheet")
    for _ in range(3):
        shown.page()
    other.page()
    clock.seconds += DAY_S
    shown.page()
    seen = [(by, data["link"]) for _, by, data in linker.events("quote.viewed")]
    assert seen == [("link", shown.id), ("link", other.id), ("link", shown.id)]
    days = {item["id"]: item["viewed_on"] for item in linker.listed(quote_id)}
    assert days == {shown.id: "2026-05-05", other.id: "2026-05-04"}


def test_accepting_by_a_link(linker: Linker, clock: Clock) -> None:
    """A yes moves the state, and keeps name, moment, sentence and the digest of what was shown;
    the receipt shows them."""
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    sentence = shown.sentence()
    clock.seconds += 3600
    sent = shown.accept(name="  Ana   María\tQuimbrel ")
    assert sent.status_code == 303
    assert sent.headers["location"] == f"{shown.path.removeprefix('/q/')}/receipt"
    state = read(linker.get(f"/{quote_id}/state"))
    assert state["state"] == "accepted"
    assert state["history"][-1]["on"] == "2026-05-04"
    with linker.store.read() as connection:
        kept = connection.execute(
            LINK_CONTENT.select().where(LINK_CONTENT.c.link_id == shown.id)
        ).one()
    answer = read(linker.get(f"/{quote_id}/revisions/1/answer"))
    assert state["acceptances"] == [
        {
            "by": "link",
            "link": shown.id,
            "revision": 1,
            "at": "2026-05-04T01:00:00Z",
            "name": "Ana María Quimbrel",
            "sentence": sentence,
            "content_digest": hashlib.sha256(kept.content).hexdigest(),
            "total": answer["price"]["total"],
            "currency": "USD",
        }
    ]
    assert linker.events("quote.state_changed")[-1] == (
        "quote.state_changed",
        "link",
        {
            "quote": quote_id,
            "revision": 1,
            "before": "issued",
            "state": "accepted",
            "link": shown.id,
            "links": {
                "quote": f"{URL}/{quote_id}",
                "revision": f"{URL}/{quote_id}/revisions/1",
            },
        },
    )
    receipt = shown.page("/receipt")
    assert receipt.status_code == 200
    for told in ("Ana María Quimbrel", "May 4, 2026, 01:00 UTC", kept.content_digest):
        assert told in receipt.text
    assert "law of the place" in receipt.text
    assert hashlib.sha256(shown.page("/paper.pdf").content).hexdigest() in receipt.text
    assert "You accepted this quote on May 4, 2026." in shown.page().text
    assert "<form" not in shown.page().text


@pytest.mark.no_cover  # others run the same lines
def test_accepting_names_total_deposit_and_last_day(linker: Linker) -> None:
    """The sentence is worked by hand: 10 % of 6,110.36 is 611.036, cut to the cent 611.03; the
    fifth business day after Monday, 4 May 2026, is Saturday the 9th where Saturdays count."""
    quote_id = linker.issued(garden(jurisdiction="strict_example"))
    answer = read(linker.get(f"/{quote_id}/revisions/1/answer"))
    assert answer["price"]["total"] == "6110.36"
    assert linker.link(quote_id).sentence() == (
        "I accept quote Q-2026-0001 of Example Walls (invented): the total is $6,110.36, $611.03 "
        "of it as a deposit. By the rules of this place I may cancel, without giving a reason, "
        "until midnight of May 9, 2026."
    )
    spanish = linker.link(quote_id, language="es").sentence()
    assert "$6,110.36" in spanish
    assert "hasta la medianoche del 9 de mayo de 2026." in spanish


def test_declining_by_a_link(linker: Linker) -> None:
    """A no moves the state; nothing is asked for, and there is no receipt."""
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    sent = shown.send({"answer": "decline"})
    assert (sent.status_code, sent.headers["location"]) == (303, shown.path.removeprefix("/q/"))
    state = read(linker.get(f"/{quote_id}/state"))
    assert (state["state"], "acceptances" in state) == ("declined", False)
    assert "You declined this quote on May 4, 2026." in shown.page().text
    assert shown.page("/receipt").status_code == 404
    (item,) = linker.listed(quote_id)
    assert (item["state"], item["answer"]) == ("answered", "declined")


def test_second_answers_change_nothing(linker: Linker) -> None:
    """Whoever answers again, by this link or another one, is told that it was answered."""
    quote_id = linker.issued()
    first, second = linker.link(quote_id), linker.link(quote_id)
    forms = first.form(), second.form()
    assert first.send(forms[0]).status_code == 303
    tag = linker.tag(f"/{quote_id}")
    for shown, fields in ((first, forms[0]), (second, forms[1]), (first, {"answer": "decline"})):
        again = shown.send(fields)
        assert again.status_code == 409
        assert "It was accepted. Nothing was changed now." in again.text
        assert ("Your receipt" in again.text) == (shown is first)
    assert linker.tag(f"/{quote_id}") == tag
    assert "Ana Quimbrel" not in re.sub(r"<dd.*?</dd>", "", second.page().text)
    assert second.page("/receipt").status_code == 404


@ON_SQLITE
@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"name": " "}, "Type your full name."),
        ({"name": "---"}, "Type your full name."),
        ({"name": "x" * 201}, "A name has at most 200 characters."),
        ({"agrees": ""}, "Tick that you agree."),
        ({"mark": "0" * 64}, "read it once more"),
    ],
)
def test_unsound_yeses_are_asked_for_again(
    linker: Linker, changed: dict[str, str], said: str
) -> None:
    """A yes without a name, a tick or the sentence of now is shown again, with what is missing
    beside its field; nothing is stored."""
    quote_id = linker.issued()
    shown = linker.link(quote_id)
    again = shown.accept(**changed)
    assert again.status_code == 422
    assert again.text.count(said) == 2  # in the list, and at the field
    assert 'aria-invalid="true"' in again.text
    assert linker.state(quote_id) == "issued"
    assert shown.accept().status_code == 303


def test_yes_counts_its_days_from_the_day_it_is_said(linker: Linker, clock: Clock) -> None:
    """A page that was opened the day before shows the sentence anew, with the day of now."""
    quote_id = linker.issued(garden(jurisdiction="strict_example"))
    shown = linker.link(quote_id)
    fields, before = shown.form(), shown.sentence()
    clock.seconds += DAY_S
    again = shown.send(fields)
    assert again.status_code == 422
    assert "read it once more" in again.text
    assert shown.sentence() != before
    assert shown.accept().status_code == 303


def test_links_close(linker: Linker, clock: Clock) -> None:
    """What is unknown is 404; what was ended, has run out or was overtaken is 410: pages without a
    figure, in the language of the link, for page, PDF, receipt and answers alike."""
    quote_id = linker.issued()
    ended, late = linker.link(quote_id), linker.link(quote_id, language="es")
    overtaken = linker.link(quote_id)
    yes = late.form()
    unknown = ended.client.get(f"/q/{'A' * 43}")
    assert unknown.status_code == 404
    assert "There is nothing here" in unknown.text
    url = f"{URL}/{quote_id}/revisions/1/links/{ended.id}"
    for _ in range(2):
        assert linker.client.delete(url).status_code == 204
    assert [data["link"] for _, _, data in linker.events("link.ended")] == [ended.id]
    assert_problem(linker.client.delete(url[:-1] + "x"), 404, "unknown-link")
    clock.seconds += 31 * DAY_S - 1
    assert late.page().status_code == 200
    clock.seconds += 1
    closed = {
        "This link was closed": ended.page(),
        "Este enlace ha vencido": late.page(),
        "Este enlace ha vencido ": late.page("/paper.pdf"),
        "Este enlace ha vencido  ": late.page("/receipt"),
        "Este enlace ha vencido   ": late.send(yes),
    }
    clock.seconds -= DAY_S
    linker.revise(quote_id, garden(title="Another"))
    linker.issue(quote_id)
    closed["This paper is no longer in force"] = overtaken.page()
    for said, page in closed.items():
        assert page.status_code == 410, said
        assert said.strip() in page.text
        body = page.text.partition("<body>")[2]
        assert re.search(r"[0-9]", re.sub(r"<[^>]+>", "", body)) is None
    states = {item["id"]: item["state"] for item in linker.listed(quote_id)}
    assert states[ended.id] == "ended"
    assert states[overtaken.id] == "overtaken"
