"""`/v1/events`: what a poller sees."""

from __future__ import annotations

import pytest
from httpx2 import Response
from jsonschema import Draft202012Validator

from service.catalog import Catalog
from service.operations.callers.caller import COMMAND_LINE, LOOPBACK, Caller, KeyScope
from service.operations.callers.event_list import EVENT_TYPES, heard_types, scopes_for
from service.storage import Store
from service.storage.events import NewEvent, record_all
from tests.given.problem_checks import assert_problem
from tests.given.saved_quotes import URL, Keeper
from tests.given.stores import Clock
from tests.given.storing_calls import STORING, Office, new_key

PATH = "/v1/events"
QUOTE = {"quote.saved", "quote.changed", "quote.state_changed", "quote.viewed"}
PRICES = {
    "price_list.revision_published",
    "mapping.changed",
    "repricing.finished",
    "repricing.under_margin",
}


def events(keeper: Keeper, address: str = PATH) -> Response:
    """A page."""
    response = keeper.client.get(address)
    assert response.status_code == 200, response.text
    return response


def test_events_are_read_on_without_an_end(keeper: Keeper) -> None:
    """Pages of one, each once and in order; `next` is never null, and where nothing is left it
    leads to what comes later."""
    first = events(keeper).json()
    assert first == {"items": [], "next": f"{PATH}?after=0"}
    saved = [keeper.save()["id"] for _ in range(3)]
    address, seen = f"{first['next']}&limit=1", []
    for number in (1, 2, 3):
        response = events(keeper, address)
        (item,) = response.json()["items"]
        address = response.json()["next"]
        assert address == f"{PATH}?after={number}&limit=1"
        assert response.headers["link"] == f'<{address}>; rel="next"'
        seen.append((item["id"], item["data"]["quote"]))
    assert seen == [("1", saved[0]), ("2", saved[1]), ("3", saved[2])]
    assert events(keeper, address).json() == {"items": [], "next": address}
    keeper.moved(saved[0], "issued")
    (item,) = events(keeper, address).json()["items"]
    assert item == {
        "id": "4",
        "type": "quote.state_changed",
        "timestamp": "2026-05-04T00:00:00Z",
        "by": "loopback",
        "data": {
            "quote": saved[0],
            "revision": 1,
            "state": "issued",
            "before": "draft",
            "links": {
                "quote": f"{URL}/{saved[0]}",
                "revision": f"{URL}/{saved[0]}/revisions/1",
            },
        },
    }


def test_events_are_told_by_type(keeper: Keeper) -> None:
    """Types can be named, one or several; `next` goes past what was left out."""
    saved = keeper.save()["id"]
    keeper.moved(saved, "issued", "accepted")
    keeper.save()
    page = events(keeper, f"{PATH}?type=quote.state_changed&limit=5").json()
    assert [item["id"] for item in page["items"]] == ["2", "3"]
    assert page["next"] == f"{PATH}?after=4&type=quote.state_changed&limit=5"
    both = events(keeper, f"{PATH}?type=quote.saved&type=quote.state_changed").json()
    assert [item["id"] for item in both["items"]] == ["1", "2", "3", "4"]
    assert both["next"] == f"{PATH}?after=4&type=quote.saved&type=quote.state_changed"
    assert events(keeper, f"{PATH}?type=key.made").json()["items"] == []
    problem = assert_problem(keeper.client.get(f"{PATH}?type=quote.sold"), 422, "parameter-invalid")
    assert "quote.saved" in problem["errors"][0]["message"]


def test_a_poller_with_nothing_new_is_told_so_briefly(keeper: Keeper) -> None:
    """304 for the ETag of a page, until there is more."""
    keeper.save()
    page = events(keeper)
    has = {"If-None-Match": page.headers["etag"]}
    assert keeper.client.get(PATH, headers=has).status_code == 304
    keeper.save()
    assert keeper.client.get(PATH, headers=has).status_code == 200


@pytest.mark.parametrize("after", ["-1", "x", "01", "", "1234567890123456789", "1.0"])
def test_what_is_no_id_of_an_event_is_refused(keeper: Keeper, after: str) -> None:
    """An id of an event is a whole number as it was given."""
    assert_problem(keeper.client.get(f"{PATH}?after={after}"), 422, "parameter-invalid")


def test_a_poller_is_told_of_a_gap(keeper: Keeper, clock: Clock) -> None:
    """Who asks for what comes after an event, and some of that was dropped or the event never was,
    is told so, with what is kept; without `after` it begins with that."""
    for _ in range(3):
        keeper.save()
    clock.seconds += 400 * 86_400 + 1
    keeper.save()
    for after in ("0", "1", "2", "5"):
        problem = assert_problem(keeper.client.get(f"{PATH}?after={after}"), 410, "events-gone")
        assert (
            f"after event {after} can't be told without a gap. Kept are 4 to 4."
            in (problem["detail"])
        )
    assert [item["id"] for item in events(keeper, f"{PATH}?after=3").json()["items"]] == ["4"]
    assert [item["id"] for item in events(keeper).json()["items"]] == ["4"]


def test_a_page_is_as_the_document_says(keeper: Keeper, document: dict[str, object]) -> None:
    """One event of every type fits its schema."""
    with keeper.client.app.state.store_shelf.get().write() as connection:  # type: ignore[attr-defined]
        told = [NewEvent(type=type_, subject=None, data={"links": {}}) for type_ in EVENT_TYPES]
        record_all(connection, told, 0)
    schema = {**document, "$ref": "#/components/schemas/EventPage"}
    page = events(keeper).json()
    Draft202012Validator(schema).validate(page)
    assert len(page["items"]) == len(EVENT_TYPES)


@pytest.mark.parametrize(
    ("scopes", "heard"),
    [
        ({"field"}, QUOTE),
        ({"quotes"}, QUOTE | {"lead.received", "link.made", "link.ended"}),
        ({"prices"}, PRICES),
        ({"field", "prices"}, QUOTE | PRICES),
        ({"admin"}, set(EVENT_TYPES)),
        ({"website"}, set()),
    ],
)
def test_callers_hear_what_their_scopes_are_about(scopes: set[KeyScope], heard: set[str]) -> None:
    """By hand: who sees no money hears of quotes, who keeps prices of prices, `admin` of all."""
    assert set(heard_types(Caller(by="k", scopes=frozenset(scopes)))) == heard


def test_a_key_reads_what_its_scopes_are_about(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """What a key may not hear of is left out, and refused where it is asked for by name; `next`
    goes past it."""
    office = Office.over(store, spring, summer)
    for id_ in ("save_quote", "publish_price_list"):
        STORING[id_][0](office).send(office.client)
    _, field = new_key(office, "field")
    _, prices = new_key(office, "prices")
    for head, heard in ((field, "quote.saved"), (prices, "price_list.revision_published")):
        page = office.client.get(f"{PATH}?limit=50", headers=head).json()
        assert [item["type"] for item in page["items"]] == [heard]
        assert page["next"] == f"{PATH}?after=4&limit=50"
    refused = office.client.get(f"{PATH}?type=quote.saved&type=mapping.changed", headers=field)
    problem = assert_problem(refused, 403, "scope-missing")
    assert problem["detail"] == (
        "Events of the type mapping.changed take a key with the scope prices or admin."
    )
    assert_problem(office.client.get(PATH), 401, "key-invalid")


def test_who_sits_at_the_machine_hears_everything() -> None:
    """Without keys nothing is left out; each type is heard by somebody beside `admin`, or by no
    other."""
    assert heard_types(LOOPBACK) == heard_types(COMMAND_LINE) == EVENT_TYPES
    assert scopes_for("quote.saved") == ("field", "admin")
    assert scopes_for("customer.erased") == ("admin",)
