"""Days of saved quotes: of issue, of acceptance, and what happens when a price has run out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from httpx2 import Response

from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import TERMS, read
from tests.given.saved_quotes import URL, Keeper, small_request
from tests.given.stores import Clock

DAY_S = 24 * 60 * 60
JUNE_4 = 1_780_531_200  # 2026-06-04T00:00:00Z


def holding(days: int = 30, **more: object) -> dict[str, Any]:
    """A request whose price holds for some days."""
    return small_request(**more) | {"terms": {**TERMS, "valid_days": days}}


def test_issuing_needs_a_day(keeper: Keeper) -> None:
    """Without `issued_on` in the request the move says the day; with neither it is 422 at `on`."""
    quote_id = keeper.save(holding())["id"]
    problem = assert_problem(keeper.say(quote_id, {"state": "issued"}), 422, "field-missing")
    assert problem["errors"][0]["pointer"] == "/on"
    assert keeper.state(quote_id) == "draft"
    moved = keeper.say(quote_id, {"state": "issued", "on": "2026-05-04", "note": "By mail."})
    history = read(moved)["history"][-1]
    assert (history["on"], history["note"]) == ("2026-05-04", "By mail.")
    facts = read(keeper.get(f"/{quote_id}"))["out"]["facts"]
    assert (facts["issued_on"], facts["valid_until"]) == ("2026-05-04", "2026-06-03")


def test_issuing_takes_the_day_of_the_request(keeper: Keeper) -> None:
    """Left out, `on` is the request's `issued_on`; and the answer is not touched."""
    quote_id = keeper.save(holding(issued_on="2026-05-04"))["id"]
    before = keeper.get(f"/{quote_id}/revisions/1/answer").content
    assert read(keeper.say(quote_id, {"state": "issued"}))["history"][-1]["on"] == "2026-05-04"
    assert keeper.get(f"/{quote_id}/revisions/1/answer").content == before


def test_a_paper_that_has_run_out_is_not_issued(keeper: Keeper) -> None:
    """Its answer says that it holds until June 3rd: on June 4th it takes a new revision."""
    quote_id = keeper.save(holding(issued_on="2026-05-04"))["id"]
    late = keeper.say(quote_id, {"state": "issued", "on": "2026-06-04"})
    assert_problem(late, 409, "quote-expired")
    assert keeper.say(quote_id, {"state": "issued", "on": "2026-06-03"}).status_code == 200


@pytest.mark.parametrize(
    ("said", "today", "accepted"),
    [
        ({}, JUNE_4 - 1, True),
        ({}, JUNE_4, False),
        ({"on": "2026-06-03"}, JUNE_4 + DAY_S, True),
        ({"on": "2026-06-04"}, JUNE_4 - DAY_S, False),
        ({"after_expiry": True}, JUNE_4 + DAY_S, True),
    ],
)
def test_accepting_after_the_time_needs_a_word(
    keeper: Keeper, clock: Clock, said: dict[str, Any], today: int, *, accepted: bool
) -> None:
    """May 4th and 30 days: the price holds through June 3rd. Later it is 409, unless the caller
    says so, which is kept."""
    clock.seconds = JUNE_4 - 31 * DAY_S
    quote_id = keeper.save(holding(issued_on="2026-05-04"))["id"]
    keeper.say(quote_id, {"state": "issued"})
    clock.seconds = today
    response = keeper.say(quote_id, {"state": "accepted", **said})
    if not accepted:
        assert "2026-06-03" in assert_problem(response, 409, "quote-expired")["detail"]
        assert keeper.state(quote_id) == "issued"
        return
    history = read(response)["history"][-1]
    assert history.get("after_expiry") == said.get("after_expiry")
    assert history.get("on") == said.get("on")


def test_after_expiry_goes_with_accepting(keeper: Keeper) -> None:
    """Said of any other move it is refused."""
    quote_id = keeper.save()["id"]
    response = keeper.say(quote_id, {"state": "withdrawn", "after_expiry": True})
    assert_problem(response, 422, "after-expiry-misplaced")


def test_declining_keeps_the_reason(keeper: Keeper) -> None:
    """Why a customer said no is kept with the move."""
    quote_id = keeper.save()["id"]
    keeper.moved(quote_id, "issued")
    moved = keeper.say(quote_id, {"state": "declined", "reason": "price", "note": "Too dear."})
    history = read(moved)["history"][-1]
    assert (history["reason"], history["note"]) == ("price", "Too dear.")


def test_one_tag_stands_for_everything_of_a_quote(keeper: Keeper) -> None:
    """Quote, state, customer, newest revision and every write give one tag; what is changed
    anywhere makes it another, and a numbered revision keeps that of its content."""
    quote_id = keeper.save(small_request(), customer={"name": "A"})["id"]
    content = keeper.tag(f"/{quote_id}/revisions/1")
    places = ("", "/state", "/customer", "/revisions/latest")
    seen = set()
    changes: tuple[Callable[[dict[str, str]], Response], ...] = (
        lambda head: keeper.client.put(
            f"{URL}/{quote_id}/customer", json={"name": "B"}, headers=head
        ),
        lambda head: keeper.client.post(
            f"{URL}/{quote_id}/revisions", json={"quote": small_request()}, headers=head
        ),
        lambda head: keeper.say(quote_id, {"state": "issued", "on": "2026-05-04"}, **head),
        lambda head: keeper.say(quote_id, {"state": "accepted", "on": "2026-05-04"}, **head),
    )
    for change in changes:
        tags = {keeper.tag(f"/{quote_id}{below}") for below in places}
        assert len(tags) == 1
        head = {"If-Match": tags.pop()}
        seen.add(head["If-Match"])
        response = change(head)
        assert response.status_code < 300, response.text
        assert response.headers["etag"] == keeper.tag(f"/{quote_id}")
        stale = change(head)
        problem = assert_problem(stale, 412, "precondition-failed")
        assert f"GET {URL}/{quote_id} " in problem["detail"]
        assert stale.headers["etag"] == keeper.tag(f"/{quote_id}")
    assert len(seen) == 4
    assert keeper.tag(f"/{quote_id}/revisions/1") == content
    answer = keeper.get(f"/{quote_id}/revisions/latest/answer")
    assert answer.headers["etag"] == keeper.tag(f"/{quote_id}/revisions/2/answer")


def test_if_match_with_a_star_is_refused_in_its_own_words(keeper: Keeper) -> None:
    """`*` would write over whatever stands there: 428 says so, and where the tag is."""
    quote_id = keeper.save()["id"]
    response = keeper.say(quote_id, {"state": "withdrawn"}, tag="*")
    problem = assert_problem(response, 428, "precondition-required")
    assert "If-Match: * names no state" in problem["detail"]
    assert f"GET {URL}/{quote_id} " in problem["errors"][0]["hint"]
    assert keeper.state(quote_id) == "draft"
