"""The shapes of bodies and answers as JSON Schemas, each in one piece with its definitions."""

from __future__ import annotations

from typing import Any, assert_never

import msgspec
from pydantic import BaseModel

from service.api.late import found
from service.api.openapi.kept import kept_schema
from service.api.openapi.named_types import MarkedSchema
from service.api.openapi.shaping import (
    always_given,
    as_map,
    default_in_words,
    each_schema,
    open_words,
    words_of_unions,
)
from service.api.operation import (
    AnyOf,
    ArrayOf,
    EntryOf,
    JsonSchema,
    KeptOf,
    LinesOf,
    PageOf,
    Shape,
)
from service.api.v1.pages import MAX_LIMIT
from service.catalog.kinds import KINDS

_DEFINITION = "#/$defs/"


def shape_schema(shape: Shape) -> JsonSchema:
    """The schema of a shape."""
    match found(shape):
        case dict() as schema:
            pass
        case KeptOf(model):
            schema = kept_schema(_model(found(model)))
        case PageOf(item):
            schema = _page(shape_schema(item))
        case LinesOf(item, count):
            schema = _lines(shape_schema(item), count)
        case ArrayOf(item, least, most):
            schema = _array(shape_schema(item), least, most)
        case AnyOf(shapes):
            schema = _any_of([shape_schema(each) for each in shapes])
        case EntryOf(kind):
            schema = _model(KINDS[kind].document)
        case type() as model:
            schema = _model(model)
        case other:
            assert_never(other)
    return schema


def _model(model: type[Any]) -> JsonSchema:
    if issubclass(model, BaseModel):
        written = model.model_json_schema(schema_generator=MarkedSchema)
        plain: JsonSchema = each_schema(
            written, lambda part: default_in_words(words_of_unions(as_map(part)))
        )
        return plain
    (reference,), components = msgspec.json.schema_components([model])
    definitions = {
        name: each_schema(value, lambda part: always_given(open_words(part)))
        for name, value in components.items()
    }
    # An object of an answer has the keys that are listed and no others.
    closed = {key: {**value, "additionalProperties": False} for key, value in definitions.items()}
    schema: JsonSchema = closed.pop(reference["$ref"].rpartition("/")[2])
    return {**schema, "$defs": closed}


def _page(item: JsonSchema) -> JsonSchema:
    """A page of such items, as lists answer it."""
    reference, definitions = _lifted(item)
    return {
        "type": "object",
        "title": f"{item['title']}Page",
        "additionalProperties": False,
        "required": ["items", "next"],
        "properties": {
            "items": {"type": "array", "maxItems": MAX_LIMIT, "items": reference},
            "next": {
                "type": ["string", "null"],
                "maxLength": 400,
                "description": "Address of the next page; null on the last one.",
            },
        },
        "$defs": definitions,
    }


def _lines(item: JsonSchema, count: str) -> JsonSchema:
    """One line of a stream of such items: an item, or the last line."""
    reference, definitions = _lifted(item)
    last = {
        "type": "object",
        "additionalProperties": False,
        "required": ["end", count],
        "properties": {"end": {"const": True}, count: {"type": "integer", "minimum": 0}},
    }
    return {
        "description": f"One line of the answer; the last one has `end` and `{count}`.",
        "anyOf": [reference, last],
        "$defs": definitions,
    }


def _array(item: JsonSchema, least: int, most: int) -> JsonSchema:
    reference, definitions = _lifted(item)
    bounds = {"minItems": least, "maxItems": most}
    return {"type": "array", **bounds, "items": reference, "$defs": definitions}


def _any_of(schemas: list[JsonSchema]) -> JsonSchema:
    lifted = [_lifted(schema) for schema in schemas]
    definitions: JsonSchema = {}
    for _, lifted_too in lifted:
        definitions |= lifted_too
    return {"anyOf": [reference for reference, _ in lifted], "$defs": definitions}


def _lifted(schema: JsonSchema) -> tuple[JsonSchema, JsonSchema]:
    """A reference to a schema, and the definitions it needs, itself among them; one of several has
    no name and stays where it is."""
    own = {key: value for key, value in schema.items() if key != "$defs"}
    definitions: JsonSchema = schema.get("$defs", {})
    if "title" not in own:
        return own, definitions
    name: str = own["title"]
    return {"$ref": f"{_DEFINITION}{name}"}, {**definitions, name: own}
