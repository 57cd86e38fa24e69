"""What was kept as it was answered once, in types of its own.

The bytes of an older engine fit them: keys that came after the first release are not required,
further ones are allowed, texts have no form and words are open. What a key says stands at the
type of the same name without `Kept`.
"""

from __future__ import annotations

from typing import Any

from service.api.openapi.first_release import FIRST_REQUIRED
from service.api.openapi.named_types import as_named, named_schemas
from service.api.openapi.shaping import each_schema
from service.api.operation import JsonSchema

PREFIX = "Kept"
_DEFINITION = "#/$defs/"
_MEASURE = f"{PREFIX}Measure"
_MEASURED: JsonSchema = {
    "description": "A measurement as it was written: a text, or a value and its unit.",
    "anyOf": [
        {"type": "string"},
        {
            "type": "object",
            "required": ["value", "unit"],
            "properties": {"value": {"type": ["string", "number"]}, "unit": {"type": "string"}},
        },
    ],
}
# What says less or more of a value than its type.
_SHAPE = ("type", "properties", "items", "anyOf", "$ref", "const")


def kept_schema(schema: JsonSchema) -> JsonSchema:
    """The schema of what was kept of a model, in one piece with its definitions."""
    definitions = {f"{PREFIX}{name}": _kept(name, part) for name, part in schema["$defs"].items()}
    own = _kept(schema["title"], {key: part for key, part in schema.items() if key != "$defs"})
    name = schema["title"]
    words = f"Byte for byte as kept: a {name}, of this version of the service or an older one."
    definitions[_MEASURE] = _MEASURED
    return {**own, "title": f"{PREFIX}{name}", "description": words, "$defs": definitions}


def _kept(name: str, schema: JsonSchema) -> JsonSchema:
    """An object, of which those keys are required that the first release gave."""
    shape: JsonSchema = each_schema(schema, _as_it_was)
    required = [key for key in shape.get("properties", ()) if key in FIRST_REQUIRED.get(name, ())]
    return {**shape, **({"required": required} if required else {})}


def _as_it_was(schema: JsonSchema) -> JsonSchema:
    """A schema without the rules that new requests and answers keep to."""
    if (named := as_named(schema)) is not None:
        return _leaf(named[0])
    shape: JsonSchema = {key: schema[key] for key in _SHAPE if key in schema}
    if "$ref" in shape:
        return {"$ref": shape["$ref"].replace(_DEFINITION, f"{_DEFINITION}{PREFIX}")}
    if forms := schema.get("oneOf") or schema.get("anyOf"):
        shape["anyOf"] = [form for at, form in enumerate(forms) if form not in forms[:at]]
    if "enum" in schema:
        shape["type"] = "string"
    values = schema.get("additionalProperties")
    return {**shape, **({"additionalProperties": values} if isinstance(values, dict) else {})}


def _leaf(name: str) -> JsonSchema:
    """A named type: a measure of an answer is what it is, all else was written somehow."""
    type_: Any = named_schemas()[name]
    if "x-units" in type_ or name == "SoldMeasure":
        return {"$ref": f"#/components/schemas/{name}"}
    return {"type": type_["type"]} if "type" in type_ else {"$ref": f"{_DEFINITION}{_MEASURE}"}
