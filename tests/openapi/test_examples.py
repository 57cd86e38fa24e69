"""Golden quotes: the examples of the API document are the service's answers, to the byte."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.cli.examples import REQUEST_ID, Example, answer_text, operation_paths, read_examples

FOLDER = Path(__file__).resolve().parents[2] / "openapi" / "examples"
EXAMPLES = read_examples(FOLDER)
IDS = [f"{example.operation_id}/{example.case}" for example in EXAMPLES]
COMMAND = "python -m service openapi --write"
# What may change while no number does: stamps of the catalog, and sentences for people.
NO_NUMBERS = re.compile(r"/(digest|catalog_version)$|/(how|why|text|message|hint|detail)(/|$)")
LARGEST_BYTES = 100_000  # a whole job: two walls, soil, site work, machines, phases, checks


@pytest.fixture(scope="module")
def paths(client: TestClient) -> dict[str, str]:
    """The path of each operation that is posted to."""
    return operation_paths(client.get("/openapi.json").json())


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
    example: Example, client: TestClient, paths: dict[str, str]
) -> None:
    """Asked again, the service gives the kept answer: same keys, same order, same text."""
    headers = {"Content-Type": "application/json", "X-Request-ID": REQUEST_ID}
    body = example.request.read_bytes()
    answer = client.post(paths[example.operation_id], content=body, headers=headers)
    kept, given = example.response.read_text(encoding="utf-8"), answer_text(answer.content)
    assert kept == given, _what_to_do(kept, given)
    assert answer.status_code == json.loads(kept).get("status", 200)


def test_examples_are_pairs() -> None:
    """Every request has its answer, every answer its request, and nothing else lies there."""
    files = {path for path in FOLDER.rglob("*") if path.is_file()}
    assert files == {file for e in EXAMPLES for file in (e.request, e.response)}


def test_examples_stay_readable() -> None:
    """No example is so long that nobody would read it."""
    assert all(path.stat().st_size < LARGEST_BYTES for path in FOLDER.rglob("*.json"))


def test_examples_stand_in_the_document(client: TestClient, paths: dict[str, str]) -> None:
    """The document shows every request that was answered well, every problem under its status,
    and one whole answer for each operation."""
    document: dict[str, Any] = client.get("/openapi.json").json()
    shown: dict[str, list[str]] = {example.operation_id: [] for example in EXAMPLES}
    for example in EXAMPLES:
        operation = document["paths"][paths[example.operation_id]]["post"]
        (request,) = operation["requestBody"]["content"].values()
        kept = json.loads(example.request.read_text(encoding="utf-8"))
        answer = json.loads(example.response.read_text(encoding="utf-8"))
        (media,) = operation["responses"][str(answer.get("status", 200))]["content"].values()
        if "errors_total" in answer:
            assert media["examples"][example.case]["value"] == answer
            assert example.case not in request["examples"]
        else:
            assert request["examples"][example.case]["value"] == kept
            shown[example.operation_id] += [example.case] * (example.case in media["examples"])
    assert shown == {"quote_walls": ["straight_wall"], "compare_quotes": ["heights_that_fit"]}


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
