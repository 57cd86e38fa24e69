"""What generators of clients stumble over, said another way.

A `default` makes generators of types ask callers for the key, so the value stands in words. A map
by `patternProperties` is read as an object without keys by most; by `additionalProperties` and
`propertyNames` it means the same. A word among other forms is a choice of one. A list of words that
callers only read may grow: it is a text, and `x-words` has those that are known.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from service.api.operation import JsonSchema

# What stands below these is data, not a schema; below those, schemas by name.
DATA = frozenset({"const", "default", "enum", "example", "examples", "required", "x-units"})
NAMED = frozenset({"properties", "patternProperties", "$defs"})


def each_schema(schema: Any, change: Callable[[JsonSchema], JsonSchema]) -> Any:  # noqa: ANN401
    """A schema in which each schema is changed, the inner ones first."""
    if isinstance(schema, list):
        return [each_schema(part, change) for part in schema]
    if not isinstance(schema, dict):
        return schema
    return change({key: _below(key, value, change) for key, value in schema.items()})


def _below(key: str, value: Any, change: Callable[[JsonSchema], JsonSchema]) -> Any:  # noqa: ANN401
    if key in DATA:
        return value
    if key in NAMED:
        return {name: each_schema(named, change) for name, named in value.items()}
    return each_schema(value, change)


def as_map(schema: JsonSchema) -> JsonSchema:
    """A map whose keys have one form, by its values and the form of its names."""
    patterns = schema.get("patternProperties", {})
    if len(patterns) != 1 or "properties" in schema:
        return schema
    ((pattern, values),) = patterns.items()
    rest = {key: value for key, value in schema.items() if key != "patternProperties"}
    names = {"propertyNames": {"pattern": pattern}, **rest}
    return {**names, "additionalProperties": values}


def words_of_unions(schema: JsonSchema) -> JsonSchema:
    """A union in which a word stands as a choice of one: of a constant some generators say that
    nothing else fits, whatever else the union takes."""
    return {
        key: [_as_choice(part) for part in value] if key in {"anyOf", "oneOf"} else value
        for key, value in schema.items()
    }


def _as_choice(part: JsonSchema) -> JsonSchema:
    if not isinstance(part.get("const"), str):
        return part
    rest = {key: value for key, value in part.items() if key != "const"}
    return {**rest, "enum": [part["const"]]}


def default_in_words(schema: JsonSchema) -> JsonSchema:
    """A schema that says in words what holds where the key is left out, unless that is nothing."""
    if "default" not in schema:
        return schema
    rest = {key: value for key, value in schema.items() if key != "default"}
    value = schema["default"]
    if value is None or value is False or value == []:
        return rest
    words = value if isinstance(value, str) else json.dumps(value)
    said = f"{rest.get('description', '')} Left out: `{words}`.".strip()
    return {**rest, "description": said}


def open_words(schema: JsonSchema) -> JsonSchema:
    """A list of words that only the service says, as a text with those that are known."""
    words = schema.get("enum", ())
    if len(words) < 2 or not all(isinstance(word, str) for word in words):  # noqa: PLR2004  one is a mark
        return schema
    rest = {key: value for key, value in schema.items() if key != "enum"}
    return {**rest, "type": "string", "x-words": list(words)}


def always_given(schema: JsonSchema) -> JsonSchema:
    """An object of an answer: a key with a default is there each time."""
    if "properties" not in schema:
        return schema
    given = [key for key, part in schema["properties"].items() if "default" in part]
    bare = {
        key: {word: value for word, value in part.items() if word != "default"}
        for key, part in schema["properties"].items()
    }
    return {**schema, "properties": bare, "required": [*schema.get("required", ()), *given]}
