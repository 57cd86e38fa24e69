"""Visit sheets over HTTP: of a request and of a saved quote, what is worth most is asked first."""

from __future__ import annotations

import json
import re

import pytest
from starlette.testclient import TestClient

from tests.given.papers import EXAMPLES
from tests.given.quote_requests import Json, level_wall, shipped_request
from tests.given.saved_quotes import Keeper

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

FORM = {"accept": "text/html"}


def bank() -> Json:
    """The wall of the example, as somebody sends it who doesn't ask for money."""
    text = (EXAMPLES / "what_is_assumed.request.json").read_text(encoding="utf-8")
    return {key: value for key, value in json.loads(text).items() if key != "what_if"}


def first_question(page: str) -> str:
    """The first of what is to be settled."""
    return re.sub("<[^>]+>", " ", page.partition("Settle first")[2].partition("</li>")[0])


def test_a_visit_sheet_asks_the_dearest_assumption_first(client: TestClient) -> None:
    """A bank 1 ft higher changes that quote most, though the request doesn't ask what it is
    worth; no money stands on the sheet."""
    sheet = client.post("/v1/documents/visit_sheet", json={"quote": bank()}, headers=FORM)
    assert sheet.status_code == 200, sheet.text
    assert "the ground behind is taken to meet the top" in first_question(sheet.text)
    assert "1410" not in sheet.text


def test_a_visit_sheet_of_a_saved_quote_asks_the_dearest_first(keeper: Keeper) -> None:
    """Nothing of it is kept: it is worked out when the sheet is made."""
    kept = keeper.save(bank())
    sheet = keeper.get(f"/{kept['id']}/revisions/1/documents/visit_sheet", **FORM)
    assert sheet.status_code == 200, sheet.text
    assert "the ground behind is taken to meet the top" in first_question(sheet.text)


def test_a_visit_sheet_of_many_walls_is_made_without_their_worth(client: TestClient) -> None:
    """Where that is more than one request may take, assumptions stand as the quote lists them;
    what is wrong with a request is told as ever."""
    many = shipped_request(*[level_wall("20 ft", "2 ft")] * 40)
    sheet = client.post("/v1/documents/visit_sheet", json={"quote": many}, headers=FORM)
    assert sheet.status_code == 200, sheet.text
    assert "the ground in front is taken to be level" in first_question(sheet.text)
    wrong = client.post("/v1/documents/visit_sheet", json={"quote": {**many, "section": "x"}})
    assert [error["pointer"] for error in wrong.json()["errors"]] == ["/quote/section"]
