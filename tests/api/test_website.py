"""A website's two addresses as a page calls them: languages, versions, hostile answers."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from starlette.testclient import TestClient

from service.catalog import Catalog, load_catalog
from service.catalog.documents.website import QUESTIONS
from service.core.errors import QuoteFaultsError
from service.operations.callers.website.range_request import read_range
from tests.given.catalog_files import write_folder
from tests.given.catalogs import shipped_catalog
from tests.given.served import BASE_URL
from tests.given.visitors import LEAD, PLAIN, asked, uncounted

FORM, RANGE = "/v1/website/form", "/v1/website/price-range"


def visiting(catalog: Catalog) -> TestClient:
    """A client that asks as often as it likes, over no database."""
    return TestClient(uncounted(catalog), base_url=BASE_URL)


@cache
def visitor() -> TestClient:
    """The same over the shipped catalog, made once."""
    return visiting(shipped_catalog())


@pytest.fixture
def client() -> TestClient:
    """A client over the shipped catalog."""
    return visitor()


@pytest.mark.parametrize(
    ("accept", "language"),
    [
        ("", "en"),
        ("es", "es"),
        ("es-MX,es;q=0.9,en;q=0.8", "es"),
        ("en-US,en;q=0.9,es;q=0.8", "en"),
        ("fr-FR, es;q=0.3", "es"),
        ("fr", "en"),
        ("en;q=0, *;q=0.5", "es"),
        ("\x80;;q=ü", "en"),
    ],
)
def test_form_is_answered_in_the_visitors_language(
    client: TestClient, accept: str, language: str
) -> None:
    """The best liked of the website's languages; the first where none is liked."""
    head = [(b"Accept-Language", accept.encode("latin-1"))] if accept else []
    answer = client.get(FORM, headers=head)
    assert answer.status_code == 200
    assert answer.headers["content-language"] == answer.json()["language"] == language
    assert "Accept-Language" in answer.headers["vary"]
    again = client.get(FORM, headers=[*head, (b"If-None-Match", answer.headers["etag"].encode())])
    assert again.status_code == 304


def test_form_is_filled_in_and_answered(client: TestClient) -> None:
    """What fits the form's schema is answered; the words are those of the language."""
    form = client.get(FORM).json()
    sent = asked(postal_code="00000", when="later", line="corner")
    assert Draft202012Validator(form["schema"]).is_valid(sent["answers"])
    sent["form_version"] = form["form_version"]
    answer = client.post(RANGE, json=sent, headers={"Accept-Language": "es"})
    assert answer.status_code == 200
    assert set(answer.json()) == {"range", "rests_on", "not_included", "cautions"}
    assert answer.headers["content-language"] == "es"
    assert answer.headers["cache-control"] == "no-store"
    assert "Línea: Con una esquina." in answer.json()["rests_on"]


def test_range_of_another_form_is_refused(client: TestClient) -> None:
    """Answers to a form of yesterday are none to that of today, whatever else is wrong."""
    answer = client.post(RANGE, json={**asked(length="forty"), "form_version": 7})
    assert (answer.status_code, answer.json()["code"]) == (409, "form-changed")


def test_range_tells_all_faults_at_once(client: TestClient) -> None:
    """Shape, answers and lead in one pass, each at its place."""
    sent = {**asked({"name": "A", "photo_1": "http://x"}, behind="?", extra="1"), "page": 2}
    del sent["answers"]["water"]
    answer = client.post(RANGE, json=sent)
    assert answer.status_code == 422
    assert {fault["pointer"]: fault["code"] for fault in answer.json()["errors"]} == {
        "/answers/behind": "unknown-choice",
        "/answers/extra": "unknown-key",
        "/answers/water": "field-missing",
        "/lead/consent": "consent-missing",
        "/lead/email": "lead-not-reachable",
        "/lead/photo_1": "link-invalid",
        "/page": "unknown-key",
    }


@pytest.mark.parametrize(
    "sent",
    [
        {"form_version": 1},
        {"form_version": 1, "answers": []},
        {"form_version": "1", "answers": PLAIN},
        {"form_version": True, "answers": PLAIN},
        {"form_version": 1, "answers": {**PLAIN, "length": 40}},
        {"form_version": 1, "answers": {**PLAIN, "length": None}},
        {"form_version": 1, "answers": {**PLAIN, "length": {"value": "40"}}},
        {"form_version": 1, "answers": PLAIN, "lead": [LEAD]},
        {"form_version": 1, "answers": PLAIN, "website": 5},
        [],
    ],
)
def test_range_of_another_shape_is_refused(client: TestClient, sent: object) -> None:
    """Whatever is sent, a fault is said at its place, and each place is said once."""
    answer = client.post(RANGE, json=sent)
    assert answer.status_code == 422
    places = [fault["pointer"] for fault in answer.json()["errors"]]
    assert len(set(places)) == len(places) > 0


TEXTS = st.text(
    st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=40
) | st.sampled_from(["level", "42", "3", "pool", "1e9", "NaN", "=1+1"])


@given(answers=st.dictionaries(st.sampled_from([*PLAIN, *QUESTIONS, "x"]), TEXTS, max_size=12))
@settings(max_examples=40, deadline=None)
def test_range_of_hostile_answers_is_refused_or_told(answers: dict[str, str]) -> None:
    """No answer breaks the service or comes back as it was sent to a page."""
    sent = {"form_version": 1, "answers": {**PLAIN, **answers}}
    answer = visitor().post(RANGE, json=sent)
    assert answer.status_code in {200, 422}
    if answer.status_code == 200:
        assert {"range", "visit"} & set(answer.json())


def test_range_of_a_trapped_program_is_ordinary(client: TestClient) -> None:
    """Who fills in what people don't see is answered like everybody, and leaves nothing."""
    plain = client.post(RANGE, json=asked()).json()
    trapped = client.post(RANGE, json={**asked(LEAD), "website": "https://spam.example.com"})
    assert trapped.json() == plain


def test_website_without_consent_takes_no_lead(tmp_path: Path) -> None:
    """What a visitor agrees to is left out of the file: a price is told, an address is refused."""
    file = Path(shipped_catalog().websites["demo_site"].file)
    text = file.read_text(encoding="utf-8")
    silent = text[: text.index("[leads]")].replace('id = "demo_site"', 'id = "silent"', 1)
    catalog = load_catalog([write_folder(tmp_path, {"websites/silent.toml": silent})])
    site, shipped = catalog.websites["silent"].core, shipped_catalog().websites["demo_site"].core
    assert read_range(asked(), site, catalog, "en").lead is None
    assert read_range(asked(LEAD), shipped, catalog, "en").lead is not None
    with pytest.raises(QuoteFaultsError) as caught:
        read_range(asked(LEAD), site, catalog, "en")
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("leads-not-taken", ("lead",))
    assert "takes no leads" in fault.message


def test_website_of_several_needs_a_key_that_names_it(tmp_path: Path) -> None:
    """Without a key the only website is taken; of two, none."""
    file = Path(shipped_catalog().websites["demo_site"].file)
    other = file.read_text(encoding="utf-8").replace('id = "demo_site"', 'id = "other_site"', 1)
    catalog = load_catalog([write_folder(tmp_path, {"websites/other_site.toml": other})])
    several = visiting(catalog)
    for answer in (several.get(FORM), several.post(RANGE, json=asked())):
        assert (answer.status_code, answer.json()["code"]) == (404, "unknown-website")
