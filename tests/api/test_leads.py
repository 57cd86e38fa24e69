"""Leads: kept with consent alone, counted, once under a key, quoted once, erased in time."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from itertools import count
from pathlib import Path

import pytest
from httpx2 import Response
from sqlalchemy import select
from starlette.testclient import TestClient

from service.catalog import Catalog, load_catalog
from service.storage import Store
from service.storage.event_tables import EVENT
from service.storage.lead_tables import LEAD as TABLE
from tests.given.api_keys import bearer, new_key
from tests.given.catalog_files import write_folder
from tests.given.catalogs import shipped_catalog
from tests.given.served import BASE_URL
from tests.given.stores import Clock
from tests.given.visitors import LEAD, PLAIN, Json, asked, uncounted

FORM, RANGE, LEADS = "/v1/website/form", "/v1/website/price-range", "/v1/leads"
HOUR, DAY = 3600, 86_400
NAMES = (b"A. Example", b"a.example@example.com", b"555-0100", b"bench")


class Office:
    """A service that counts no calls, its visitors and its office."""

    def __init__(self, catalog: Catalog, store: Store) -> None:
        self.app = uncounted(catalog, store)
        self.store = store
        self.client = TestClient(self.app, base_url=BASE_URL)
        self._hosts = (f"192.0.2.{number}" for number in count(1))

    def visitor(self, host: str | None = None) -> TestClient:
        """A visitor at an address of his own."""
        at = (host or next(self._hosts), 50_000)
        return TestClient(self.app, base_url=BASE_URL, client=at)

    def leave(self, host: str | None = None, **answers: str) -> Json:
        """Leave a lead; the answer."""
        response = self.visitor(host).post(RANGE, json=asked(LEAD, **answers))
        assert response.status_code == 200, response.text
        answer: Json = response.json()
        return answer

    def kept(self) -> list[Json]:
        """All leads, read a page at a time."""
        found: list[Json] = []
        url = f"{LEADS}?limit=2"
        while url:
            page = self.client.get(url).json()
            found += page["items"]
            url = page["next"]
        return found

    def events(self) -> list[tuple[str, str, str]]:
        """What was told of leads."""
        told = select(EVENT.c.type, EVENT.c.by, EVENT.c.data).where(EVENT.c.type.like("lead.%"))
        with self.store.read() as connection:
            return [(row[0], row[1], row[2]) for row in connection.execute(told)]


@pytest.fixture
def office(catalog: Catalog, store: Store) -> Office:
    """A service over an empty store, on each database in turn."""
    return Office(catalog, store)


def test_lead_is_kept_with_all_that_was_said(office: Office) -> None:
    """What was left, answered and shown, what was agreed to, and one event without a name."""
    answer = office.leave()
    (lead,) = office.kept()
    assert lead == office.client.get(f"{LEADS}/{answer['reference']}").json()
    assert lead["id"] == answer["reference"]
    assert lead["answers"] == {**PLAIN, "line": "straight"}
    assert lead["shown"] == {key: value for key, value in answer.items() if key != "reference"}
    said = {key: lead[key] for key in ("name", "email", "phone", "wish", "photos")}
    assert said == {
        **{key: LEAD[key] for key in ("name", "email", "phone", "wish")},
        "photos": [LEAD["photo_1"]],
    }
    assert lead["consent"]["version"] == "1"
    assert "180 days" in lead["consent"]["text"]
    assert (lead["received_at"], lead["erased_at"]) == (
        "2026-05-04T00:00:00Z",
        "2026-10-31T00:00:00Z",
    )
    told = {
        "id": lead["id"],
        "links": {"lead": f"/v1/leads/{lead['id']}"},
        "website": "demo_site",
    }
    ((type_, by, data),) = office.events()
    assert (type_, by, json.loads(data)) == ("lead.received", "website", told)


def test_lead_of_a_visit_is_kept_in_the_visitors_language(office: Office) -> None:
    """Who is told that somebody has to come leaves a lead too; the consent is the one he read."""
    sent = asked(LEAD, water="wet")
    answer = office.visitor().post(RANGE, json=sent, headers={"Accept-Language": "es"}).json()
    (lead,) = office.kept()
    assert lead["shown"]["visit"]["reasons"][0]["code"] == "water_seen"
    assert (lead["language"], answer["reference"]) == ("es", lead["id"])
    assert lead["consent"]["text"].endswith("en cualquier momento.")


def test_nothing_is_kept_without_a_lead(office: Office) -> None:
    """No row and no event of a visitor who left nothing, did not agree, or is a program."""
    visitor = office.visitor()
    assert "reference" not in visitor.post(RANGE, json=asked()).json()
    refused = visitor.post(RANGE, json=asked({**LEAD, "consent": False}))
    assert refused.json()["code"] == "consent-missing"
    trapped = visitor.post(RANGE, json={**asked(LEAD), "website": "x"})
    assert "reference" not in trapped.json()
    assert (office.kept(), office.events()) == ([], [])


@pytest.mark.no_cover  # others run the same lines
def test_leads_of_one_address_are_five_an_hour(office: Office, clock: Clock) -> None:
    """The sixth is answered all the same and isn't kept; an hour later there is room. Of IPv6 an
    address is its first 64 bits."""
    for host, other in (("198.51.100.7", None), ("2001:db8::1", "2001:db8::ffff")):
        answers = [office.leave(host) for _ in range(5)] + [office.leave(other or host)]
        assert ["reference" in answer for answer in answers] == [True] * 5 + [False]
        assert answers[5]["range"] == answers[0]["range"]
    assert "reference" in office.leave()
    clock.seconds += HOUR
    assert "reference" in office.leave("198.51.100.7")
    with office.store.read() as connection:
        known = connection.execute(select(TABLE.c.network).where(TABLE.c.network.is_not(None)))
        assert [row[0] for row in known] == ["198.51.100.7"]


def test_leads_are_two_hundred_a_day(office: Office, clock: Clock) -> None:
    """Ranges go on without them; a day later there is room."""
    answer = office.leave()
    with office.store.write() as connection:
        row = dict(connection.execute(select(TABLE)).mappings().one())
        rows = [{**row, "id": f"{number:010d}", "network": "x"} for number in range(199)]
        connection.execute(TABLE.insert(), rows)
    assert "reference" not in office.leave()
    clock.seconds += DAY
    assert "reference" in office.leave()
    assert len(office.kept()) == 201
    assert answer["reference"] in {lead["id"] for lead in office.kept()}


def test_leads_are_erased_after_their_days(office: Office, clock: Clock) -> None:
    """After 180 days nobody reads a lead any more; whoever lists leads erases it, and so does the
    next one that comes."""

    def rows() -> int:
        with office.store.read() as connection:
            return len(connection.execute(select(TABLE.c.id)).all())

    answer = office.leave()
    clock.seconds += 180 * DAY - 1
    assert (len(office.kept()), rows()) == (1, 1)
    clock.seconds += 1
    gone = office.client.get(f"{LEADS}/{answer['reference']}")
    assert (gone.status_code, gone.json()["code"], rows()) == (404, "unknown-lead", 1)
    assert (office.kept(), rows()) == ([], 0)
    office.leave()
    clock.seconds += 180 * DAY
    office.leave()
    assert rows() == 1


def test_lead_is_erased_when_asked(office: Office) -> None:
    """Nothing of it stays in the database; a second time it is unknown."""
    answer = office.leave()
    url = f"{LEADS}/{answer['reference']}"
    assert office.client.delete(url).status_code == 204
    assert office.client.delete(url).status_code == 404
    assert office.kept() == []
    with office.store.read() as connection:
        assert connection.execute(select(TABLE.c.id)).all() == []


def test_lead_under_a_key_is_kept_once(office: Office) -> None:
    """Twins with one key leave one lead and one event, and get one answer; another body under the
    key is refused. What is kept of the outcome holds no name."""
    visitor = office.visitor()
    head = {"Idempotency-Key": "form-7"}

    def send(_: int) -> Response:
        return visitor.post(RANGE, json=asked(LEAD), headers=head)

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(send, range(16)))
    assert {answer.status_code for answer in answers} <= {200, 409, 503}
    told = {answer.text for answer in answers if answer.status_code == 200}
    assert len(told) == len(office.kept()) == len(office.events()) == 1
    assert not any(name.decode() in text for text in told for name in NAMES)
    other = visitor.post(RANGE, json=asked(LEAD, length="60"), headers=head)
    assert (other.status_code, other.json()["code"]) == (422, "idempotency-key-reused")


def test_lead_becomes_one_saved_quote(office: Office) -> None:
    """A draft of the wall, its visitor as customer, his wish as notes; a second time it is
    refused, and erasing the customer erases the lead."""
    answer = office.leave()
    url = f"{LEADS}/{answer['reference']}"
    made = office.client.post(f"{url}/quote", headers={"Idempotency-Key": "first"})
    assert made.status_code == 201, made.text
    quote = made.json()
    assert quote["state"] == "draft"
    assert quote["metadata"] == {"lead": answer["reference"]}
    at = made.headers["location"]
    customer = office.client.get(f"{at}/customer").json()
    assert customer == {key: LEAD[key] for key in ("name", "email", "phone")}
    notes = office.client.get(f"{at}/notes").json()["notes"]
    assert notes == f"{LEAD['wish']}\n{LEAD['photo_1']}"
    assert office.client.get(url).json()["saved_quote"] == quote["id"]
    again = office.client.post(f"{url}/quote", headers={"Idempotency-Key": "first"})
    assert (again.text, again.headers["idempotent-replayed"]) == (made.text, "true")
    refused = office.client.post(f"{url}/quote")
    assert (refused.status_code, refused.json()["code"]) == (409, "lead-quoted")
    assert quote["id"] in refused.json()["detail"]
    # The range was made of the same total: 15 % less of it, rounded to 100.
    total = float(quote["facts"]["total"])
    assert abs(float(answer["range"]["below"]) / 0.85 - total) <= 50
    office.client.delete(f"{at}/customer")
    assert office.kept() == []


@pytest.mark.no_cover  # others run the same lines
def test_lead_is_quoted_once_by_twins(office: Office) -> None:
    """Of eight that make a quote of it at once, one does."""
    url = f"{LEADS}/{office.leave()['reference']}/quote"
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: office.client.post(url), range(8)))
    assert sorted(answer.status_code for answer in answers).count(201) == 1
    assert {answer.status_code for answer in answers} <= {201, 409, 503}
    assert len(office.client.get("/v1/saved-quotes").json()["items"]) == 1


@pytest.mark.parametrize("bad", ["zz", "00", "3132", "31322e41"])
def test_leads_refuse_a_cursor_that_no_page_gave(office: Office, bad: str) -> None:
    """A page begins where a page before it said."""
    assert office.client.get(f"{LEADS}?cursor={bad}").status_code == 422


@pytest.mark.no_cover  # others run the same lines
def test_website_key_names_its_entry(tmp_path: Path, store: Store) -> None:
    """With two websites in the catalog a key tells which one: its form and its leads; it reads no
    leads. A key whose entry is gone is told so."""
    file = Path(shipped_catalog().websites["demo_site"].file)
    text = file.read_text(encoding="utf-8").replace('id = "demo_site"', 'id = "other_site"', 1)
    other = text.replace("form_version = 1", "form_version = 4", 1)
    catalog = load_catalog([write_folder(tmp_path, {"websites/other_site.toml": other})])
    key = bearer(new_key(store, "website", website="other_site")[1])
    gone = bearer(new_key(store, "website", website="gone_site")[1])
    client = TestClient(uncounted(catalog, store), base_url=BASE_URL)
    assert client.get(FORM, headers=key).json()["form_version"] == 4
    answer = client.post(RANGE, json={**asked(LEAD), "form_version": 4}, headers=key).json()
    assert client.get(LEADS, headers=key).status_code == 403
    assert client.get(FORM, headers=gone).json()["code"] == "unknown-website"
    with store.read() as connection:
        (row,) = connection.execute(select(TABLE.c.id, TABLE.c.website)).all()
    assert tuple(row) == (answer["reference"], "other_site")
