"""Field types of requests and figures of answers as named schemas: `PositiveLength` and `Money`
stand once in the document.

The generator of a model's schema marks each field with the name of its type. Description and
default are the field's own; all else is the type's.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any, get_args

import msgspec
from pydantic.json_schema import JsonSchemaValue

from service import fields
from service.api.operation import JsonSchema
from service.catalog.documents.entry import Version
from service.catalog.documents.jurisdiction import CautionCode
from service.catalog.schemas import TomlSchema
from service.fields import Reader
from service.fields.readers import PlainText
from service.operations import answer_figures as figures
from service.operations.quoting.survey_request import GridCoordinate

_REFERENCE = "#/components/schemas/"
_MARK = "x-field-type"
_OWN = ("description", "default", "examples")
# Field types of single documents that stand in several places of them.
_FURTHER: dict[str, object] = {
    "CautionCode": CautionCode,
    "GridCoordinate": GridCoordinate,
    "Version": Version,
}
_FIGURES: Mapping[str, object] = {
    "Money": figures.Money,
    "Ratio": figures.Ratio,
    "Hours": figures.Hours,
    "Digest": figures.Digest,
    "Day": figures.Day,
    "Instant": figures.Instant,
    "MeasuredLength": figures.Length,
    "MeasuredArea": figures.Area,
    "MeasuredMass": figures.Mass,
    "CountedMeasure": figures.Counted,
    "SoldMeasure": figures.Sold,
}


class MarkedSchema(TomlSchema):
    """The generator of models' schemas, which marks fields of a named type."""

    def generate_inner(self, schema: Any) -> JsonSchemaValue:  # noqa: ANN401  pydantic's union
        """The schema of any part of a model."""
        published = super().generate_inner(schema)
        name = _alike().get(_without_example(_reader(schema)))
        return published if name is None else {**published, _MARK: name}


@cache
def named_schemas() -> Mapping[str, JsonSchema]:
    """The schema of each type, by its name."""
    published = {name: reader.schema() for reader, name in _readers().items() if reader}
    return published | {name: _whole(figure) for name, figure in _figures().items()}


def as_named(schema: JsonSchema) -> tuple[str, JsonSchema] | None:
    """The name of the type that a schema is of, and the schema as a reference to it with what the
    field says itself; None for any other schema."""
    name = schema.get(_MARK) or _names().get(_text(schema))
    if name is None:
        return None
    type_ = named_schemas()[name]
    own = {key: schema[key] for key in _OWN if key in schema and schema[key] != type_.get(key)}
    return name, {"$ref": f"{_REFERENCE}{name}", **own}


def _reader(schema: Any) -> Reader | None:  # noqa: ANN401  pydantic's union
    """The reader of a field, whatever checks stand around it."""
    while "reader" not in schema.get("metadata", {}):
        if not schema["type"].startswith("function-") or "schema" not in schema:
            return None
        schema = schema["schema"]
    reader: Reader = schema["metadata"]["reader"]
    return reader


@cache
def _readers() -> Mapping[Reader | None, str]:
    """The names of the field types by their readers."""
    types: dict[str, object] = {name: getattr(fields, name) for name in fields.__all__}
    return {
        reader: name
        for name, type_ in (types | _FURTHER).items()
        for reader in get_args(type_)[1:]
        if isinstance(reader, Reader)
    }


@cache
def _alike() -> Mapping[Reader | None, str]:
    """The names by what is read, whatever example a field shows of it."""
    return {_without_example(reader): name for reader, name in _readers().items()}


def _without_example(reader: Reader | None) -> Reader | None:
    return replace(reader, example="") if isinstance(reader, PlainText) else reader


@cache
def _figures() -> Mapping[str, JsonSchema]:
    """The figures of answers as they stand in the schema of an answer."""
    found, _ = msgspec.json.schema_components(_FIGURES.values())
    return dict(zip(_FIGURES, found, strict=True))


def _whole(figure: JsonSchema) -> JsonSchema:
    """A measure written out: generators make a class of each, and a name that only refers to
    another would be a second class of that one's name."""
    if "$ref" not in figure:
        return figure
    (_,), found = msgspec.json.schema_components([figures.Measure])
    (measure,) = found.values()
    own = {key: value for key, value in figure.items() if key != "$ref"}
    bare = {key: value for key, value in measure.items() if key != "title"}
    return {**bare, **own, "additionalProperties": False}


@cache
def _names() -> Mapping[str, str]:
    read = {_text(schema): name for name, schema in named_schemas().items()}
    return read | {_text(figure): name for name, figure in _figures().items()}


def _text(schema: JsonSchema) -> str:
    return json.dumps(schema, sort_keys=True)
