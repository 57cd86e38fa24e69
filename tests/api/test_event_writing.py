"""Each call that stores tells of what it changed, once, in the transaction of the change."""

import json
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path

import pytest
from httpx2 import Response
from sqlalchemy import select

from service.api.app import OPERATIONS
from service.catalog import Catalog
from service.storage import Connection, StorageFullError, Store
from service.storage.tables import METADATA
from tests.given.counts import count_of
from tests.given.problem_checks import assert_problem
from tests.given.repricings import run as repriced
from tests.given.repricings import save_many, start
from tests.given.saved_quotes import URL, small_request
from tests.given.storing_calls import (
    ANSWERED_BY_PAGES,
    CUSTOMER,
    OF_KEYS,
    STATELESS,
    STORING,
    UNKEYED,
    Office,
)

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

DONE = {200, 201, 202, 204}
TWINS = count_of("TWINS", 5)


@pytest.fixture
def office(store: Store, spring: Catalog, summer: Catalog, tmp_path: Path) -> Office:
    """A service that nothing was asked of so far, on each database in turn."""
    return Office.over(store, spring, summer, tmp_path / "secrets.key")


def test_every_operation_that_stores_is_tried() -> None:
    """What isn't read is in one of the tables, so that a new one can't be forgotten."""
    known = {*STORING, *STATELESS, *ANSWERED_BY_PAGES}
    assert {each.id for each in OPERATIONS if each.method != "GET"} == known


@pytest.mark.parametrize("id_", STORING)
def test_a_call_that_stores_writes_its_events(office: Office, id_: str) -> None:
    """A call is told as the table says, by who called, at the moment of the store's clock; the
    numbers go on by one."""
    prepare, types = STORING[id_]
    ask = prepare(office)
    before = office.last()
    assert ask.send(office.client).status_code in DONE
    told = office.told(before)
    assert tuple(event.type for event in told) == types
    assert [event.id for event in told] == list(range(before + 1, before + 1 + len(types)))
    assert [(event.by, event.recorded_at) for event in told] == [
        (ask.by, office.store.now()) for _ in types
    ]


@pytest.mark.parametrize("id_", STORING)
def test_a_commit_that_fails_writes_no_event(
    office: Office, monkeypatch: pytest.MonkeyPatch, id_: str
) -> None:
    """Where the disk is full at the commit, the call is a 507 and nothing is told; done again
    later it is told once."""
    prepare, types = STORING[id_]
    ask = prepare(office)
    before, written = office.last(), Store.write

    @contextmanager
    def write(self: Store) -> Iterator[Connection]:
        with written(self) as connection:
            yield connection
            raise StorageFullError("no room")

    with monkeypatch.context() as patched:
        patched.setattr(Store, "write", write)
        assert_problem(ask.send(office.client), 507, "storage-full")
    assert office.told(before) == ()
    assert ask.send(office.client).status_code in DONE
    assert tuple(event.type for event in office.told(before)) == types


@pytest.mark.parametrize("id_", [id_ for id_, (_, types) in STORING.items() if types])
def test_twins_are_told_once(office: Office, id_: str) -> None:
    """Of many calls at once with one key, one is done: one outcome, and its events once."""
    prepare, types = STORING[id_]
    ask, answers = prepare(office), list[Response]()
    before = office.last()
    key = {} if id_ in UNKEYED else {"Idempotency_Key": "twin"}

    def call() -> None:
        answers.append(ask.send(office.client, **key))

    # Reloads wait for each other in the loop that a service has when it runs.
    with office.client if id_ == "reload_catalog" else nullcontext():
        together(call)
    # What is ended and gone is not there for who comes second.
    late = {404, 409, 503} if id_ == "end_webhook" else {409, 503}
    done = [answer for answer in answers if answer.status_code not in late]
    assert len(answers) == TWINS
    assert done
    assert {answer.status_code for answer in done} <= DONE
    assert len({without_secret(answer) for answer in done}) == 1
    assert tuple(event.type for event in office.told(before)) == types
    again = ask.send(office.client, **key)
    assert again.status_code in late or without_secret(again) == without_secret(done[0])
    assert len(office.told(before)) == len(types)


def without_secret(answer: Response) -> str:
    """An answer, without what is shown in the first one alone."""
    if not answer.content:
        return ""
    shown = {"key", "url", "secret", "secret_shown"}
    return json.dumps({name: each for name, each in answer.json().items() if name not in shown})


def together(call: Callable[[], None]) -> None:
    """Make a call many times at once."""
    threads = [threading.Thread(target=call) for _ in range(TWINS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


SAID_AGAIN = (
    "put_quote_customer",
    "put_quote_metadata",
    "put_quote_notes",
    "put_quote_actuals",
    "erase_quote_customer",
    "publish_price_list",
    "save_column_mapping",
    "import_price_file",
    "cancel_repricing",
    "reload_catalog",
    "end_api_key",
    "end_link",
)


@pytest.mark.parametrize("id_", SAID_AGAIN)
def test_what_says_nothing_new_is_no_event(office: Office, id_: str) -> None:
    """The same said once more, on what stands by now, changes nothing: the ETag stays, and
    nothing is told."""
    ask = STORING[id_][0](office)
    first = ask.send(office.client)
    before, tag = office.last(), first.headers.get("etag")
    again = (ask if tag is None else ask.seeing(tag)).send(office.client)
    assert again.status_code in {200, 204}, again.text
    assert again.headers.get("etag") == tag
    assert office.told(before) == ()


def test_events_say_what_changed_and_where_it_stands(office: Office) -> None:
    """An event has ids, revision, state and addresses that can be read."""
    quote_id = office.keeper.save()["id"]
    office.keeper.moved(quote_id, "issued")
    assert office.keeper.revise(quote_id, small_request(title="Again")).status_code == 201
    office.keeper.moved(quote_id, "accepted")
    assert [json.loads(event.data) for event in office.told()] == [
        data(quote_id, 1, "draft"),
        data(quote_id, 1, "issued", before="draft"),
        data(quote_id, 2, "draft", changed="revision"),
        data(quote_id, 1, "accepted", before="issued"),
    ]
    for link in data(quote_id, 2, "draft")["links"].values():  # type: ignore[attr-defined]
        assert office.client.get(link).status_code == 200


def data(quote_id: str, revision: int, state: str, **more: object) -> dict[str, object]:
    """What is told of a quote."""
    place = f"{URL}/{quote_id}"
    links = {"quote": place, "revision": f"{place}/revisions/{revision}"}
    return {"quote": quote_id, "revision": revision, "state": state, "links": links, **more}


def test_events_tell_no_name_and_no_sum(office: Office) -> None:
    """All calls made, no event has the customer, a note, a reference, or an amount of money."""
    for id_ in [id_ for id_ in STORING if id_ not in OF_KEYS]:
        assert STORING[id_][0](office).send(office.client).status_code < 300
    text = "\n".join(event.data for event in office.told())
    secrets = (*CUSTOMER.values(), "Call first", "CRM-4711", "job-1", "Plant", "7.10")
    assert [secret for secret in secrets if secret in text] == []
    assert "." not in text


def test_no_customer_is_left_in_a_dump(office: Office) -> None:
    """All calls made under keys, and customers and leads erased: no row of any table has one, the
    events and what is kept for repeated calls included."""
    for id_ in [id_ for id_ in STORING if id_ not in OF_KEYS]:
        answer = STORING[id_][0](office).send(office.client, Idempotency_Key=id_)
        assert answer.status_code < 300
    assert CUSTOMER["name"] in dumped(office.store)
    for item in office.keeper.get("").json()["items"]:
        office.client.delete(f"{URL}/{item['id']}/customer")
    for item in office.client.get("/v1/leads").json()["items"]:
        office.client.delete(f"/v1/leads/{item['id']}")
    left = dumped(office.store)
    assert "quote.saved" in left
    assert [marker for marker in CUSTOMER.values() if marker.casefold() in left.casefold()] == []


def dumped(store: Store) -> str:
    """Every row of every table, unpacked."""
    with store.read() as connection:
        return "\n".join(
            str(row)
            for table in METADATA.sorted_tables
            for row in connection.execute(select(table))
        )


def test_a_repricing_is_told_in_the_name_of_who_started_it(
    store: Store, spring: Catalog, summer: Catalog
) -> None:
    """A run that somebody started and that the service does is told by who started it; its drafts
    are no events of their own, even where they are many."""
    save_many(store, spring, 201)
    office = Office.over(store, spring, summer)
    preview = repriced(store.acting_as("k_prices"), summer)
    before = office.last()
    run = start(store.acting_as("k_writer"), summer, mode="write", preview=preview.id)
    with office.client as client:  # the service starts, and goes on with what was left
        for _ in range(600):
            if client.get(f"/v1/repricings/{run.asked.id}").json()["status"] == "succeeded":
                break
            threading.Event().wait(0.05)
    (told,) = office.told(before)
    assert (told.type, told.by, told.subject) == ("repricing.finished", "k_writer", run.asked.id)
    assert json.loads(told.data) == {
        "repricing": run.asked.id,
        "mode": "write",
        "state": "succeeded",
        "price_list": "yard",
        "revision": 2,
        "links": {
            "repricing": f"/v1/repricings/{run.asked.id}",
            "items": f"/v1/repricings/{run.asked.id}/items",
        },
    }


def test_a_repricing_without_quotes_is_told(store: Store, summer: Catalog) -> None:
    """A run that is about nothing is over at once, and told."""
    repriced(store, summer)
    office = Office.over(store, summer, summer)
    assert [event.type for event in office.told()] == ["repricing.finished"]


def test_drafts_that_stay_are_not_told_as_issued(office: Office) -> None:
    """Issued together, only what went out is told: a draft that was withdrawn meanwhile is not."""
    ask = STORING["issue_repricing"][0](office)
    withdrawn = office.keeper.get("").json()["items"][0]["id"]
    office.keeper.moved(withdrawn, "withdrawn")
    before = office.last()
    assert ask.send(office.client).json()["failed"] == 1
    (told,) = office.told(before)
    assert told.subject != withdrawn
