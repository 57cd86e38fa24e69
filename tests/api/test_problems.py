"""Problem documents and the pages that explain them."""

import re

import pytest
from starlette.exceptions import HTTPException
from starlette.testclient import TestClient

from service.api import problems
from service.api.faults import KINDS
from service.api.problems import faults_code, problem_document
from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError
from tests.given.page_reader import PageReader
from tests.given.problem_checks import assert_problem
from tests.given.served import BASE_URL, application


def fault(code: str, number: int = 0, message: str = "It is wrong.") -> Fault:
    """A fault at one of several walls."""
    return Fault(code=code, at=("walls", number), message=message)


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("code", sorted(KINDS))
def test_every_code_has_a_page(client: TestClient, code: str) -> None:
    """The `type` of a problem leads to a page for people, without script."""
    response = client.get(f"/problems/{code}")
    assert response.status_code == 200
    assert response.headers["content-type"] == "text/html; charset=utf-8"
    assert "default-src 'none'" in response.headers["content-security-policy"]
    page = PageReader(response.text)
    assert page.tags.isdisjoint({"script", "img", "iframe", "link"})
    assert KINDS[code].title in page.text
    assert KINDS[code].explanation in page.text


def test_pages_are_listed(client: TestClient) -> None:
    """One page leads to all of them."""
    text = client.get("/problems").text
    assert all(f'href="problems/{code}"' in text for code in KINDS)


def test_unknown_codes_have_no_page(client: TestClient) -> None:
    """A code that is none has no page, and is not repeated."""
    response = client.get("/problems/<b>nope")
    assert "nope" not in response.text
    assert_problem(response, 404, "not-found")


def test_codes_are_kebab_case() -> None:
    """Codes are words joined by hyphens, and stand in the table under themselves."""
    for code, kind in KINDS.items():
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", code)
        assert kind.code == code
        assert 400 <= kind.status <= 599


def test_problem_document_speaks_with_the_only_fault() -> None:
    """With one fault `detail` is its message, and the pointer leads to the field."""
    one = Fault(code="unknown-soil", at=("walls", 0, "a/b~c"), message="No such soil.", hint="clay")
    document = problem_document("unknown-soil", [one], instance="id-1")
    assert document["detail"] == "No such soil."
    assert document["errors"] == [
        {
            "pointer": "/walls/0/a~1b~0c",
            "message": "No such soil.",
            "code": "unknown-soil",
            "hint": "clay",
        }
    ]
    assert (document["status"], document["errors_total"]) == (422, 1)


def test_problem_document_holds_at_most_100_faults() -> None:
    """Of more than 100 faults the first 100 are given, and how many there are."""
    document = problem_document("wrong-type", [fault("wrong-type", n) for n in range(250)])
    assert [entry["pointer"] for entry in document["errors"]] == [f"/walls/{n}" for n in range(100)]
    assert document["errors_total"] == 250
    assert document["detail"].startswith("250 faults")


def test_problem_document_counts_no_further_than_a_thousand() -> None:
    """999 faults are counted; of 1,000 and more the number is 1,000, in words "1000 or more"."""
    for number, total, words in ((999, 999, "999 faults"), (1000, 1000, "1000 or more faults")):
        document = problem_document("wrong-type", [fault("wrong-type")] * number)
        assert document["errors_total"] == total
        assert document["detail"].startswith(words)
    assert problem_document("wrong-type", [fault("wrong-type")] * 5000)["errors_total"] == 1000


def test_problem_document_stays_small() -> None:
    """Faults with long texts are cut and, before the answer grows large, left out."""
    long = [Fault(code="x", at=("ü" * 9_999,), message="ü" * 9_999, hint="ü" * 9_999)] * 100
    document = problem_document("request-invalid", long)
    assert len(problems.encode(document)) <= 64 * 1024
    assert document["errors_total"] == 100
    assert document["errors"][0]["message"].endswith("…")


def test_problem_document_stands_in_for_a_code_without_a_row() -> None:
    """A code that was forgotten in the table never becomes a 500."""
    document = problem_document("forgotten", [fault("forgotten")])
    assert (document["code"], document["status"]) == ("request-invalid", 422)
    assert document["errors"][0]["code"] == "forgotten"


def test_faults_code_is_shared_or_general() -> None:
    """Faults of one code name the problem; mixed ones make the general one."""
    assert faults_code([fault("wrong-type"), fault("wrong-type", 1)]) == "wrong-type"
    assert faults_code([fault("wrong-type"), fault("unknown-key")]) == "request-invalid"


def test_encode_survives_half_a_surrogate_pair() -> None:
    """Text that UTF-8 can't carry is replaced, not a crash."""
    assert problems.encode({"a": "\ud800ü"}) == '{"a":"?ü"}'.encode()


@pytest.fixture(scope="module")
def failing(catalog: Catalog) -> TestClient:
    """An application with routes that fail in each way the framework knows."""
    app = application(catalog)

    @app.get("/fail/faults")
    async def fail_faults() -> None:
        raise QuoteFaultsError([fault("no-course", 0), fault("no-course", 1)])

    @app.get("/fail/number")
    async def fail_number(count: int) -> int:
        return count

    @app.get("/fail/status/{status}")
    async def fail_status(status: int) -> None:
        raise HTTPException(status, "text for programmers")

    @app.get("/fail/crash")
    async def fail_crash() -> None:
        raise ZeroDivisionError("secret-4711")

    return TestClient(app, base_url=BASE_URL)


def test_on_faults_answers_what_the_core_found(failing: TestClient) -> None:
    """Faults of the core become the problem of their code, each with its pointer."""
    problem = assert_problem(failing.get("/fail/faults"), 422, "no-course")
    assert [entry["pointer"] for entry in problem["errors"]] == ["/walls/0", "/walls/1"]


def test_on_parameter_error_hides_the_frameworks_words(failing: TestClient) -> None:
    """The framework's own validation has the one shape too, and repeats nothing."""
    response = failing.get("/fail/number?count=secret-4711")
    assert_problem(response, 422, "parameter-invalid")
    assert "secret-4711" not in response.text


@pytest.mark.parametrize(
    ("status", "code"),
    [
        (400, "request-malformed"),
        (404, "not-found"),
        (405, "method-not-allowed"),
        (406, "not-acceptable"),
        (413, "body-too-large"),
        (415, "media-type-unsupported"),
        (422, "request-invalid"),
        (429, "rate-limited"),
        (500, "internal-error"),
    ],
)
def test_on_http_error_gives_each_status_its_code(
    failing: TestClient, status: int, code: str
) -> None:
    """Errors raised by status have the one shape and none of the framework's text."""
    response = failing.get(f"/fail/status/{status}")
    assert_problem(response, status, code)
    assert "programmers" not in response.text


def test_a_crash_in_a_route_is_a_problem(failing: TestClient) -> None:
    """A crash is a 500 problem without details."""
    response = failing.get("/fail/crash")
    assert_problem(response, 500, "internal-error")
    assert "secret-4711" not in response.text
