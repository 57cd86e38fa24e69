"""The API document beside that of the last release: the changelog tells what breaks callers."""

import copy
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.openapi.difference import Breaking, breaking_changes
from tests.openapi.released import DOCUMENT, RELEASED, compact
from tests.openapi.shape import shape

PAGES = Path(__file__).resolve().parents[2] / "openapi"
RELEASE: dict[str, Any] = json.loads(RELEASED.read_text(encoding="utf-8"))
NOW: dict[str, Any] = json.loads(DOCUMENT.read_text(encoding="utf-8"))
Change = Callable[[dict[str, Any]], object]


def told_words() -> set[str]:
    """All words in code marks under *Breaking* of the versions since the last release."""
    text = (PAGES / "CHANGELOG.md").read_text(encoding="utf-8")
    since = text.partition(f"\n## {RELEASE['info']['version']}\n")[0]
    parts = re.findall(r"^\*Breaking\*\n(.*?)(?=^\*[A-Z]|^## |\Z)", since, re.MULTILINE | re.DOTALL)
    marked = re.findall(r"`([^`]+)`", "".join(parts))
    return {word for each in marked for word in re.findall(r"[\w-]+", each)}


def name_of(change: Breaking) -> str:
    """The word by which the changelog has to name a change."""
    if change.rule == 10:
        return "Authorization"
    whole = change.place or change.operation.rstrip("/")
    return [part for part in re.split(r"[/ ]|[*{}]+|\([^)]*\)", whole) if part][-1]


def test_breaking_changes_stand_in_the_changelog() -> None:
    """Until 1.0 each change that breaks callers is named under *Breaking*; from then on there is
    none."""
    changes = breaking_changes(RELEASE, NOW)
    if not NOW["info"]["version"].startswith("0."):
        assert changes == []
    told = told_words()
    assert [str(each) for each in changes if name_of(each) not in told] == []


def test_breaking_changes_sees_those_of_this_release() -> None:
    """The comparison reads the documents: it finds the changes that the changelog begins with."""
    if NOW["info"]["version"] == "0.3.0":
        found = {(each.rule, name_of(each)) for each in breaking_changes(RELEASE, NOW)}
        assert {(2, "wall"), (4, "request"), (4, "columns"), (7, "204")} <= found


def test_compact_keeps_what_is_compared() -> None:
    """A release that is kept without words has the shape of the whole document."""
    assert shape(json.loads(compact(NOW))) == shape(NOW)
    assert len(compact(NOW)) < len(json.dumps(NOW)) / 1.5


def test_compact_keeps_keys_that_are_called_like_words_of_a_schema() -> None:
    """A key of an answer may be called `title` or `description`, and stays."""
    schema = {"title": "A", "properties": {"title": {"type": "string", "title": "B"}}}
    document = {"paths": {}, "components": {"schemas": {"A": schema}}}
    assert json.loads(compact(document))["components"]["schemas"]["A"] == {
        "properties": {"title": {"type": "string"}}
    }


WALL: dict[str, Any] = {
    "type": "object",
    "required": ["length"],
    "properties": {
        "length": {"type": "string", "maxLength": 40},
        "side": {"enum": ["left", "right"], "type": "string"},
        "parts": {
            "type": "array",
            "maxItems": 9,
            "items": {
                "oneOf": [
                    {
                        "type": "object",
                        "required": ["kind", "run"],
                        "properties": {"kind": {"const": "straight"}, "run": {"type": "number"}},
                    },
                    {
                        "type": "object",
                        "required": ["kind"],
                        "properties": {"kind": {"const": "curve"}, "radius": {"type": "number"}},
                    },
                ]
            },
        },
    },
}


def small() -> dict[str, Any]:
    """A document with one operation that takes and answers a wall."""
    body = {"content": {"application/json": {"schema": {"$ref": "#/components/schemas/Taken"}}}}
    answer = {"content": {"application/json": {"schema": {"$ref": "#/components/schemas/Given"}}}}
    row = {
        "parameters": [{"in": "query", "name": "mode", "schema": {"enum": ["a", "b"]}}],
        "requestBody": body,
        "responses": {"200": answer, "422": {"description": "refused"}},
    }
    schemas = {"Taken": copy.deepcopy(WALL), "Given": copy.deepcopy(WALL)}
    return {
        "info": {"version": "0.1.0"},
        "paths": {"/walls": {"post": row}},
        "components": {"schemas": schemas},
    }


def taken(document: dict[str, Any]) -> dict[str, Any]:
    """The schema of what the operation takes."""
    found: dict[str, Any] = document["components"]["schemas"]["Taken"]
    return found


def given(document: dict[str, Any]) -> dict[str, Any]:
    """The schema of what the operation answers."""
    found: dict[str, Any] = document["components"]["schemas"]["Given"]
    return found


def row(document: dict[str, Any]) -> dict[str, Any]:
    """The operation."""
    found: dict[str, Any] = document["paths"]["/walls"]["post"]
    return found


def branch(schema: dict[str, Any], number: int) -> dict[str, Any]:
    """One of the kinds of parts of a wall."""
    found: dict[str, Any] = schema["properties"]["parts"]["items"]["oneOf"][number]
    return found


BREAKS: list[tuple[int, str, Change]] = [
    (1, "walls", lambda d: d["paths"].clear()),
    (1, "mode", lambda d: row(d)["parameters"].clear()),
    (2, "side", lambda d: given(d)["properties"].pop("side")),
    (2, "run", lambda d: branch(given(d), 0)["properties"].pop("run")),
    (2, "length", lambda d: given(d)["properties"]["length"].update(type="number")),
    (3, "length", lambda d: given(d).update(required=[])),
    (3, "side", lambda d: given(d)["properties"]["side"].update(type=["string", "null"])),
    (4, "side", lambda d: taken(d)["required"].append("side")),
    (4, "side", lambda d: taken(d)["properties"].pop("side")),
    (4, "radius", lambda d: branch(taken(d), 1)["required"].append("radius")),
    (4, "new", lambda d: taken(d).update(
        required=["length", "new"],
        properties={**taken(d)["properties"], "new": {"type": "string"}})),
    (4, "query", lambda d: row(d)["parameters"].append(
        {"in": "query", "name": "query", "required": True, "schema": {"type": "string"}})),
    (4, "json", lambda d: row(d)["requestBody"].update(content={})),
    (5, "length", lambda d: taken(d)["properties"]["length"].update(maxLength=39)),
    (5, "side", lambda d: taken(d)["properties"]["side"].update(minLength=1)),
    (5, "parts", lambda d: taken(d)["properties"]["parts"].update(type="object")),
    (7, "json", lambda d: row(d).update(responses={"201": row(d)["responses"]["200"]})),
    (9, "side", lambda d: taken(d)["properties"]["side"].update(enum=["left"])),
    (9, "mode", lambda d: row(d)["parameters"][0].update(schema={"enum": ["a"]})),
    (10, "Authorization", lambda d: row(d).update(security=[{"key": ["quotes"]}])),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "name", "change"), BREAKS, ids=map(str, range(len(BREAKS))))
def test_breaking_changes_finds_each_kind(rule: int, name: str, change: Change) -> None:
    """Each rule that a document shows is found, once, by its number and its place."""
    new = small()
    change(new)
    (found,) = breaking_changes(small(), new)
    assert (found.rule, name_of(found)) == (rule, name)


HARMLESS: list[Change] = [
    lambda d: d["paths"].update({"/new": d["paths"]["/walls"]}),
    lambda d: row(d)["parameters"].append(
        {"in": "query", "name": "new", "schema": {"type": "string"}}
    ),
    lambda d: taken(d)["properties"].update(new={"type": "string"}),
    lambda d: given(d)["properties"].update(new={"type": "string"}),
    lambda d: given(d)["properties"]["side"].update(enum=["left", "right", "middle"]),
    lambda d: given(d).update(required=["length", "side"]),
    lambda d: taken(d).update(required=[]),
    lambda d: taken(d)["properties"]["length"].update(maxLength=41),
    lambda d: taken(d)["properties"]["side"].update(type=["string", "null"]),
    lambda d: taken(d)["properties"]["parts"]["items"]["oneOf"].append(
        {"type": "object", "required": ["kind", "steps"],
         "properties": {"kind": {"const": "stair"}, "steps": {"type": "integer"}}}
    ),
    lambda d: d["components"]["schemas"].update(Other=d["components"]["schemas"].pop("Taken"))
    or row(d)["requestBody"]["content"]["application/json"].update(
        schema={"$ref": "#/components/schemas/Other"}
    ),
]  # fmt: skip


@pytest.mark.parametrize("change", HARMLESS, ids=map(str, range(len(HARMLESS))))
def test_breaking_changes_passes_what_breaks_nobody(change: Change) -> None:
    """New operations, keys, words, kinds, wider limits and other names of schemas are no break."""
    new = small()
    change(new)
    assert new != small()
    assert breaking_changes(small(), new) == []


def test_readme_says_which_rules_are_compared() -> None:
    """The page for callers numbers the rules, and says which of them the documents show."""
    page = (PAGES / "README.md").read_text(encoding="utf-8")
    section = page.partition("\n## What counts as a breaking change\n")[2].partition("\n## ")[0]
    rules = {int(number) for number in re.findall(r"^(\d+)\. ", section, re.MULTILINE)}
    (listed,) = re.findall(r"rules ([\d, and]+) are compared", section)
    compared = {int(number) for number in re.findall(r"\d+", listed)}
    assert compared == {rule for rule, _, _ in BREAKS}
    assert compared <= rules
