"""Keys and conditions in the head of a call that stores, and what a database's troubles become."""

from collections.abc import Iterator

import pytest
from starlette.requests import Request
from starlette.testclient import TestClient

from service.api.problems import ProblemError
from service.api.storing import read_call, read_conditions
from service.catalog import Catalog
from service.operations.conditions import ConditionFailedError, ConditionMissingError, Conditions
from service.operations.stored_refusals import KeyReusedError, KeyRunningError
from service.storage import (
    StorageBehindError,
    StorageBusyError,
    StorageForeignError,
    StorageFullError,
    StorageGoneError,
    StorageMovedError,
    StorageReadOnlyError,
    Store,
)
from tests.given.problem_checks import assert_problem
from tests.given.served import BASE_URL, application, client_over


def make_request(**headers: str) -> Request:
    """A request with these headers; an underscore stands for a dash."""
    sent = [(n.replace("_", "-").encode(), v.encode("latin-1")) for n, v in headers.items()]
    scope = {"type": "http", "method": "POST", "path": "/v1/x", "query_string": b"mode=write"}
    return Request({**scope, "headers": sent})


@pytest.mark.parametrize(
    ("given", "key"),
    [
        ('"8f14-ceea"', "8f14-ceea"),
        ("8f14-ceea", "8f14-ceea"),
        (r'"a\"b"', 'a"b'),
        ('"a b"', "a b"),
    ],
)
def test_read_call_takes_a_key_in_quotes_or_bare(given: str, key: str) -> None:
    """The key is what stands in the quotes; the query belongs to what is called."""
    call = read_call(make_request(idempotency_key=given), "print")
    assert call is not None
    assert (call.key, call.path, call.fingerprint) == (key, "/v1/x?mode=write", "print")


@pytest.mark.parametrize(
    "given", ["", '""', '"', "a b", "ä", "x" * 256, '"' + "x" * 256 + '"', '"a']
)
def test_read_call_refuses_what_is_no_key(given: str) -> None:
    """What is empty, too long or no visible text is refused."""
    with pytest.raises(ProblemError) as caught:
        read_call(make_request(idempotency_key=given), "print")
    assert caught.value.code == "idempotency-key-invalid"


def test_read_call_without_a_key_is_no_keyed_call() -> None:
    """The key may be left out."""
    assert read_call(make_request(), "print") is None


@pytest.mark.parametrize(
    ("headers", "expected"),
    [
        ({}, Conditions()),
        ({"if_match": '"a"'}, Conditions(if_match=('"a"',))),
        ({"if_match": '"a", W/"b"'}, Conditions(if_match=('"a"', 'W/"b"'))),
        ({"if_none_match": "*"}, Conditions(if_none=True)),
    ],
)
def test_read_conditions_reads_tags(headers: dict[str, str], expected: Conditions) -> None:
    """Tags stand in quotes."""
    assert read_conditions(make_request(**headers)) == expected


def test_read_conditions_refuses_a_star() -> None:
    """`*` in If-Match names no state: refused with words of its own."""
    with pytest.raises(ProblemError) as caught:
        read_conditions(make_request(if_match="*"))
    assert caught.value.code == "precondition-required"


@pytest.mark.parametrize("headers", [{"if_match": "a"}, {"if_match": '"a'}, {"if_none_match": "x"}])
def test_read_conditions_refuses_what_is_no_tag(headers: dict[str, str]) -> None:
    """A tag without its quotes can't be compared, so the call is refused."""
    with pytest.raises(ProblemError):
        read_conditions(make_request(**headers))


def test_conditions_let_nobody_write_over_another() -> None:
    """The tag read must be the current one; a weak tag never is; nothing said is an error."""
    Conditions(if_match=('"a"', '"b"')).check('"b"')
    Conditions(if_none=True).check(None)
    for conditions, etag in (
        (Conditions(if_match=('"a"',)), '"b"'),
        (Conditions(if_match=('W/"b"',)), '"b"'),
        (Conditions(if_match=('"a"',)), None),
        (Conditions(if_none=True), '"b"'),
    ):
        with pytest.raises(ConditionFailedError):
            conditions.check(etag)
    with pytest.raises(ConditionMissingError):
        Conditions().check('"b"')


ERRORS = {
    "full": (StorageFullError("x"), 507, "storage-full", None),
    "gone": (StorageGoneError("x"), 503, "storage-unavailable", "2"),
    "busy": (StorageBusyError("x"), 503, "storage-busy", "2"),
    "moved": (StorageMovedError("x"), 503, "storage-moved", "2"),
    "read-only": (StorageReadOnlyError("x"), 503, "storage-read-only", "2"),
    "behind": (StorageBehindError("x"), 503, "storage-behind", "2"),
    "damaged": (StorageForeignError("x"), 503, "storage-damaged", "2"),
    "reused": (KeyReusedError(), 422, "idempotency-key-reused", None),
    "running": (KeyRunningError(), 409, "idempotency-key-running", "2"),
    "missing": (ConditionMissingError('"e"'), 428, "precondition-required", None),
    "failed": (ConditionFailedError('"e"'), 412, "precondition-failed", None),
}


@pytest.fixture(scope="module")
def troubled(catalog: Catalog) -> Iterator[TestClient]:
    """An application with a route that fails as its path says."""
    app = application(catalog)

    @app.get("/v1/fail/{name}")
    async def fail(name: str) -> None:
        raise ERRORS[name][0]

    with TestClient(app, base_url=BASE_URL) as client:
        yield client


@pytest.mark.parametrize("name", list(ERRORS))
def test_troubles_have_their_own_problems(troubled: TestClient, name: str) -> None:
    """What keeps a call from storing is a problem with its own code, never a 500."""
    _, status, code, retry = ERRORS[name]
    response = troubled.get(f"/v1/fail/{name}")
    assert_problem(response, status, code)
    assert response.headers.get("retry-after") == retry
    assert response.headers.get("etag") == ('"e"' if status in {412, 428} else None)


def test_ready_names_the_database_once_it_is_open(catalog: Catalog, store: Store) -> None:
    """Version and state of the tables stand there; without a database in use nothing does."""
    for used, expected in ((store, {"version": store.version(), "at_head": True}), (None, None)):
        with client_over(catalog, used) as client:
            assert client.get("/health/ready").json().get("database") == expected
