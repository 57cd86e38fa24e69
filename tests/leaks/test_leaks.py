"""Nobody but the office is told a cost, a rate, a price, a margin or a supplier: a crawl."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.api import quoting
from service.api.admission import admission
from tests.given.quote_requests import Json, read
from tests.leaks.crawl import (
    CALLERS,
    crawl,
    hidden_from,
    logged,
    numbers_in,
    sums_of_office,
    text_of,
    walk,
)
from tests.leaks.marked import EVEN_SITES, LIST, OTHER_LIST
from tests.leaks.service import OK, ORDER, Marked, job, marked_service, small_job, suppliers_of

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

RANGES = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "estimate_price_range"
ANSWERS, SEED = 700, 20260504
# Of the answers to the field so many are whole, or the crawl says little.
LEAST_WHOLE = 50
# Markers in the mapping, and in the figures of the hours.
MAPPED, RECORDED = 7, 3


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Marked]:
    """A service over marked data."""
    with marked_service(tmp_path_factory.mktemp("marked")) as marked:
        yield marked


def test_no_answer_names_what_only_the_office_knows(service: Marked) -> None:
    """Every path, method, form and fault by each caller: no marker in head, body, paper, log or
    event."""
    found = crawl(service, ANSWERS, SEED)
    assert found.leaks == []
    assert found.said == {}
    assert sum(found.statuses.values()) == ANSWERS
    assert {who for who, _ in found.statuses} == set(CALLERS)
    assert found.statuses["field", OK] >= LEAST_WHOLE


def test_the_office_is_told_markers(service: Marked) -> None:
    """The search finds what it looks for: the office's answers are full of markers."""
    answer = service.clients["office"].post("/v1/quotes", json=job())
    assert len(numbers_in(text_of(answer)) & service.secrets) > len(CALLERS)
    assert len(sums_of_office(service)) > len(service.secrets) / 2


def test_the_crawl_is_red_without_the_form_of_the_field(
    service: Marked, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The control: quoted as the office is, the field is told markers within a few calls."""
    monkeypatch.setattr(quoting, "FOR_FIELD", quoting.WITH_PRICES)
    found = crawl(service, ANSWERS // 5, SEED)
    assert {call.who for call, _ in found.leaks} == {"field"}


def test_no_read_of_what_is_kept_names_what_only_the_office_knows(service: Marked) -> None:
    """Column mappings and recorded hours, and whatever else is kept beside them, read by each
    caller: no marker for who may not see it."""
    found = walk(service)
    assert found.leaks == []
    assert found.said == {}
    assert found.statuses["prices", OK] > len(service.reads)


def test_the_walk_is_red_where_every_key_may_read(
    service: Marked, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The control: let in, the field is told the mapping and the hours, and both are found."""
    monkeypatch.setattr(admission, "_may", lambda _caller, _operation: True)
    found = walk(service)
    leaking = {call.path: numbers for call, numbers in found.leaks if call.who == "field"}
    mapping, hours = service.reads
    assert len(leaking[mapping]) == MAPPED
    assert len(leaking[hours]) >= RECORDED


def test_markers_in_the_log_are_found(service: Marked) -> None:
    """The control: a marker in a field that the log may have is found, grouped by blanks of a
    kind that JSON escapes too."""
    number = min(service.secrets, key=len)
    grouped = f"{int(max(service.secrets)):,}".replace(",", "\u202f")
    with logged() as lines:
        log = logging.getLogger("service.leaking")
        log.info("told", extra={"where": grouped})
        log.info("%s", number)
    assert {number, max(service.secrets)} <= numbers_in("\n".join(lines[1:3] + lines[4:6]))


def test_what_a_record_has_of_its_moment_says_nothing() -> None:
    """A clock whose digits happen to be a marker is no leak."""
    with logged() as lines:
        record = logging.LogRecord("service.told", logging.INFO, "", 0, "told", (), None)
        record.created, record.relativeCreated = 1_777_852_800.739284, 7_392_840.5
        logging.getLogger("service.told").handle(record)
    assert len(lines) == 3
    assert not {"7392840", "739284"} & numbers_in("\n".join(lines))


def test_the_supplier_is_shown_his_own_order(service: Marked) -> None:
    """His link shows his name, and of the other supplier nothing; the control: an order of all
    suppliers would be found to leak."""
    place = service.links[ORDER]
    own = numbers_in(text_of(service.clients["supplier"].get(place)))
    assert numbers_in(service.supplier) <= own
    (other,) = [name for name in suppliers_of(service.catalog) if name != service.supplier]
    assert not numbers_in(other) & own
    quote_id, body = service.places["id"][0], {"kind": ORDER}
    made = service.clients["office"].post(
        f"/v1/saved-quotes/{quote_id}/revisions/1/links", json=body
    )
    of_all = text_of(service.clients["supplier"].get(read(made)["url"]))
    assert numbers_in(other) <= numbers_in(of_all) & hidden_from(service, "supplier")


@pytest.mark.parametrize("request_", [job(), small_job()])
def test_other_costs_change_no_byte_for_the_field(service: Marked, request_: Json) -> None:
    """A second price list with other costs and the same units gives the field the same bytes,
    digest and all; the office another total."""
    field, office = service.clients["field"], service.clients["office"]
    first, other = (_at(field, request_, name) for name in (LIST, OTHER_LIST))
    assert first == other
    assert _at(office, request_, LIST) != _at(office, request_, OTHER_LIST)


@pytest.mark.parametrize("case", ["low_wall", "under_a_pool"])
def test_other_costs_at_one_sale_price_change_no_byte_for_the_public(
    service: Marked, case: str
) -> None:
    """Two websites whose jobs cost the same, by lists with other costs: what a visitor is told is
    the same to the byte."""
    body = (RANGES / f"{case}.request.json").read_bytes()
    headers = {"Content-Type": "application/json"}
    answers = [
        service.clients[name].post("/v1/website/price-range", content=body, headers=headers)
        for name in EVEN_SITES
    ]
    assert [answer.status_code for answer in answers] == [OK, OK], answers[0].text
    assert answers[0].content == answers[1].content


def _at(client: TestClient, request: Json, price_list: str) -> bytes:
    response = client.post("/v1/quotes", json={**request, "prices": {"price_list": price_list}})
    assert response.status_code == OK, response.text
    return response.content


def test_numbers_in_sees_grouping_and_no_digest() -> None:
    """Amounts are found grouped as people write them; digests are no amounts."""
    assert numbers_in("USD 7,392,840.37") == {"7392840"}
    assert numbers_in("Marked 7392840") == {"7392840"}
    assert numbers_in("7392840.37 x 12") == {"7392840"}
    assert numbers_in("Quote 73928401234567ab") == set()
