"""The whole API document against the running application: examples, edges, fuzzing, links.

Bounded and repeatable: a fixed seed and number of examples. `python .ci/tasks.py` runs it with the
other tests. A request for a quote is taken apart once, where it is the whole body: where it is part
of one, it is taken from a few that are known. The profile `deep` takes it apart everywhere, and
tries more of everything.

What is off, and why:

- `positive_data_acceptance`: our rules go beyond what a schema can say (two figures fix a curve,
  ids must be in the catalog, items need prices), so what fits the schema may still be 422.
- `negative_data_rejection` for a batch: what is wrong with a request is told in its own line or
  item, below 200 or 207.
- `ignored_auth`: the key of this run goes over what it makes up in its place, so it takes its own
  call for one without a key. Every operation is called by every caller in
  tests/api/test_admission.py.

It is called with a key for quotes, prices and the service's running.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis import SerializationContext
from schemathesis.config import SchemathesisConfig
from schemathesis.schemas import BaseSchema

from service.api.app import create_app
from service.api.faults import KINDS
from service.settings import Settings
from service.storage import Store
from tests.given.api_keys import bearer, new_key
from tests.given.catalogs import shipped_catalog
from tests.given.counts import count_of
from tests.given.quote_requests import level_wall, shipped_request
from tests.given.served import Here

NDJSON = "application/x-ndjson"
WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
QUOTES = "/v1/quotes"
# One with hours and a price, one of material alone, one that can't be laid out.
KNOWN_QUOTES = (
    shipped_request(rates="small_crew", terms="standard", reference="job-7"),
    shipped_request(materials_only=True),
    shipped_request(level_wall(plan=[{"kind": "corner", "side": "inside", "angle": "90 deg"}])),
)
# Tracing would take longer than the work.
pytestmark = [pytest.mark.no_cover, pytest.mark.long]

# Of parameters, types and bodies of an import most that is made up doesn't go together.
FILTERED = (HealthCheck.too_slow, HealthCheck.filter_too_much)
DEEP = settings.get_current_profile_name() == "deep"
EXAMPLES = count_of("EXAMPLES", 400 if DEEP else 4)
REQUEST_S = 60.0  # only finds hangs: other tests run on the same machine
QUOTE_EXAMPLES = max(4, EXAMPLES // 10)  # a quote takes long to make up
# To make up each bound of each field of a body takes two thirds of the time: in large numbers.
WITHOUT_BOUNDS = {
    "include-method": ["POST", "PUT", "PATCH"],
    "phases": {"coverage": {"enabled": EXAMPLES > 100}},
}


def configuration(key: str, examples: int, *operations: dict[str, Any]) -> SchemathesisConfig:
    """With which key, what is tried, how often, and what is checked."""
    return SchemathesisConfig.from_dict(
        {
            "seed": 20260504,
            "request-timeout": REQUEST_S,
            "headers": bearer(key),
            "generation": {"mode": "all", "max-examples": examples, "deterministic": True},
            # The time is by the wall clock, on a machine that runs other tests: it only finds
            # hangs. What a request may cost is held in tests/api/test_worst_case.py, by work done.
            "checks": {
                "positive_data_acceptance": {"enabled": False},
                "ignored_auth": {"enabled": False},
                # What is made up may be too large for a body or a head before it is wrong.
                "negative_data_rejection": {"expected-statuses": ["4xx"]},
                "max_response_time": 20.0,
            },
            "phases": {
                "examples": {"enabled": True},
                "coverage": {"enabled": True},
                "fuzzing": {"enabled": True},
                "stateful": {"enabled": True, "max-steps": 5},
            },
            "operations": [WITHOUT_BOUNDS, *operations],
        }
    )


def with_known_quotes(whole: BaseSchema, key: str) -> BaseSchema:
    """The document in which a request for a quote is one of a few."""
    document = copy.deepcopy(whole.raw_schema)
    assert "QuoteRequest" in document["components"]["schemas"]
    if not DEEP:
        document["components"]["schemas"]["QuoteRequest"] = {"enum": list(KNOWN_QUOTES)}
    batch = {
        "include-operation-id": "quote_batch",
        "checks": {"negative_data_rejection": {"enabled": False}},
        "generation": {"max-examples": QUOTE_EXAMPLES},
    }
    schema = schemathesis.openapi.from_dict(document, config=configuration(key, EXAMPLES, batch))
    schema.app = whole.app
    return schema


@schemathesis.serializer(WORKBOOK)
def workbook_bytes(_context: SerializationContext, value: object) -> bytes:
    """What is sent as a workbook: whatever was made up, which is none."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")


@schemathesis.serializer(NDJSON)
def to_lines(_context: object, value: object) -> bytes:
    """A body of one line."""
    return value if isinstance(value, bytes) else json.dumps(value).encode() + b"\n"


@schemathesis.deserializer(NDJSON)
def from_lines(_context: object, response: Any) -> object:  # noqa: ANN401  (the library's type)
    """The first line of an answer, of which the last one says that it is whole."""
    lines = [json.loads(line) for line in response.content.splitlines()]
    last = lines[-1]
    assert last["end"] is True
    (count,) = (last[what] for what in ("lines", "quotes", "items") if what in last)
    assert count == len(lines) - 1
    return lines[0]


@pytest.fixture(scope="module")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, str]]:
    """A store that has a key, and the key."""
    store = Store.open(f"sqlite:///{tmp_path_factory.mktemp('keyed')}/keyed.sqlite")
    store.migrate()
    yield store, new_key(store, "quotes", "prices", "admin")[1]
    store.close()


@pytest.fixture(scope="module")
def served(keyed: tuple[Store, str]) -> BaseSchema:
    """The document as the application serves it to Schemathesis."""
    settings = Settings.model_construct(allowed_hosts=("testserver",))
    store, key = keyed
    app = create_app(settings, shipped_catalog(), store)
    app.state.door = Here()
    return schemathesis.openapi.from_asgi(
        "/openapi.json", app, config=configuration(key, QUOTE_EXAMPLES), timeout=REQUEST_S
    )


@pytest.fixture(scope="module")
def known(served: BaseSchema, keyed: tuple[Store, str]) -> BaseSchema:
    """The document in which a request for a quote is one of a few."""
    return with_known_quotes(served, keyed[1])


@pytest.fixture(autouse=True)
def own_name(request: pytest.FixtureRequest) -> None:
    """Schemathesis looks for the name of a test where pytest no longer keeps it."""
    request.node._nodeid = request.node.nodeid  # noqa: SLF001


@pytest.fixture(scope="module", autouse=True)
def own_database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What is saved here is seen by no other test; the first call opens the database."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


def keep_to_the_document(case: schemathesis.Case[Any]) -> None:
    """Call, hold the answer against the document, and see that each code of a problem has a
    page."""
    response = case.call_and_validate()
    if response.headers.get("content-type") == ["application/problem+json"]:
        problem = json.loads(response.content)
        assert {problem["code"], *(entry["code"] for entry in problem["errors"])} <= KINDS.keys()


@schemathesis.pytest.from_fixture("served").include(path=QUOTES).parametrize()
def test_quotes_keep_to_the_document(case: schemathesis.Case[Any]) -> None:
    """Statuses, media types, headers and bodies are those of the document; none is a 5xx."""
    keep_to_the_document(case)


@schemathesis.pytest.from_fixture("known").exclude(path=QUOTES).parametrize()
@settings(max_examples=EXAMPLES, suppress_health_check=FILTERED)
def test_every_operation_keeps_to_the_document(case: schemathesis.Case[Any]) -> None:
    """The same for every other operation."""
    keep_to_the_document(case)


def test_operations_that_lead_to_each_other_keep_to_the_document(known: BaseSchema) -> None:
    """What one answer names (ids of a list, its next page) can be asked for and fits as well."""
    known.as_state_machine().run(
        settings=settings(
            max_examples=25, stateful_step_count=5, deadline=None, derandomize=True, database=None
        )
    )
