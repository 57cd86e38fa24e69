"""The page of a website of the catalog: its questions, its range, and how often it is asked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from urllib.parse import urlencode

import pytest
from starlette.testclient import TestClient

from service.api.app import create_app
from service.api.form_body import FORM
from service.catalog import Catalog
from service.settings import Settings
from service.storage import Store
from tests.given.served import BASE_URL, Here

PATH = "/website/demo_site"
ANSWERS = {
    "length": "40", "height": "2.5", "line": "straight", "behind": "level", "in_front": "level",
    "above": "lawn", "now": "bank", "way_in": "drive_in", "water": "runs_off",
}  # fmt: skip
FIELDS = {f"answers.{name}": value for name, value in ANSWERS.items()}


@pytest.fixture
def visitor(catalog: Catalog, store: Store) -> Iterator[TestClient]:
    """A visitor of a service that answers three ranges an hour."""
    settings = Settings.model_construct(price_range_limits=(3, 100))
    app = create_app(settings, catalog, store)
    app.state.door = Here()
    with TestClient(app, base_url=BASE_URL, follow_redirects=False) as client:
        yield client


def sent(visitor: TestClient, fields: dict[str, str]):  # type: ignore[no-untyped-def]  # noqa: ANN201
    """The answer to a form."""
    return visitor.post(PATH, content=urlencode(fields), headers={"Content-Type": FORM})


def shown_range(text: str) -> list[str]:
    """The ends of the range in a page."""
    return re.findall(r"\$([\d,]+\.\d\d)", text)


@pytest.mark.no_cover  # others run the same lines
def test_page_shows_the_range_of_the_api(visitor: TestClient) -> None:
    """Form and result are those of the two calls: the same questions, the same figures."""
    form = visitor.get("/v1/website/form").json()
    page = visitor.get(PATH)
    for name, field in form["schema"]["properties"].items():
        assert f'name="answers.{name}"' in page.text
        for choice in field.get("oneOf", ()):
            assert f'<option value="{choice["const"]}"' in page.text
    body = {"answers": ANSWERS, "form_version": form["form_version"]}
    answer = visitor.post("/v1/website/price-range", json=body).json()
    result = visitor.get(PATH, params=FIELDS)
    ends = [f"{float(answer['range'][end]):,.2f}" for end in ("below", "above")]
    assert shown_range(result.text) == ends


def test_page_takes_what_its_form_sends(visitor: TestClient) -> None:
    """The fields of the page, sent as they stand in it with the answers, come to a result."""
    page = visitor.get(PATH)
    hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="(\w+)">', page.text))
    assert set(hidden) == {"form_version"}
    empty = dict.fromkeys(re.findall(r'name="(lead\.[a-z_0-9]+)"', page.text), "")
    del empty["lead.consent"]
    answer = sent(visitor, {**FIELDS, **empty, **hidden, "website": ""})
    assert answer.status_code == 303
    assert shown_range(visitor.get(PATH + answer.headers["location"]).text)
    changed = sent(visitor, {**FIELDS, "form_version": "999"})
    assert changed.status_code == 409
    assert "The questions have changed meanwhile." in changed.text


def test_page_keeps_a_lead_with_consent_alone(visitor: TestClient) -> None:
    """An address without consent is asked for again; with it there is one lead, and its number
    is told; a field that people don't see keeps nothing."""
    lead = {**FIELDS, "lead.email": "a.example@example.com"}
    refused = sent(visitor, lead)
    assert refused.status_code == 422
    assert "Without your consent we keep nothing" in refused.text
    assert visitor.get("/v1/leads").json()["items"] == []
    agreed = {**lead, "lead.consent": "true"}
    assert "reference" not in sent(visitor, {**agreed, "website": "x"}).headers["location"]
    assert visitor.get("/v1/leads").json()["items"] == []
    answer = sent(visitor, agreed)
    [kept] = visitor.get("/v1/leads").json()["items"]
    assert f"reference={kept['id']}" in answer.headers["location"]


@pytest.mark.no_cover  # others run the same lines
def test_page_is_counted_with_the_ranges(visitor: TestClient) -> None:
    """A result is counted as a call for a range is, the form alone is not; where there were too
    many the page says when there are more, and keeps the answers."""
    for _ in range(4):
        assert visitor.get(PATH).status_code == 200
        assert sent(visitor, FIELDS).status_code == 303
    for _ in range(3):
        assert visitor.get(PATH, params=FIELDS).status_code == 200
    refused = visitor.get(PATH, params=FIELDS)
    assert refused.status_code == 429
    assert 0 < int(refused.headers["retry-after"]) <= 3600
    assert refused.headers["ratelimit"].startswith('"address";r=0;')
    assert "please try again in 60 minutes" in refused.text
    assert 'value="40"' in refused.text


def test_page_of_no_website_is_none(visitor: TestClient) -> None:
    """An entry that the catalog doesn't have is not found, whatever its name looks like; who
    mistyped its address reads so on a page in his language."""
    for name in ("nope", "..%2Fdemo_site", "demo_site%00", "a" * 300):
        assert visitor.get(f"/website/{name}").status_code == 404, name
    for language, said in (("en", "There is nothing here"), ("es-MX", "Aquí no hay nada")):
        page = visitor.get("/website/nope", headers={"Accept-Language": language})
        assert page.headers["content-type"].startswith("text/html")
        assert f"<h1>{said}</h1>" in page.text
