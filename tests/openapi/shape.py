"""An OpenAPI document as what callers rely on: per operation what it takes and what it answers."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

JsonDict = dict[str, Any]
Facts = dict[str, JsonDict]

_BRANCHES = ("anyOf", "oneOf", "allOf")
# Bounds by the loosest of a place's branches: of the first a larger one is looser.
UPPER = ("maximum", "exclusiveMaximum", "maxLength", "maxItems", "maxProperties")
LOWER = ("minimum", "exclusiveMinimum", "minLength", "minItems", "minProperties")


def shape(document: JsonDict) -> JsonDict:
    """`{"GET /path": {"parameters", "body", "answers", "security"}}`; answers that succeed alone.

    A schema is told as `{place: fact}`, the place being a pointer with `*` for an entry of a list,
    `{}` for a value of a map and `(key=word)` for a branch; the fact has `types`, `required`,
    and where there are any `words`, of a closed list, and `bounds`.
    """

    def content(holder: JsonDict) -> dict[str, Facts]:
        media = _resolved(document, holder).get("content", {})
        return {name: _facts(document, each.get("schema", {})) for name, each in media.items()}

    operations: JsonDict = {}
    for place, row, shared in _operations(document):
        given = [_resolved(document, each) for each in (*shared, *row.get("parameters", ()))]
        operations[place] = {
            "parameters": {
                f"{each['in']} {each['name']}": _parameter(document, each) for each in given
            },
            "body": content(row.get("requestBody", {})),
            "answers": {
                f"{status} {media}": facts
                for status, answer in row["responses"].items()
                if status.startswith("2")
                for media, facts in (content(answer) or {"": {}}).items()
            },
            "security": row.get("security", document.get("security", [])),
        }
    return operations


def _parameter(document: JsonDict, row: JsonDict) -> Facts:
    facts = _facts(document, row.get("schema", {}))
    facts.setdefault("", {"types": []})["required"] = row.get("required", False)
    return facts


def _facts(document: JsonDict, schema: JsonDict) -> Facts:
    return _Reader(document).read(schema)


def _operations(document: JsonDict) -> Iterator[tuple[str, JsonDict, list[JsonDict]]]:
    for path, item in sorted(document["paths"].items()):
        for method, row in item.items():
            if method in {"get", "post", "put", "delete", "patch"}:
                yield f"{method.upper()} {path}", row, item.get("parameters", [])


def _resolved(document: JsonDict, node: JsonDict) -> JsonDict:
    """What stands at the end of references."""
    while "$ref" in node:
        target: Any = document
        for part in node["$ref"].removeprefix("#/").split("/"):
            target = target[part.replace("~1", "/").replace("~0", "~")]
        node = {**target, **{key: value for key, value in node.items() if key != "$ref"}}
    return node


class _Reader:
    """Reads one schema and all below it."""

    def __init__(self, document: JsonDict) -> None:
        self._document = document
        self._facts: Facts = {}
        # What every branch of a place requires, by the place and the branch.
        self._needs: dict[str, set[str]] = {}

    def read(self, schema: JsonDict) -> Facts:
        """What it says of every place; what an entry or a root is has no `required`."""
        self._collect(schema, "", ())
        for place, needs in self._needs.items():
            for key, fact in self._facts.items():
                above, _, name = key.rpartition("/")
                if key and above == place and name not in {"*", "{}"}:
                    fact["required"] = name in needs
        return self._facts

    def _collect(
        self, schema: JsonDict, place: str, above: tuple[str, ...], *, branch: bool = False
    ) -> None:
        """Add what a schema says of a place and of all below; one within itself is left."""
        reference = schema.get("$ref", "")
        if reference and reference in above:
            return
        above = (*above, reference)
        schema = _resolved(self._document, schema)
        branches = [each for key in _BRANCHES for each in schema.get(key, ())]
        for each in branches:
            self._collect(each, place, above, branch=len(branches) > 1)
        if branches and "type" not in schema:
            return
        _add(self._facts.setdefault(place, {}), schema)
        inner = place + _branch_name(self._document, schema) if branch else place
        self._collect_below(schema, inner, above)

    def _collect_below(self, schema: JsonDict, inner: str, above: tuple[str, ...]) -> None:
        if "properties" in schema:
            needs = set(schema.get("required", ()))
            self._needs[inner] = self._needs.get(inner, needs) & needs
        for key, below in schema.get("properties", {}).items():
            self._collect(below, f"{inner}/{key}", above)
        maps = [schema.get("additionalProperties"), *schema.get("patternProperties", {}).values()]
        for below, part in ((schema.get("items"), "*"), *((each, "{}") for each in maps)):
            if isinstance(below, dict):
                self._collect(below, f"{inner}/{part}", above)


def _branch_name(document: JsonDict, schema: JsonDict) -> str:
    """`(kind=curve)` where a key has one word alone, which tells the branch from others."""
    for key, below in schema.get("properties", {}).items():
        words = _words(_resolved(document, below))
        if words is not None and len(words) == 1:
            return f"({key}={words[0]})"
    return ""


def _words(schema: JsonDict) -> list[str] | None:
    if "const" in schema:
        return [json.dumps(schema["const"]).strip('"')]
    return [json.dumps(word).strip('"') for word in schema["enum"]] if "enum" in schema else None


def _add(fact: JsonDict, schema: JsonDict) -> None:
    """Join what one more schema allows at a place to what is known of it."""
    kinds = schema.get("type", [])
    kinds = [kinds] if isinstance(kinds, str) else kinds
    known, first = set(fact.get("types", ())), not fact
    fact["types"] = sorted(known | set(kinds))
    words, before = _words(schema), fact.get("words")
    if kinds == ["null"]:
        return
    if words is not None and (before is not None or not known - {"null"}):
        fact["words"] = sorted({*words, *(before or ())})
    else:
        fact.pop("words", None)
    bounds = {name: schema[name] for name in (*UPPER, *LOWER) if name in schema}
    if first or not known - {"null"} or not known & set(kinds):
        fact["bounds"] = {**fact.get("bounds", {}), **bounds}
    else:
        fact["bounds"] = _looser(fact.get("bounds", {}), bounds)
    if not fact["bounds"]:
        del fact["bounds"]


def _looser(one: JsonDict, other: JsonDict) -> JsonDict:
    both = {name: (one[name], other[name]) for name in one if name in other}
    return {name: (max if name in UPPER else min)(pair) for name, pair in both.items()}
