"""What a batch answers, as JSON Schemas: it is put together from bytes, so no type says it."""

from __future__ import annotations

from service.api.batch import FULL_PROBLEMS
from service.api.operation import JsonSchema
from service.api.parameters import text
from service.api.v1.quotes.batch import MAX_ITEMS

_DEFINITION = "#/$defs/"
_QUOTED = "#/components/schemas/"
_PROBLEM: JsonSchema = {"$ref": "#/components/schemas/Problem"}
_COUNT: JsonSchema = {"type": "integer", "minimum": 0}
_NUMBER: JsonSchema = {
    "type": "integer",
    "minimum": 1,
    "description": "The line of the request, blank ones counted; its place in an array, from 1.",
}


def _object(description: str, properties: JsonSchema, *optional: str) -> JsonSchema:
    return {
        "type": "object",
        "description": description,
        "additionalProperties": False,
        "required": [key for key in properties if key not in optional],
        "properties": properties,
    }


_QUOTE = _object(
    "A request that was quoted.",
    {
        "line": _NUMBER,
        "reference": {**text(), "description": "As in the request; absent where it has none."},
        "status": {"type": "integer", "const": 200},
        "quote": {
            "anyOf": [{"$ref": _QUOTED + name} for name in ("QuoteAnswer", "FieldQuoteAnswer")]
        },
    },
    "reference",
)
_REFUSED = _object(
    "A request that was refused, with the problem it would get alone; after the first "
    f"{FULL_PROBLEMS} of a batch with the first of its `errors` alone.",
    {
        "line": _NUMBER,
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "problem": _PROBLEM,
    },
)
_END = _object(
    "The last line of a batch that was answered whole.",
    {"end": {"const": True}, "lines": _COUNT, "failed": _COUNT},
)
_ABORTED = _object(
    "The last line of a batch that could not go on.",
    {"end": {"const": True}, "aborted": _PROBLEM},
)
_ANSWERED: JsonSchema = {"BatchQuote": _QUOTE, "BatchRefusal": _REFUSED}
_LAST: JsonSchema = {"BatchEnd": _END, "BatchAborted": _ABORTED}


def _one_of(definitions: JsonSchema) -> JsonSchema:
    return {"anyOf": [{"$ref": f"{_DEFINITION}{name}"} for name in definitions]}


LINE: JsonSchema = {
    "title": "BatchLine",
    "description": "One line of the answer; the last one has `end`.",
    **_one_of(_ANSWERED | _LAST),
    "$defs": _ANSWERED | _LAST,
}
ITEMS: JsonSchema = {
    **_object(
        "The answers to an array of requests.",
        {
            "items": {
                "type": "array",
                "minItems": 1,
                "maxItems": MAX_ITEMS,
                "items": _one_of(_ANSWERED),
            }
        },
    ),
    "title": "BatchItems",
    "$defs": _ANSWERED,
}
