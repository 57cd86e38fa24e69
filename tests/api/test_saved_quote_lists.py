"""Lists and exports of saved quotes: filters, pages, forms, text that stays text."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.documents.spreadsheet_text import LEAD_INS, as_text
from service.operations.saved import quote_export
from service.storage import Store
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import Json, level_wall, prices, read
from tests.given.saved_quotes import URL, Keeper, small_request
from tests.given.stores import Clock, opened

# Title, reference, date, length of wall, currency; saved a day apart from 2026-05-04 on.
JOBS = (
    ("Driveway edge", "job-1", "2026-05-04", "10 ft", "USD"),
    ("DRIVEWAY, upper 100%", "job-2", "2026-05-05", "20 ft", "USD"),
    ("Terrace_north", "job-3", "2026-05-06", "40 ft", "USD"),
    ("Terrace north", None, None, "60 ft", "JPY"),
)
DAY_S = 24 * 60 * 60


def job(title: str, reference: str | None, day: str | None, length: str, currency: str) -> Json:
    """A request for one of the jobs; yen have no minor unit, so their prices are whole."""
    more: Json = {"title": title, "prices": prices(currency)}
    if reference:
        more["reference"] = reference
    if day:
        more |= {"issued_on": day}
    request = small_request(**more)
    request["walls"] = [level_wall(length)]
    request["terms"] = {**request["terms"], "valid_days": 30}
    return request


@pytest.fixture
def keeper(proof_catalog: Catalog, store: Store, clock: Clock) -> Keeper:
    """Four jobs, kept on each database in turn: a day apart, the second one issued."""
    keeper = Keeper(proof_catalog, store)
    for row in JOBS:
        saved = keeper.save(job(*row))
        if row[1] == "job-2":
            keeper.moved(saved["id"], "issued")
        clock.seconds += DAY_S
    return keeper


def numbers(keeper: Keeper, query: str) -> list[int]:
    """Numbers of the quotes that a query finds."""
    response = keeper.get(query)
    assert response.status_code == 200, response.text
    return [item["number"] for item in read(response)["items"]]


# What each query finds.
FOUND = {
    "": [4, 3, 2, 1],
    "?reference=job-2": [2],
    "?reference=JOB-2": [2],
    "?reference=job": [],
    "?title=driveway": [2, 1],
    "?title=e_n": [3],
    "?title=100%25": [2],
    "?title=%25": [2],
    "?state=draft": [4, 3, 1],
    "?state=issued,draft": [4, 3, 2, 1],
    "?state=issued&state=draft": [4, 3, 2, 1],
    "?out_state=issued": [2],
    "?out_state=none": [4, 3, 1],
    "?out_state=issued&out_state=none": [4, 3, 2, 1],
    "?draft=true": [4, 3, 1],
    "?draft=false": [2],
    "?state=accepted": [],
    "?currency=JPY": [4],
    "?issued_from=2026-05-05": [3, 2],
    "?issued_to=2026-05-05": [2, 1],
    "?issued_from=2026-05-05&issued_to=2026-05-05": [2],
    "?valid_until_from=2026-06-05": [3],
    "?valid_until_to=2026-06-03": [1],
    "?created_from=2026-05-06": [4, 3],
    "?created_to=2026-05-05": [2, 1],
    "?price_list=demo_2026": [],
    "?price_list_revision=1": [],
    "?title=driveway&state=draft": [1],
}


@pytest.mark.no_cover  # others run the same lines
def test_list_saved_quotes_finds_what_fits(keeper: Keeper) -> None:
    """Every filter finds what fits it and no more; % and _ are themselves; bounds are inside."""
    assert {query: numbers(keeper, query) for query in FOUND} == FOUND


def test_list_saved_quotes_keeps_what_is_out_in_sight(keeper: Keeper) -> None:
    """With a dearer draft beside it, a price that is out is still found, by its own figures."""
    (quote,) = read(keeper.get("?reference=job-2"))["items"]
    total = quote["out"]["facts"]["total"]
    longer = job("Longer", "job-2", "2026-05-20", "90 ft", "USD")
    assert keeper.revise(quote["id"], longer).status_code == 201
    (found,) = read(keeper.get(f"?out_state=issued&total_from={total}&total_to={total}"))["items"]
    assert (found["state"], found["revision"], found["draft"]) == ("draft", 2, 2)
    assert (found["out"]["revision"], found["out"]["state"]) == (1, "issued")
    assert found["out"]["facts"]["total"] == total != found["facts"]["total"]
    assert numbers(keeper, "?draft=true&title=Longer&out_state=issued") == []
    assert numbers(keeper, "?draft=true&title=Longer") == [2]
    assert read(keeper.get(f"/{quote['id']}"))["out"] == found["out"]
    assert read(keeper.get(f"/{quote['id']}/state"))["out"] == 1


def test_list_saved_quotes_compares_totals_in_each_currency(keeper: Keeper) -> None:
    """A bound counts in units of the currency, cents or none, and is inside."""
    totals = {item["number"]: item["facts"]["total"] for item in read(keeper.get(""))["items"]}
    assert "." not in totals[4]
    for number, total in totals.items():
        assert number in numbers(keeper, f"?total_from={total}")
        assert number in numbers(keeper, f"?total_to={total}")
        assert number not in numbers(keeper, f"?total_from={total.partition('.')[0]}.9999")
    assert numbers(keeper, "?total_from=-1") == [4, 3, 2, 1]
    assert numbers(keeper, "?total_from=999999999999.9999") == []


@pytest.mark.no_cover  # others run the same lines
def test_list_saved_quotes_gives_pages(keeper: Keeper) -> None:
    """Pages hold each quote once, also when one is saved in between, and keep the filters."""
    url, seen, pages = f"{URL}?limit=1&title=driveway&view=summary", [], 0
    while url and pages < 5:
        response = keeper.client.get(url)
        page = read(response)
        seen += [item["number"] for item in page["items"]]
        url, pages = page["next"], pages + 1
        linked = response.headers.get("link", "")
        assert linked == (f'<{url}>; rel="next"' if url else "")
        keeper.save(job("Driveway, later", None, None, "10 ft", "USD"))
    assert (seen, pages) == ([2, 1], 2)


def test_list_saved_quotes_brings_content_in_the_full_view(keeper: Keeper) -> None:
    """`view=full` adds request and answer of the current revision, byte for byte."""
    (item,) = read(keeper.get("?reference=job-1&view=full"))["items"]
    base = f"/{item['id']}/revisions/1"
    assert item["answer"] == read(keeper.get(f"{base}/answer"))
    assert item["quote"] == read(keeper.get(f"{base}/quote"))
    assert "answer" not in read(keeper.get("?reference=job-1"))["items"][0]


@pytest.mark.no_cover  # others run the same lines
def test_list_saved_quotes_has_a_tag_from_its_content(keeper: Keeper) -> None:
    """Nothing new is 304; a new quote is a new tag."""
    tag = keeper.tag("")
    assert keeper.get("", **{"If-None-Match": tag}).status_code == 304
    keeper.save()
    assert keeper.get("", **{"If-None-Match": tag}).status_code == 200


@pytest.mark.parametrize(
    "query",
    [
        "limit=0",
        "cursor=zz",
        "cursor=" + "f" * 16,
        "cursor=01",
        "view=none",
        "state=",
        "state=draft,draft",
        "state=draft&state=draft",
        "out_state=draft",
        "draft=yes",
        "state=sold",
        "currency=usd",
        "price_list=A",
        "price_list_revision=0",
        "price_list_revision=9999999999",
        "issued_from=2026-13-01",
        "issued_from=20260504",
        "total_from=1e3",
        "total_to=1,5",
        "reference=%00",
        "title=",
        "title=a&title=b",
        "colour=red",
    ],
)
def test_parameters_that_cannot_be_read_are_refused(proof: TestClient, query: str) -> None:
    """A parameter that is unknown, repeated or unusable is 422, before any database is opened."""
    for path in (URL, f"{URL}/export"):
        assert_problem(proof.get(f"{path}?{query}"), 422, "parameter-invalid")


def test_export_writes_every_quote_and_an_end(keeper: Keeper) -> None:
    """Lines of JSON are the items of the list, then how many there were."""
    response = keeper.get("/export")
    assert response.headers["content-type"] == "application/x-ndjson"
    *lines, end = [json.loads(line) for line in response.text.splitlines()]
    assert lines == read(keeper.get(""))["items"]
    assert end == {"end": True, "quotes": 4}
    full = [json.loads(line) for line in keeper.get("/export?view=full").text.splitlines()]
    assert full[0]["answer"]["digest"] == full[0]["facts"]["digest"]
    assert keeper.get("/export?state=accepted").text == '{"end":true,"quotes":0}\n'


@pytest.mark.no_cover  # others run the same lines
def test_export_reads_page_by_page(keeper: Keeper, monkeypatch: pytest.MonkeyPatch) -> None:
    """However small its pages, an export is the same."""
    whole = keeper.get("/export").content
    for page in (1, 2, 3, 4):
        monkeypatch.setattr(quote_export, "PAGE", page)
        assert keeper.get("/export").content == whole


def test_export_writes_csv(keeper: Keeper) -> None:
    """A head and a row a quote; decimals with a point, dates as ISO 8601, text as it is."""
    response = keeper.get("/export", Accept="text/csv")
    assert response.headers["content-type"] == "text/csv; charset=utf-8"
    assert response.text == keeper.get("/export?format=csv").text
    rows = list(csv.DictReader(io.StringIO(response.text, newline="")))
    assert [row["number"] for row in rows] == ["4", "3", "2", "1"]
    item = read(keeper.get("?reference=job-2"))["items"][0]
    assert (rows[2]["title"], rows[2]["total"], rows[2]["state"]) == (
        "DRIVEWAY, upper 100% (materials only)",
        item["facts"]["total"],
        "issued",
    )
    assert (rows[2]["valid_until"], rows[0]["valid_until"]) == ("2026-06-04", "")


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("accept", "form"),
    [
        ("*/*", "application/x-ndjson"),
        ("text/*", "text/csv"),
        ("application/x-ndjson;q=0.2, text/csv;q=0.8", "text/csv"),
        ("*/*;q=0.5, application/x-ndjson;q=0", "text/csv"),
        ("application/json", None),
        ("text/html", None),
    ],
)
def test_export_chooses_its_form_by_accept(keeper: Keeper, accept: str, form: str | None) -> None:
    """The form that the caller likes best; 406 where there is none."""
    response = keeper.get("/export", Accept=accept)
    if form is None:
        assert_problem(response, 406, "not-acceptable")
    else:
        assert response.headers["content-type"].startswith(form)


def test_export_has_no_pages(proof: TestClient) -> None:
    """Parameters of pages, and a full view in CSV, are refused and not passed over."""
    for query in ("limit=5", "cursor=" + "0" * 16, "format=xml", "format=csv&view=full"):
        assert_problem(proof.get(f"{URL}/export?{query}"), 422, "parameter-invalid")


@pytest.mark.parametrize("lead", [*LEAD_INS, "'", " "])
def test_as_text_disarms_formulas(lead: str) -> None:
    """What a spreadsheet would take for a formula gets an apostrophe; other text is unchanged."""
    text = f"{lead}SUM(A1)"
    assert as_text(text) == (text if lead in "' " else f"'{text}")
    assert as_text(None) == ""


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("lead", ["=", "+", "-", "@", "＝", "＋", "－", "＠"])
def test_export_disarms_formulas_in_text(
    proof_catalog: Catalog, tmp_path: Path, clock: Clock, lead: str
) -> None:
    """Title and reference stay text in the file; a spreadsheet calculates none of them."""
    with opened(f"sqlite:///{tmp_path / 'store.sqlite'}", clock) as store:
        store.migrate()
        keeper = Keeper(proof_catalog, store)
        keeper.save(small_request(title=f"{lead}1+1", reference=f"{lead}cmd"))
        text = keeper.get("/export?format=csv").text
    (row,) = csv.DictReader(io.StringIO(text, newline=""))
    assert row["title"].startswith(f"'{lead}1+1")
    assert row["reference"] == f"'{lead}cmd"
