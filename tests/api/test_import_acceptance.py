"""What an import does only where somebody says so, and what it lists beforehand."""

import json
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from service.api.app import create_app
from service.catalog import Catalog
from service.settings import Settings
from service.storage import Store
from tests.given.price_files import csv_file, workbook
from tests.given.price_requests import LATEST, NEAR, publish
from tests.given.problem_checks import assert_problem
from tests.given.served import BASE_URL, client_over

IMPORTS = "/v1/price-lists/yard/imports"
CSV, BYTES = "text/csv", "application/octet-stream"
HEAD = "item,unit_cost,per"
DAY = {"effective_from": "2026-06-01"}
REMOVE = {"mapping": json.dumps({"absent_items": "remove"})}


@pytest.fixture
def near(store: Store, proof_catalog: Catalog) -> Iterator[TestClient]:
    """A client of an application over a database with one price list."""
    with client_over(proof_catalog, store) as client:
        publish(client, NEAR)
        yield client


def send(client: TestClient, data: bytes, kind: str = CSV, **query: str) -> Response:
    """Send a file on the latest revision."""
    headers = {"Content-Type": kind, "If-Match": client.get(LATEST).headers["etag"]}
    return client.post(IMPORTS, content=data, params={**DAY, **query}, headers=headers)


def written(client: TestClient, data: bytes, **query: str) -> Response:
    """Write what a preview of the same file shows."""
    preview = send(client, data, **query).json()
    return send(client, data, mode="write", preview=preview["preview"], **query)


def to_accept(preview: dict[str, Any]) -> list[tuple[str, str, str | None]]:
    """What a preview asks to be accepted, by word, item and cell."""
    return [(each["by"], each["item"], each["cell"]) for each in preview["to_accept"]]


# A block costs 6.85: a quarter of it is 1.7125.
@pytest.mark.parametrize(
    ("cost", "needed"),
    [
        ("6.85", False),
        ("8.5625", False),
        ("8.562501", True),
        ("5.1375", False),
        ("5.137499", True),
        ("0", True),
    ],
)
def test_preview_asks_for_a_word_on_large_changes(
    near: TestClient, cost: str, needed: bool
) -> None:
    """A change of more than a quarter, up or down, or to 0 is listed with its cell and needs
    accept_changes; one of just a quarter does not."""
    preview = send(near, csv_file(HEAD, f"block,{cost},each")).json()
    assert preview["importable"] is True
    assert preview["needs"] == ["accept_changes"] * needed
    assert to_accept(preview) == [("accept_changes", "block", "line 2, column B")] * needed


def test_preview_measures_changes_in_one_unit(near: TestClient) -> None:
    """Stone at 33.00 a yd3 for 1.60 a ft3 is 43.20 a yd3, 30.9 % more."""
    preview = send(near, csv_file(HEAD, "gravel,1.60,ft3")).json()
    assert [each["message"] for each in preview["to_accept"]] == [
        "gravel: 33.00 per yd3 becomes 43.20 per yd3, +30.9 %"
    ]


def test_preview_asks_for_a_word_on_what_costs_nothing(near: TestClient) -> None:
    """A new item that costs 0 needs a word, and so does one that cost 0 before."""
    data = csv_file(HEAD, "terrace_8in,0,each", "garden_6in,4.95,each")
    preview = send(near, data).json()
    assert to_accept(preview) == [("accept_changes", "terrace_8in", "line 2, column B")]
    assert written(near, data, accept_changes="true").status_code == 201
    preview = send(near, csv_file(HEAD, "terrace_8in,8.40,each")).json()
    assert to_accept(preview) == [("accept_changes", "terrace_8in", "line 2, column B")]


def test_write_needs_large_changes_accepted(near: TestClient) -> None:
    """Without the word nothing is written and each change is told by its cell; with it all is."""
    data = csv_file(HEAD, "block,7.00,each", "gravel,0,yd3")
    problem = assert_problem(written(near, data), 422, "changes-not-accepted")
    assert [entry["pointer"] for entry in problem["errors"]] == ["/line 3, column B"]
    assert near.get(LATEST).json()["revision"] == 1
    assert send(near, data, accept_changes="true").json()["needs"] == []
    assert written(near, data, accept_changes="true").status_code == 201
    assert near.get(LATEST).json()["items"]["gravel"]["unit_cost"] == "0.00"


def test_write_needs_removals_accepted(near: TestClient) -> None:
    """What would be removed is listed and needs a word of its own: one for changes is none."""
    data = csv_file(f"{HEAD},supplier", "block,7.10,each,Plant")
    preview = send(near, data, **REMOVE).json()
    assert [item["item"] for item in preview["removed"]] == ["a_cap"]
    assert to_accept(preview) == [("accept_removals", "a_cap", None)]
    problem = assert_problem(
        written(near, data, accept_changes="true", **REMOVE), 422, "removals-not-accepted"
    )
    assert problem["errors"][0]["pointer"] == "/item a_cap"
    assert written(near, data, accept_removals="true", **REMOVE).status_code == 201
    assert sorted(near.get(LATEST).json()["items"]) == ["block", "gravel", "pad_stone"]


def test_preview_names_every_word_that_is_needed(near: TestClient) -> None:
    """Both words are asked for, in one order; a word that was given is not."""
    data = csv_file(f"{HEAD},supplier", "block,71.00,each,Plant")
    assert send(near, data, **REMOVE).json()["needs"] == ["accept_changes", "accept_removals"]
    preview = send(near, data, accept_changes="true", **REMOVE).json()
    assert (preview["needs"], preview["to_accept_total"]) == (["accept_removals"], 2)


def test_largest_change_is_a_setting(store: Store, proof_catalog: Catalog) -> None:
    """With a share of 5 % a change from 6.85 to 7.20 (5.1 %) needs a word, to 7.19 (5.0 %) none:
    6.85 x 1.05 = 7.1925."""
    settings = Settings.model_construct(largest_price_change=Decimal("0.05"))
    app = create_app(settings, proof_catalog, store)
    with TestClient(app, base_url=BASE_URL) as client:
        publish(client, NEAR)
        for cost, needs in (("7.20", ["accept_changes"]), ("7.19", [])):
            assert send(client, csv_file(HEAD, f"block,{cost},each")).json()["needs"] == needs


def test_a_cost_of_nothing_needs_a_word_whatever_the_setting(
    store: Store, proof_catalog: Catalog
) -> None:
    """Where costs may triple without a word, one of 0 still needs it."""
    settings = Settings.model_construct(largest_price_change=Decimal(2))
    with TestClient(create_app(settings, proof_catalog, store), base_url=BASE_URL) as client:
        publish(client, NEAR)
        preview = send(client, csv_file(HEAD, "block,20.55,each", "gravel,0,yd3")).json()
        assert to_accept(preview) == [("accept_changes", "gravel", "line 3, column B")]


def test_largest_change_is_read_from_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    """SERVICE_LARGEST_PRICE_CHANGE is a share; left out it is a quarter."""
    assert Settings().largest_price_change == Decimal("0.25")
    monkeypatch.setenv("SERVICE_LARGEST_PRICE_CHANGE", "0.1")
    assert Settings().largest_price_change == Decimal("0.1")


@pytest.mark.parametrize("line", ["block,7.10,each,Plant", "block,7.10,each,"])
def test_preview_lists_what_the_file_leaves_out(near: TestClient, line: str) -> None:
    """Items of the file's suppliers that it lacks are listed, though they stay; a row without a
    supplier is of the one that the list has for its item."""
    preview = send(near, csv_file(f"{HEAD},supplier", line)).json()
    assert preview["not_in_file"] == [{"item": "a_cap", "unit_cost": "5.125", "per": "each"}]
    assert (preview["not_in_file_total"], preview["removed_total"]) == (1, 0)


@pytest.mark.parametrize(
    ("lines", "more", "expected"),
    [
        ((HEAD, "block,7.10,each"), {}, ("heading-missing", "line 1, column A")),
        (
            (f"{HEAD},supplier", "block,7.10,each,Plant", "a_cap,5,each,"),
            {},
            ("supplier-missing", "line 3, column D"),
        ),
        (
            (f"{HEAD},supplier", "block,7.10,each,Plant", "blok,5,each,Plant"),
            {"unknown_items": "skip"},
            ("removal-unsure", "line 3, column A"),
        ),
        (
            (f"{HEAD},supplier", "block,7.10,each,Plant", ",12.10,,"),
            {"without_item": "skip"},
            ("removal-unsure", "line 3, column A"),
        ),
    ],
)
def test_remove_needs_to_know_what_is_left_out(
    near: TestClient, lines: tuple[str, ...], more: dict[str, str], expected: tuple[str, str]
) -> None:
    """Without a supplier, or beside a row that is passed over, remove is a fault."""
    mapping = json.dumps({"absent_items": "remove", **more})
    preview = send(near, csv_file(*lines), mapping=mapping).json()
    assert [(fault["code"], fault["cell"]) for fault in preview["faults"]] == [expected]
    assert preview["importable"] is False


def test_preview_with_faults_cannot_be_missed(near: TestClient) -> None:
    """The first field of a preview says whether it can be written; with faults nothing is there
    that a write could name."""
    preview = send(near, csv_file(HEAD, "block,x,each")).json()
    assert list(preview)[:4] == ["importable", "needs", "faults_total", "to_accept_total"]
    assert (preview["importable"], preview["faults_total"], preview["preview"]) == (False, 1, None)


@pytest.mark.parametrize("day", ["1899-12-31", "2200-01-01", "20260601", "2026-W23-1"])
def test_imports_take_the_dates_that_publishing_takes(near: TestClient, day: str) -> None:
    """A day is written year-month-day, from 1900 to 2199, in a file's import as in a body."""
    data = csv_file(HEAD, "block,7.10,each")
    headers = {"Content-Type": CSV}
    sent = near.post(IMPORTS, content=data, params={"effective_from": day}, headers=headers)
    assert_problem(sent, 422, "parameter-invalid")
    assert_problem(publish(near, {**NEAR, "effective_from": day}), 422, "date-invalid")


def test_imports_take_plain_bytes_with_their_format(near: TestClient) -> None:
    """A file of no type of its own is what `format` says."""
    data = csv_file(HEAD, "block,7.10,each")
    book = workbook(HEAD.split(","), ["block", 7.1, "each"])
    for content, name in ((data, "csv"), (book, "xlsx")):
        preview = send(near, content, kind=BYTES, format=name).json()
        assert [each["new"]["unit_cost"] for each in preview["changed"]] == ["7.10"]
    assert send(near, data, format="csv").status_code == 200


@pytest.mark.parametrize(
    ("kind", "query"),
    [
        (BYTES, {}),
        (BYTES, {"format": "ods"}),
        (CSV, {"format": "xlsx"}),
        (CSV, {"accept_changes": "yes"}),
        (CSV, {"accept_removals": ""}),
    ],
)
def test_imports_refuse_words_they_do_not_know(
    near: TestClient, kind: str, query: dict[str, str]
) -> None:
    """Bytes need a format, a format fits the media type, an acceptance is true or false."""
    data = csv_file(HEAD, "block,7.10,each")
    assert_problem(send(near, data, kind=kind, **query), 422, "parameter-invalid")
