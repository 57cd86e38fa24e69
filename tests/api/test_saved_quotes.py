"""Saved quotes over HTTP, on both databases: kept, revised, moved, and shown as they were."""

from __future__ import annotations

import itertools
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from httpx2 import Response

from service.api.v1.saved_quotes.table import OPERATIONS
from service.catalog import Catalog
from service.storage import Connection, StorageFullError, Store
from tests.given.counts import count_of
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import (
    PROOF_PRICES,
    TERMS,
    level_wall,
    proof_request,
    read,
    shipped_request,
)
from tests.given.saved_quotes import DAYS, URL, Keeper, small_request
from tests.given.served import NOTHING_YET
from tests.given.stores import Clock, opened

# Keys, and calls at once with each.
KEYS = count_of("KEYS", 1)
TWINS = 50 if KEYS == 1 else 200


def test_save_quote_keeps_what_a_quote_would_answer(keeper: Keeper) -> None:
    """The answer that is kept is the stateless one to the byte; the request can be asked again."""
    request = small_request(title="Terrace", reference="job-7", issued_on="2026-05-04")
    stateless = keeper.client.post("/v1/quotes", json=request)
    saved = keeper.save(request)
    answer = keeper.get(f"/{saved['id']}/revisions/1/answer")
    assert answer.content == stateless.content
    again = keeper.client.post(
        "/v1/quotes",
        content=keeper.get(f"/{saved['id']}/revisions/1/quote").content,
        headers={"Content-Type": "application/json"},
    )
    assert again.content == stateless.content


def test_save_quote_answers_with_address_and_facts(keeper: Keeper, clock: Clock) -> None:
    """A new quote is a draft, numbered from 1, under an id that sorts and can't be guessed."""
    clock.seconds = 1_777_852_800  # 2026-05-04T00:00:00Z
    response = keeper.client.post(URL, json={"quote": small_request(reference="job-7")})
    assert response.status_code == 201
    saved = read(response)
    assert re.fullmatch(r"q000000001_[0-9a-f]{20}", saved["id"])
    assert response.headers["location"] == f"{URL}/{saved['id']}"
    assert response.headers["etag"] == keeper.tag(f"/{saved['id']}")
    assert (saved["number"], saved["state"], saved["revision"]) == (1, "draft", 1)
    assert saved["created_at"] == "2026-05-04T00:00:00Z"
    answer = read(keeper.get(f"/{saved['id']}/revisions/1/answer"))
    facts = saved["facts"]
    for amount in ("total", "subtotal", "direct_cost"):
        assert facts[amount] == answer["price"][amount]
    assert (facts["digest"], facts["reference"]) == (answer["digest"], "job-7")
    second = keeper.save()
    assert second["number"] == 2
    assert second["id"] > saved["id"]


def test_save_quote_places_faults_inside_the_request(keeper: Keeper) -> None:
    """Faults of shape and of layout alike point into `request`, and nothing is kept."""
    request = small_request()
    body = {"quote": {**request, "units": "cubits"}, "customer": {}, "more": 1}
    problem = assert_problem(keeper.client.post(URL, json=body), 422, "request-invalid")
    found = {entry["pointer"]: entry["code"] for entry in problem["errors"]}
    assert found == {
        "/quote/units": "unknown-choice",
        "/customer/name": "field-missing",
        "/more": "unknown-key",
    }
    cheap = {"currency": "USD", "items": {}}
    response = keeper.client.post(URL, json={"quote": {**request, "prices": cheap}})
    problem = assert_problem(response, 422, "price-missing")
    assert problem["errors"][0]["pointer"].startswith("/quote/prices/items/")
    assert assert_problem(keeper.client.post(URL, json={}), 422, "field-missing")
    former = keeper.client.post(URL, json={"request": request})
    (fault,) = assert_problem(former, 422, "unknown-key")["errors"]
    assert (fault["pointer"], fault["hint"]) == ("/request", "quote")
    null = keeper.client.post(URL, json={"quote": {**request, "title": None}})
    assert assert_problem(null, 422, "null-not-read")["errors_total"] == 1
    assert read(keeper.get(""))["items"] == []


def test_save_quote_refuses_amounts_beyond_what_is_counted(keeper: Keeper) -> None:
    """Totals of more than 9.2e18 cents can't be kept, and are refused rather than cut."""
    dear = {
        name: {"unit_cost": "999999999999.99", "per": price["per"]}
        for name, price in PROOF_PRICES["items"].items()
    }
    walls = [level_wall("3000 ft", "5 ft", name=f"w{number}") for number in range(30)]
    request = proof_request(*walls, materials_only=True, prices={"currency": "USD", "items": dear})
    response = keeper.client.post(URL, json={"quote": request})
    assert_problem(response, 422, "amount-too-large")


def test_reference_is_unique_in_the_store(keeper: Keeper) -> None:
    """A second quote under a reference is 409 with the first one's address; its own may go on."""
    first = keeper.save(small_request(reference="job-7"))
    response = keeper.client.post(URL, json={"quote": small_request(reference="job-7")})
    problem = assert_problem(response, 409, "reference-exists")
    (entry,) = problem["errors"]
    assert (entry["pointer"], entry["hint"]) == ("/quote/reference", f"{URL}/{first['id']}")
    assert keeper.revise(first["id"], small_request(reference="job-7")).status_code == 201
    assert keeper.revise(first["id"], small_request(reference="job-8")).status_code == 201
    for reference in ("job-7", "job-8"):
        request = small_request(reference=reference)
        assert keeper.client.post(URL, json={"quote": request}).status_code == 409
    assert keeper.save(small_request())["number"] == 2


def test_revision_never_changes(keeper: Keeper) -> None:
    """Whatever happens to the quote, a numbered revision is the same bytes under the same ETag."""
    quote_id = keeper.save(small_request(title="First"))["id"]
    paths = [f"/{quote_id}/revisions/1{below}" for below in ("", "/quote", "/answer")]
    before = [keeper.get(path) for path in paths]
    assert all("immutable" in response.headers["cache-control"] for response in before)
    latest = keeper.get(f"/{quote_id}/revisions/latest")
    assert latest.content == before[0].content
    assert latest.headers["content-location"] == f"{URL}/{quote_id}/revisions/1"
    assert latest.headers["cache-control"] == "private, no-cache"
    keeper.moved(quote_id, "issued")
    assert keeper.revise(quote_id, small_request(title="Second")).status_code == 201
    keeper.moved(quote_id, "issued", "accepted")
    after = [keeper.get(path) for path in paths]
    assert [r.content for r in after] == [r.content for r in before]
    assert [r.headers["etag"] for r in after] == [r.headers["etag"] for r in before]
    tag = before[0].headers["etag"]
    assert keeper.get(paths[0], **{"If-None-Match": tag}).status_code == 304
    document = read(before[0])
    assert document["answer"] == read(before[2])
    assert document["digest"] == document["answer"]["digest"]


def test_revise_needs_the_tag_of_the_latest(keeper: Keeper) -> None:
    """Without If-Match 428; of two with one tag the first wins, the other is 412, none is lost."""
    quote_id = keeper.save()["id"]
    url = f"{URL}/{quote_id}/revisions"
    bare = keeper.client.post(url, json={"quote": small_request()})
    assert_problem(bare, 428, "precondition-required")
    tag = keeper.tag(f"/{quote_id}/revisions/latest")
    won = keeper.revise(quote_id, small_request(title="Ours"), tag)
    assert won.status_code == 201
    assert won.headers["location"] == f"{url}/2"
    assert read(won)["supersedes"] == 1
    lost = keeper.revise(quote_id, small_request(title="Theirs"), tag)
    assert_problem(lost, 412, "precondition-failed")
    assert lost.headers["etag"] == won.headers["etag"]
    items = read(keeper.get(f"/{quote_id}/revisions"))["items"]
    assert [(item["revision"], item["facts"].get("title")) for item in items] == [
        (2, "Ours (materials only)"),
        (1, "Materials only"),
    ]


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("path", "target"),
    [
        ((), "issued"),
        ((), "accepted"),
        ((), "declined"),
        ((), "withdrawn"),
        (("issued",), "issued"),
        (("issued",), "accepted"),
        (("issued",), "declined"),
        (("issued",), "withdrawn"),
        *itertools.product(
            [("issued", "accepted"), ("issued", "declined"), ("withdrawn",)],
            ["issued", "accepted", "declined", "withdrawn"],
        ),
    ],
)
def test_states_move_as_documented(keeper: Keeper, path: tuple[str, ...], target: str) -> None:
    """From each state each other one: five moves are done, the rest is 409."""
    quote_id = keeper.save()["id"]
    if path:
        keeper.moved(quote_id, *path)
    now = ("draft", *path)[-1]
    allowed = {
        "draft": {"issued", "withdrawn"},
        "issued": {"accepted", "declined", "withdrawn"},
    }.get(now, set())
    state = read(keeper.get(f"/{quote_id}/state"))
    assert (state["state"], set(state["allowed"])) == (now, allowed)
    response = keeper.move(quote_id, target)
    if target in allowed:
        assert read(response)["state"] == target
        assert response.headers["etag"] == keeper.tag(f"/{quote_id}/state")
        assert read(response)["history"][-1] | {"at": ""} == {
            "revision": 1,
            "before": now,
            "after": target,
            "at": "",
            **DAYS.get(target, {}),
        }
    else:
        assert_problem(response, 409, "state-not-allowed")
        assert keeper.state(quote_id) == now


def test_state_asks_for_the_tag_that_was_seen(keeper: Keeper) -> None:
    """A move decided on an older state is 412, one that names none 428."""
    quote_id = keeper.save()["id"]
    tag = keeper.tag(f"/{quote_id}/state")
    keeper.moved(quote_id, "issued")
    assert_problem(keeper.move(quote_id, "withdrawn", tag), 412, "precondition-failed")
    url = f"{URL}/{quote_id}/state"
    assert_problem(
        keeper.client.post(url, json={"state": "withdrawn"}), 428, "precondition-required"
    )
    for word in ("superseded", "draft", "sold"):
        response = keeper.client.post(url, json={"state": word}, headers={"If-Match": tag})
        assert_problem(response, 422, "unknown-choice")


def test_incomplete_quotes_are_not_issued(keeper: Keeper) -> None:
    """Labor and terms are not priced: issuing is refused until a revision says materials only."""
    quote_id = keeper.save(proof_request())["id"]
    assert_problem(keeper.move(quote_id, "issued"), 409, "quote-incomplete")
    assert keeper.revise(quote_id, small_request()).status_code == 201
    assert keeper.moved(quote_id, "issued")["revisions"] == [
        {"revision": 1, "state": "superseded"},
        {"revision": 2, "state": "issued"},
    ]


def test_engineering_is_settled_before_a_quote_goes_out(keeper: Keeper) -> None:
    """A caution that calls for an engineer keeps a quote from being issued, with the reason in
    words, until a revision says how it is settled; withdrawing asks nothing."""
    bare = small_request()
    bare.pop("engineering")
    quote_id = keeper.save(bare)["id"]
    refused = keeper.move(quote_id, "issued")
    assert_problem(refused, 409, "engineering-not-settled")
    assert "caution engineer-height" in read(refused)["detail"]
    assert keeper.state(quote_id) == "draft"
    assert keeper.revise(quote_id, small_request()).status_code == 201
    assert keeper.moved(quote_id, "issued")["revision"] == 2
    withdrawn = keeper.save(bare)["id"]
    assert keeper.moved(withdrawn, "withdrawn")["state"] == "withdrawn"


def test_a_quote_that_calls_for_nobody_is_issued(keeper: Keeper) -> None:
    """2 ft of wall, nothing checked and nothing failed, goes out without a word on engineering."""
    low = proof_request(level_wall(exposed="2 ft"), materials_only=True, terms=TERMS)
    assert keeper.moved(keeper.save(low)["id"], "issued")["state"] == "issued"


def test_accepting_withdraws_a_newer_draft(keeper: Keeper) -> None:
    """The customer accepts what was issued; the quote counts as accepted, not as withdrawn."""
    quote_id = keeper.save(small_request(title="Issued"))["id"]
    keeper.moved(quote_id, "issued")
    keeper.revise(quote_id, small_request(title="Meanwhile"))
    assert keeper.state(quote_id) == "draft"
    moved = keeper.moved(quote_id, "accepted")
    assert (moved["state"], moved["revision"]) == ("accepted", 1)
    assert [held["state"] for held in moved["revisions"]] == ["accepted", "withdrawn"]
    saved = read(keeper.get(f"/{quote_id}"))
    assert (saved["revision"], saved["latest_revision"]) == (1, 2)
    assert saved["facts"]["title"] == "Issued (materials only)"


def test_withdrawing_the_newest_brings_no_older_draft_back(keeper: Keeper) -> None:
    """A further draft takes the place of the first; withdrawn, it leaves nothing to be issued."""
    quote_id = keeper.save(small_request(title="First"))["id"]
    assert keeper.revise(quote_id, small_request(title="Second")).status_code == 201
    moved = keeper.moved(quote_id, "withdrawn")
    assert [held["state"] for held in moved["revisions"]] == ["superseded", "withdrawn"]
    assert (moved["state"], moved["allowed"]) == ("withdrawn", [])
    assert_problem(keeper.move(quote_id, "issued"), 409, "state-not-allowed")


def test_customer_is_kept_apart_and_can_be_erased(keeper: Keeper) -> None:
    """Names and addresses change no revision and no digest, and stand under the quote's tag; erased
    they are gone, and the quote is not."""
    quote_id = keeper.save(
        customer={"name": "A. Client", "billing_address": {"lines": ["1 Lane", "Town"]}}
    )["id"]
    path = f"/{quote_id}/customer"
    assert read(keeper.get(path)) == {
        "name": "A. Client",
        "billing_address": {"lines": ["1 Lane", "Town"]},
    }
    content, tag = keeper.tag(f"/{quote_id}/revisions/1"), keeper.tag(f"/{quote_id}")
    assert b"Client" not in keeper.get(f"/{quote_id}/revisions/1").content
    put = keeper.client.put(f"{URL}{path}", json={"name": "B"}, headers=NOTHING_YET)
    assert_problem(put, 412, "precondition-failed")
    headers = {"If-Match": tag, "Idempotency-Key": "one"}
    for replayed in (None, "true"):
        put = keeper.client.put(f"{URL}{path}", json={"name": "B"}, headers=headers)
        assert (put.status_code, put.json()) == (200, {"name": "B"})
        assert put.headers.get("idempotent-replayed") == replayed
    assert read(keeper.get(path)) == {"name": "B"}
    assert keeper.client.delete(f"{URL}{path}").status_code == 204
    assert_problem(keeper.get(path), 404, "customer-missing")
    assert keeper.client.delete(f"{URL}{path}").status_code == 204
    assert keeper.tag(f"/{quote_id}/revisions/1") == content
    assert keeper.tag(f"/{quote_id}") != tag
    put = keeper.client.put(f"{URL}{path}", json={"name": "C"}, headers=keeper.seen(quote_id))
    assert put.status_code == 200
    assert put.headers["etag"] == keeper.tag(path) == keeper.tag(f"/{quote_id}")


def test_an_erased_customer_is_not_left_in_the_file(
    proof_catalog: Catalog, tmp_path: Path, clock: Clock
) -> None:
    """Neither the database nor what is kept for repeated calls holds the name any longer."""
    with opened(f"sqlite:///{tmp_path / 'store.sqlite'}", clock) as store:
        store.migrate()
        keeper = Keeper(proof_catalog, store)
        body = {"quote": small_request(), "customer": {"name": "Unforgotten Person"}}
        saved = read(keeper.client.post(URL, json=body, headers={"Idempotency-Key": "a"}))
        path = f"/{saved['id']}/customer"
        headers = {"If-Match": keeper.tag(path), "Idempotency-Key": "b"}
        again = {"name": "Unforgotten Person", "phone": "Unforgotten 1"}
        assert keeper.client.put(f"{URL}{path}", json=again, headers=headers).status_code == 200
        assert keeper.client.delete(f"{URL}{path}").status_code == 204
    left = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert b"q000000001" in left
    assert b"Unforgotten" not in left


STORING = {
    "save": ("POST", "", {"quote": small_request()}),
    "revise": ("POST", "/{id}/revisions", {"quote": small_request()}),
    "move": ("POST", "/{id}/state", {"state": "withdrawn"}),
    "customer": ("PUT", "/{id}/customer", {"name": "A"}),
    "erasure": ("DELETE", "/{id}/customer", None),
    "metadata": ("PUT", "/{id}/metadata", {"metadata": {"crm_id": "4711"}}),
    "notes": ("PUT", "/{id}/notes", {"notes": "Call first."}),
    "actuals": ("PUT", "/{id}/revisions/1/actuals", {"quantities": {"block": "200"}}),
}


def test_every_storing_operation_is_tried() -> None:
    """What changes something is in the table above, so that a new one can't be forgotten."""
    found = [(each.method, each.path) for each in OPERATIONS if each.method != "GET"]
    tried = [(method, f"{URL}{path}") for method, path, _ in STORING.values()]
    assert sorted(found) == sorted((m, path.replace("/1/", "/{revision}/")) for m, path in tried)


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("name", STORING)
def test_a_commit_that_fails_is_no_success(
    keeper: Keeper, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Where the disk is full at the commit, the call is a 507 and nothing is changed."""
    quote_id = keeper.save()["id"]
    if name == "actuals":
        keeper.moved(quote_id, "issued", "accepted")
    method, path, body = STORING[name]
    below = path.replace("{id}", quote_id)
    headers = keeper.seen(quote_id)
    everything = keeper.get("/export?view=full").content, keeper.get(f"/{quote_id}/state").content

    written = Store.write

    @contextmanager
    def write(self: Store) -> Iterator[Connection]:
        with written(self) as connection:
            yield connection
            raise StorageFullError("no room")

    with monkeypatch.context() as patched:
        patched.setattr(Store, "write", write)
        response = keeper.client.request(method, f"{URL}{below}", json=body, headers=headers)
    assert_problem(response, 507, "storage-full")
    assert everything == (
        keeper.get("/export?view=full").content,
        keeper.get(f"/{quote_id}/state").content,
    )
    again = keeper.client.request(method, f"{URL}{below}", json=body, headers=headers)
    assert again.status_code in (200, 201, 204)


@pytest.mark.parametrize("quote_id", ["nothing_here", "No-Id", "q000000001_0", "%00", "a" * 65])
def test_unknown_quotes_are_404(keeper: Keeper, quote_id: str) -> None:
    """An id that is nobody's is 404 wherever it stands, and what can't be one 422."""
    told = (404, "unknown-saved-quote")
    if not re.fullmatch("[a-z0-9_]{1,64}", quote_id):
        told = (422, "id-invalid")
    for below in ("", "/state", "/customer", "/revisions", "/revisions/1", "/revisions/latest"):
        assert_problem(keeper.get(f"/{quote_id}{below}"), *told)
    for below, body in (
        ("state", {"state": "issued"}),
        ("revisions", {"quote": small_request()}),
    ):
        url = f"{URL}/{quote_id}/{below}"
        response = keeper.client.post(url, json=body, headers={"If-Match": '"x"'})
        assert_problem(response, *told)


@pytest.mark.parametrize("number", ["2", "0", "01", "-1", "newest", "999999999", "1.0"])
def test_unknown_revisions_are_404(keeper: Keeper, number: str) -> None:
    """A number that is none, or not reached yet, is 404."""
    quote_id = keeper.save()["id"]
    for below in ("", "/quote", "/answer", "/actuals", "/recomputed", "/difference/1"):
        path = f"/{quote_id}/revisions/{number}{below}"
        assert_problem(keeper.get(path), 404, "unknown-quote-revision")
    path = f"/{quote_id}/revisions/1/difference/{number}"
    assert_problem(keeper.get(path), 404, "unknown-quote-revision")


def test_a_call_with_a_key_is_done_once(keeper: Keeper) -> None:
    """Same key and body: the first outcome again. Another body: 422. No key: done again."""
    body = {"quote": small_request()}
    sent = [
        keeper.client.post(URL, json=body, headers={"Idempotency-Key": '"a1"'}) for _ in range(2)
    ]
    assert [response.status_code for response in sent] == [201, 201]
    assert sent[0].content == sent[1].content
    assert sent[1].headers["idempotent-replayed"] == "true"
    assert sent[1].headers["location"] == sent[0].headers["location"]
    other = {"quote": small_request(title="Other")}
    response = keeper.client.post(URL, json=other, headers={"Idempotency-Key": '"a1"'})
    assert_problem(response, 422, "idempotency-key-reused")
    keeper.save()
    assert len(read(keeper.get(""))["items"]) == 2
    quote_id = read(sent[0])["id"]
    tag = keeper.tag(f"/{quote_id}/state")
    moves = [keeper.move(quote_id, "issued", tag, **{"Idempotency-Key": "b"}) for _ in range(2)]
    assert [response.status_code for response in moves] == [200, 200]
    assert moves[1].headers["idempotent-replayed"] == "true"


def test_a_repeated_call_is_answered_whatever_it_would_come_to_today(
    keeper: Keeper, catalog: Catalog, store: Store
) -> None:
    """A call that was done is repeated even where its request could not be quoted any more."""
    body, headers = {"quote": small_request()}, {"Idempotency-Key": "a"}
    first = keeper.client.post(URL, json=body, headers=headers)
    later = Keeper(catalog, store).client
    again = later.post(URL, json=body, headers=headers)
    assert (again.status_code, again.content) == (201, first.content)
    assert later.post(URL, json=body, headers={"Idempotency-Key": "b"}).status_code == 422


def together(calls: list[threading.Thread]) -> None:
    """Run all at once."""
    for call in calls:
        call.start()
    for call in calls:
        call.join()


@pytest.mark.no_cover  # others run the same lines
def test_twins_with_one_key_keep_one_quote(keeper: Keeper) -> None:
    """Of calls at once with one key one is done; all get its outcome, other bodies 422. Each key
    has its quote: their numbers are in a row."""
    for number in range(1, KEYS + 1):
        answers = twins_of(keeper, f"twin-{number}")
        assert len(answers) == TWINS
        kept, *_ = read(keeper.get(""))["items"]
        assert kept["number"] == number
        first = kept["facts"]["title"].startswith("Twin")
        for is_twin, response in answers:
            if is_twin == first:
                assert response.status_code in (201, 409)
                assert response.status_code == 409 or read(response)["id"] == kept["id"]
            else:
                assert response.status_code in (422, 409)


def twins_of(keeper: Keeper, key: str) -> list[tuple[bool, Response]]:
    """What calls at once with one key are answered; every fifth has another body."""
    answers: list[tuple[bool, Response]] = []

    def call(number: int) -> None:
        is_twin = number % 5 > 0
        body = {"quote": small_request(title="Twin" if is_twin else "Another")}
        told = keeper.client.post(URL, json=body, headers={"Idempotency-Key": key})
        answers.append((is_twin, told))

    together([threading.Thread(target=call, args=(number,)) for number in range(TWINS)])
    return answers


@pytest.mark.no_cover  # others run the same lines
def test_twins_without_a_key_share_no_reference_and_no_number(keeper: Keeper) -> None:
    """Of 20 calls at once under one reference one is kept; 20 without get 20 numbers in a row."""
    statuses: list[int] = []

    def call(more: dict[str, object]) -> None:
        body = {"quote": small_request(**more)}
        statuses.append(keeper.client.post(URL, json=body).status_code)

    together([threading.Thread(target=call, args=({"reference": "job"},)) for _ in range(20)])
    assert sorted(statuses) == [201, *[409] * 19]
    together([threading.Thread(target=call, args=({},)) for _ in range(20)])
    numbers = [item["number"] for item in read(keeper.get(""))["items"]]
    assert numbers == list(range(21, 0, -1))


def test_twins_move_a_quote_once(keeper: Keeper) -> None:
    """Of 20 calls at once that saw the same state one moves it, the others are 412."""
    quote_id = keeper.save()["id"]
    tag = keeper.tag(f"/{quote_id}/state")
    statuses: list[int] = []

    def call(state: str) -> None:
        statuses.append(keeper.move(quote_id, state, tag).status_code)

    states = itertools.islice(itertools.cycle(["issued", "withdrawn"]), 20)
    together([threading.Thread(target=call, args=(state,)) for state in states])
    assert sorted(statuses) == [200, *[412] * 19]
    assert len(read(keeper.get(f"/{quote_id}/state"))["history"]) == 1


def test_shipped_price_lists_are_kept_by_number(catalog: Catalog, store: Store) -> None:
    """A price list of the catalog is kept by its number, also where the request says latest."""
    keeper = Keeper(catalog, store)
    request = shipped_request(prices={"price_list": "demo_2026", "revision": "latest"})
    saved = keeper.save(request)
    assert saved["facts"]["price_list"] == {"id": "demo_2026", "revision": 2}
    kept = read(keeper.get(f"/{saved['id']}/revisions/1/quote"))
    assert kept["prices"]["revision"] == "latest"
    assert read(keeper.get(f"/{saved['id']}/revisions/1/recomputed"))["same"] is True


def test_stored_price_lists_are_kept_by_number(keeper: Keeper) -> None:
    """A quote at `latest` keeps the number it found: dearer prices later change nothing of it."""
    url = "/v1/price-lists/yard/revisions"
    whole = {**PROOF_PRICES, "effective_from": "2026-01-01"}
    first = keeper.client.post(url, json=whole, headers=NOTHING_YET)
    assert first.status_code == 201, first.text
    saved = keeper.save(small_request(prices={"price_list": "yard"}))
    assert saved["facts"]["price_list"] == {"id": "yard", "revision": 1}
    dearer = {
        "changes": [{"adjust": {"factor": "1.5"}}],
        "effective_from": "2026-06-01",
    }
    headers = {"If-Match": first.headers["etag"]}
    assert keeper.client.post(url, json=dearer, headers=headers).status_code == 201
    assert read(keeper.get(f"/{saved['id']}/revisions/1/recomputed"))["same"] is True
    keeper.revise(saved["id"], small_request(prices={"price_list": "yard"}))
    found = read(keeper.get(f"/{saved['id']}/revisions/1/difference/2"))
    assert found["after"]["price_list"] == {"id": "yard", "revision": 2}
    # 710.00 x 1.5
    assert found["amounts"][0]["after"] == "1065.00"
    listed = read(keeper.get("?price_list=yard&price_list_revision=2"))["items"]
    assert [item["id"] for item in listed] == [saved["id"]]
    assert read(keeper.get("?price_list_revision=1"))["items"] == []
