"""Erasing a customer: the name goes from everywhere it is kept; what was agreed to stays."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from service.storage import Store
from service.storage.tables import ACCEPTANCE, EVENT, METADATA
from tests.given.links import Linker, garden
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import read
from tests.given.saved_quotes import URL

NAME = "Quimbrel"


@pytest.fixture
def linker(store: Store) -> Linker:
    """A client over an empty store, on each database in turn."""
    return Linker(store)


def everything(store: Store) -> str:
    """All that is in the database, as text; what is packed is unpacked."""
    with store.read() as connection:
        return "\n".join(
            str([bytes(value) if isinstance(value, memoryview) else value for value in row])
            for table in METADATA.sorted_tables
            for row in connection.execute(select(table))
        )


def known(linker: Linker) -> str:
    """A quote with the customer's name wherever people write it; by keyed calls."""
    body = {
        "quote": garden(),
        "customer": {"name": f"Ana {NAME}", "billing_address": {"lines": ["9 Orchard Row"]}},
        "metadata": {"crm": f"{NAME}-4711"},
        "notes": f"Ms {NAME} calls back.",
    }
    saved = linker.client.post(URL, json=body, headers={"Idempotency-Key": "s"})
    quote_id: str = read(saved)["id"]
    moved = {"state": "issued", "on": "2026-05-04", "note": f"sent to {NAME}"}
    assert linker.say(quote_id, moved, **{"Idempotency-Key": "m"}).status_code == 200
    return quote_id


def test_erasing_takes_the_name_from_everywhere(linker: Linker) -> None:
    """With what was accepted erased too, the name is nowhere in the database; digest, moment,
    sentence and sum stay, and links are closed."""
    quote_id = known(linker)
    shown = linker.link(quote_id)
    assert shown.accept(name=f"Ana {NAME}").status_code == 303
    before = read(linker.get(f"/{quote_id}/state"))["acceptances"][0]
    assert NAME in everything(linker.store)
    url = f"{URL}/{quote_id}/customer"
    assert_problem(linker.client.delete(url), 409, "acceptance-kept")
    assert f"Ana {NAME}" in everything(linker.store)
    assert linker.client.delete(f"{url}?with_acceptance=true").status_code == 204
    kept = everything(linker.store)
    assert NAME not in kept
    assert "Orchard" not in kept
    (after,) = read(linker.get(f"/{quote_id}/state"))["acceptances"]
    assert after == {key: value for key, value in before.items() if key != "name"}
    assert shown.page().status_code == 410
    assert shown.page("/paper.pdf").status_code == 410
    told = linker.events()[-2:]
    assert [type_ for type_, _, _ in told] == ["link.ended", "customer.erased"]
    assert linker.client.delete(url).status_code == 204


def test_erasing_takes_the_note_on_what_a_job_took(linker: Linker) -> None:
    """The note goes, of what a repeated call is told as well; the hours stay. The quote has
    changed, and done again nothing does."""
    quote_id = linker.save(garden())["id"]
    linker.issue(quote_id)
    linker.say(quote_id, {"state": "accepted", "on": "2026-05-04"})
    place, took = f"{URL}/{quote_id}/revisions/1/actuals", {"hours": {"set_units": "31.5"}}
    tag = linker.client.get(f"{URL}/{quote_id}").headers["etag"]
    body = {**took, "note": f"{NAME} helped with the gate."}
    sent = {"If-Match": tag, "Idempotency-Key": "a"}
    assert linker.client.put(place, json=body, headers=sent).status_code == 200
    told = read(linker.client.put(place, json=body, headers=sent))
    assert NAME in everything(linker.store)
    tags = []
    for _ in range(2):
        assert linker.client.delete(f"{URL}/{quote_id}/customer").status_code == 204
        tags.append(linker.client.get(f"{URL}/{quote_id}").headers["etag"])
    assert NAME not in everything(linker.store)
    assert read(linker.client.get(place))["actuals"] == took
    repeated = read(linker.client.put(place, json=body, headers=sent))
    assert repeated == {**told, "actuals": took, "secret_shown": True}
    assert tags[0] == tags[1]
    again = linker.client.put(place, json=took, headers={"If-Match": tags[1]})
    assert again.headers["etag"] == tags[1]
    assert [type_ for type_, _, _ in linker.events()].count("customer.erased") == 1


def test_erasing_strips_kept_outcomes(linker: Linker) -> None:
    """A repeated call is told its outcome without what was written, and that it was shown."""
    quote_id = known(linker)
    assert linker.client.delete(f"{URL}/{quote_id}/customer").status_code == 204
    with linker.store.read() as connection:
        bodies = [bytes(row.body).decode() for row in connection.execute(
            select(METADATA.tables["idempotency"]))]  # fmt: skip
    assert len(bodies) == 2
    for body in bodies:
        assert '"secret_shown":true' in body
        assert f'"id":"{quote_id}"' in body
        assert NAME not in body


def test_erasing_leaves_others_alone(linker: Linker) -> None:
    """Another quote of the same customer keeps what stands beside it, and its kept outcomes."""
    first = known(linker)
    body = {"quote": garden(), "customer": {"name": f"Ana {NAME}"}, "notes": NAME}
    saved = linker.client.post(URL, json=body, headers={"Idempotency-Key": "t"})
    other = read(saved)["id"]
    linker.client.delete(f"{URL}/{first}/customer")
    assert read(linker.get(f"/{other}/customer"))["name"] == f"Ana {NAME}"
    assert read(linker.get(f"/{other}/notes")) == {"notes": NAME}
    again = linker.client.post(URL, json=body, headers={"Idempotency-Key": "t"})
    assert read(again) == read(saved)


def test_erasing_wants_a_plain_word(linker: Linker) -> None:
    """`with_acceptance` is true or false."""
    quote_id = known(linker)
    url = f"{URL}/{quote_id}/customer?with_acceptance=yes"
    assert_problem(linker.client.delete(url), 422, "parameter-invalid")


def test_acceptance_is_of_the_quote_alone(linker: Linker) -> None:
    """Events and the table of yeses hold the customer's name in one place only."""
    quote_id = known(linker)
    assert linker.link(quote_id).accept(name=f"Ana {NAME}").status_code == 303
    with linker.store.read() as connection:
        told = str(connection.execute(select(EVENT)).all())
        (said,) = connection.execute(select(ACCEPTANCE)).all()
    assert NAME not in told
    assert said.name == f"Ana {NAME}"
    assert NAME not in said.sentence
