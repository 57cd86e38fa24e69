"""JSON Schemas of bodies and of pages of answers."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from service.catalog.schemas import TomlSchema

_Json = dict[str, Any]


def body_schema(body: type[BaseModel]) -> _Json:
    """The schema of a body, in one piece with its definitions."""
    return body.model_json_schema(schema_generator=TomlSchema)


def page_schema(item: _Json, most: int) -> _Json:
    """The schema of a page of such items, as lists answer it."""
    item = dict(item)
    definitions = item.pop("$defs", {})
    title = item["title"]
    return {
        "$defs": {**definitions, title: item},
        "type": "object",
        "additionalProperties": False,
        "required": ["items", "next"],
        "properties": {
            "items": {"type": "array", "maxItems": most, "items": {"$ref": f"#/$defs/{title}"}},
            "next": {
                "type": ["string", "null"],
                "description": "Address of the next page; null on the last one.",
            },
        },
    }


def lines_schema(item: _Json, count: str) -> _Json:
    """The schema of one line of a stream of such items: an item, or the last line, which has
    `end` and says under `count` how many there were."""
    item = dict(item)
    definitions = item.pop("$defs", {})
    title = item["title"]
    last = {
        "type": "object",
        "additionalProperties": False,
        "required": ["end", count],
        "properties": {"end": {"const": True}, count: {"type": "integer", "minimum": 0}},
    }
    return {
        "$defs": {**definitions, title: item},
        "description": f"One line of the answer; the last one has `end` and `{count}`.",
        "anyOf": [{"$ref": f"#/$defs/{title}"}, last],
    }
