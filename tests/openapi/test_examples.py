"""Golden quotes: the examples of the API document are the service's answers, to the byte."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.api.app import OPERATIONS
from service.cli.examples import Example, Names, answers, read_examples
from service.cli.loopback import Answered
from service.cli.openapi import example_app

FOLDER = Path(__file__).resolve().parents[2] / "openapi" / "examples"
EXAMPLES = read_examples(FOLDER)
IDS = [f"{example.operation_id}/{example.case}" for example in EXAMPLES]
COMMAND = "python -m service openapi --write"
# What may change while no number does: stamps of the catalog, and sentences for people.
NO_NUMBERS = re.compile(r"/(digest|catalog_version)$|/(how|why|text|message|hint|detail)(/|$)")
LARGEST_BYTES = 100_000  # a whole job: two walls, soil, site work, machines, phases, checks


@pytest.fixture(scope="module")
def asked() -> list[tuple[Example, Answered, str]]:
    """What the service answers to each example, asked in their order."""
    with example_app() as app:
        return list(answers(app, EXAMPLES))


@pytest.fixture(scope="module")
def answered(asked: list[tuple[Example, Answered, str]]) -> dict[Example, Answered]:
    """The answers as they came."""
    return {example: each for example, each, _ in asked}


@pytest.fixture(scope="module")
def told(asked: list[tuple[Example, Answered, str]]) -> dict[Example, str]:
    """The answers that are kept, as they are kept."""
    return {example: text for example, _, text in asked if text and example.kept}


def _differences(kept: object, given: object, at: str = "") -> Iterator[str]:
    """Where two JSON documents differ, with both values."""
    if isinstance(kept, dict) and isinstance(given, dict):
        for key in [*kept, *(key for key in given if key not in kept)]:
            yield from _differences(kept.get(key), given.get(key), f"{at}/{key}")
    elif isinstance(kept, list) and isinstance(given, list) and len(kept) == len(given):
        for index, (one, other) in enumerate(zip(kept, given, strict=True)):
            yield from _differences(one, other, f"{at}/{index}")
    elif kept != given:
        yield f"{at}: {json.dumps(kept)[:120]} -> {json.dumps(given)[:120]}"


def _what_to_do(kept: str, given: str) -> str:
    found = list(_differences(json.loads(kept), json.loads(given)))
    if all(NO_NUMBERS.search(line.partition(": ")[0]) for line in found):
        return f"only stamps of the catalog or sentences changed; run: {COMMAND}"
    return (
        "the answer to a request that was answered before changed:\n  "
        + "\n  ".join(found[:20])
        + "\nIf it is right so: a changed quantity, hour or price needs a new ENGINE_VERSION "
        "(service/core/__init__.py) and an entry under Numbers in openapi/CHANGELOG.md; then run: "
        + COMMAND
    )


@pytest.mark.parametrize("example", EXAMPLES, ids=IDS)
def test_example_is_what_the_service_answers(
    example: Example, answered: dict[Example, Answered], told: dict[Example, str]
) -> None:
    """Asked again, the service gives the kept answer: same keys, same order, same text."""
    path = example.response(answered[example].status)
    if example not in told:
        assert answered[example].status < 300
        assert not path.exists()
        return
    kept, given = path.read_text(encoding="utf-8"), told[example]
    assert kept == given, _what_to_do(kept, given)


def test_examples_are_pairs(told: dict[Example, str], answered: dict[Example, Answered]) -> None:
    """Every request has its answer, every answer its request, and nothing else lies there."""
    files = {path for path in FOLDER.rglob("*") if path.is_file()}
    responses = {example.response(answered[example].status) for example in told}
    assert files == {FOLDER / "story.toml", *(e.request for e in EXAMPLES), *responses}


def test_names_are_told_alike_each_time() -> None:
    """An id that is drawn is told by its place: the same one each time, another one otherwise."""
    names = Names()
    first, other = "q000000001_66540fb5132836c380f4", "r001777885200_51b7dea994aceeb0"
    assert names.told(f"{first} {other}") == f"q000000001_{'01' * 10} r001777885200_{'02' * 8}"
    assert names.told(f"/v1/{first}") == f"/v1/q000000001_{'01' * 10}"
    assert names.told("a" * 64) == "a" * 64
    assert names.told(f"https://x.org/q/{'aB-_' * 10}abc") == f"https://x.org/q/{'0' * 43}"
    assert names.drawn(f'"r001777885200_{"02" * 8}"') == f'"{other}"'


def test_examples_stay_readable() -> None:
    """No example is so long that nobody would read it."""
    assert all(path.stat().st_size < LARGEST_BYTES for path in FOLDER.rglob("*.json"))


def test_examples_stand_in_the_document(
    client: TestClient, answered: dict[Example, Answered], told: dict[Example, str]
) -> None:
    """The document shows every request that was answered well, every problem under its status
    and in no body, and one whole answer for each operation that answers at length."""
    document: dict[str, Any] = client.get("/openapi.json").json()
    rows = {each.id: each for each in OPERATIONS}
    for example in EXAMPLES:
        row = rows[example.operation_id]
        operation = document["paths"][row.path][row.method.lower()]
        kind = "text/csv" if example.request.suffix == ".csv" else "application/json"
        body = operation.get("requestBody", {"content": {kind: {"examples": {}}}})
        requests = body["content"][kind]["examples"]
        status = answered[example].status
        kept = json.loads(told.get(example, "null"))
        contents = operation["responses"][str(status)].get("content", {})
        shown = [media["examples"] for media in contents.values() if "examples" in media]
        if status >= 400:
            assert shown[0][example.case]["value"] == kept
            assert example.case not in requests
            continue
        text = example.request.read_text(encoding="utf-8")
        sent = text if kind == "text/csv" else json.loads(text)
        assert requests[example.case]["value"] == sent
        if example in told and row.example in {"", example.case}:
            assert shown[0][example.case]["value"] == kept
        else:
            assert not any(example.case in each for each in shown)


def _operations(client: TestClient) -> Iterator[tuple[str, dict[str, Any]]]:
    for methods in client.get("/openapi.json").json()["paths"].values():
        for operation in methods.values():
            yield operation["operationId"], operation


def test_every_operation_with_a_body_has_whole_examples(client: TestClient) -> None:
    """Whoever sends something sees a whole request that is answered well, and a refusal of one."""
    for id_, operation in _operations(client):
        if "requestBody" not in operation:
            continue
        content = operation["requestBody"]["content"]
        assert [media for media in content.values() if media.get("examples")], id_
        if id_ != "reload_catalog":  # it has no faults but those of files
            problem = operation["responses"]["422"]["content"]["application/problem+json"]
            assert problem["examples"], id_


def test_what_was_refused_by_what_is_stored_shows_itself(client: TestClient) -> None:
    """An operation whose 409 has codes of its own shows one of them."""
    own = {
        "cancel_repricing",
        "estimate_price_range",
        "import_price_file",
        "issue_repricing",
        "make_document",
        "make_link",
        "publish_price_list",
        "put_quote_actuals",
        "quote_lead",
        "save_quote",
        "set_quote_state",
    }
    shown = set()
    for id_, operation in _operations(client):
        problem = operation["responses"].get("409", {}).get("content", {})
        if problem.get("application/problem+json", {}).get("examples"):
            shown.add(id_)
    assert shown == own


def test_what_is_made_shows_itself(client: TestClient) -> None:
    """An operation that makes something shows its answer; one whole quote stands in the
    document, so what would show another doesn't."""
    whole_quotes = {"revise_saved_quote"}
    for id_, operation in _operations(client):
        if "201" in operation["responses"] and id_ not in whole_quotes:
            (media,) = operation["responses"]["201"]["content"].values()
            assert media["examples"], id_
    text = client.get("/openapi.json").text
    assert text.count('"order_of_work":{"working_days"') == 1


def test_each_status_shows_its_own_problem(client: TestClient) -> None:
    """A refusal shows a problem of its status, in an operation's own examples too."""
    document = client.get("/openapi.json").json()
    responses = list(document["components"]["responses"].items())
    for _, operation in _operations(client):
        responses += [
            (status, each) for status, each in operation["responses"].items() if "$ref" not in each
        ]
    seen = set()
    for name, response in responses:
        for kind, media in response.get("content", {}).items():
            if kind != "application/problem+json":
                continue
            shown = [each["value"] for each in media.get("examples", {}).values()]
            for problem in [media["example"]] if "example" in media else shown:
                assert problem["type"] == f"/problems/{problem['code']}"
                assert name in {str(problem["status"]), name if not name.isdigit() else ""}
                seen.add(problem["status"])
    named = {400, 401, 403, 404, 406, 409, 410, 412, 413, 415, 422, 428, 429, 431, 500, 503, 507}
    assert seen == named


def test_first_example_is_the_simplest(client: TestClient) -> None:
    """Quoting comes first, with the straight wall, its keys in the order of the schema."""
    paths = client.get("/openapi.json").json()["paths"]
    assert next(iter(paths)) == "/v1/quotes"
    body = paths["/v1/quotes"]["post"]["requestBody"]["content"]["application/json"]
    case, first = next(iter(body["examples"].items()))
    assert case == "straight_wall"
    assert list(first["value"])[:4] == ["title", "reference", "units", "issued_on"]
    order = list(
        client.get("/openapi.json").json()["components"]["schemas"]["QuoteRequest"]["properties"]
    )
    assert sorted(first["value"], key=order.index) == list(first["value"])


def _answer(case: str) -> dict[str, Any]:
    path = FOLDER / "quote_walls" / f"{case}.response.json"
    document: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return document


def test_straight_wall_counts_by_hand() -> None:
    """40 ft / 17 in = 28.24, so 29 units; 60 in built less a 4 in cap / 8 in = 7 courses."""
    answer = _answer("straight_wall")
    (wall,) = answer["walls"]
    assert [run["standard_units"] for c in wall["courses"] for run in c["runs"]] == [29] * 7
    assert [cap["units"] for cap in wall["caps"]] == [29]
    assert wall["face_area"] == {"value": "186.666667", "unit": "ft2"}
    assert wall["exposed_area"] == {"value": "160", "unit": "ft2"}
    assert wall["max_wall_height"] == {"value": "5", "unit": "ft"}
    units, caps, pad = answer["quantities"][:3]
    assert (units["net"]["value"], units["order"]["value"]) == ("203", "214")
    assert (caps["net"]["value"], caps["order"]["value"]) == ("29", "31")
    assert pad["net"] == {"value": "1.54320988", "unit": "yd3"}  # 40 ft x 25 in x 6 in


def test_u_shaped_wall_counts_by_hand() -> None:
    """24 + 6 in at 6 in a course: 5 courses. In the lowest the longer leg has both corner units
    within its 18 ft, and each 6 ft leg loses their depth of 12 in: 5, 18 and 5."""
    (wall,) = _answer("u_shaped_wall")["walls"]
    assert len(wall["courses"]) == 5
    (run,) = wall["courses"][0]["runs"]
    assert [leg["standard_units"] + leg["corner_units"] for leg in run["legs"]] == [5, 18, 5]


def test_examples_of_problems_name_every_mistake() -> None:
    """Ten mistakes get ten entries, each with its pointer; a missing price one for each item."""
    mistakes = _answer("ten_mistakes")
    assert (mistakes["status"], mistakes["errors_total"]) == (422, 10)
    assert {entry["pointer"] for entry in mistakes["errors"]} == {
        "/titel",
        "/units",
        "/issued_on",
        "/wall_system",
        "/walls/0/plan/0/length",
        "/walls/0/plan/1",
        "/walls/0/plan/2/angle",
        "/walls/0/plan/3/length",
        "/walls/0/profile/0",
        "/terms/tax/rate",
    }
    missing = _answer("price_missing")
    assert missing["code"] == "price-missing"
    assert [entry["pointer"] for entry in missing["errors"]] == [
        "/prices/items/drain_pipe",
        "/prices/items/outlet_pipe",
        "/prices/items/filter_fabric",
    ]


def test_comparison_finds_the_heights_that_fit() -> None:
    """Six courses of 8 in and a 4 in cap with 6 in buried show 46 in; eight courses 62 in."""
    path = FOLDER / "compare_quotes" / "heights_that_fit.response.json"
    (fit,) = json.loads(path.read_text(encoding="utf-8"))["heights_that_fit"]
    assert fit["courses"] == 7
    for side, courses, exposed_in in (("below", 6, 46), ("above", 8, 62)):
        assert fit[side]["courses"] == courses
        exposed_ft = float(fit[side]["max_exposed_height"]["value"])
        assert exposed_ft * 12 == pytest.approx(exposed_in)
    below, above = (float(fit[side]["figures"]["difference"]) for side in ("below", "above"))
    assert below < 0 < above
