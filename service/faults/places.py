"""Where an error that pydantic found is: its path in the document, and the schema there.

pydantic puts the branch of a union into its paths. Here each path is followed through the model's
schema, so that only what stands in the document is left.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, TypeAdapter

from service.core.errors import Path

Schema = Mapping[str, Any]
Model = type[BaseModel] | TypeAdapter[Any]

# Schemas that stand around another one, and where they keep it.
_INSIDE = {
    "default": "schema",
    "nullable": "schema",
    "function-before": "schema",
    "function-after": "schema",
    "function-wrap": "schema",
    "model": "schema",
    "definitions": "schema",
    "lax-or-strict": "strict_schema",
    "json-or-python": "python_schema",
}
_ANY: Schema = {"type": "any"}


@dataclass(slots=True, kw_only=True)
class Place:
    """Where an error is: its path in the document, the schema there, the known keys beside it,
    and the branch of the innermost untagged union on the way. Filled in on the way."""

    at: Path
    schema: Schema
    keys: tuple[str, ...] = ()
    union: Path | None = None
    branch: str | int | None = None


class Walker:
    """Follows pydantic's paths through the schema of a model."""

    def __init__(self, model: Model) -> None:
        if isinstance(model, TypeAdapter):
            self._root: Schema = model.core_schema
        else:
            self._root = model.__pydantic_core_schema__
        entries = self._root.get("definitions", ())
        self._named: dict[str, Schema] = {entry["ref"]: entry for entry in entries}
        self._keyed: dict[int, dict[str, Schema]] = {}

    def place(self, loc: tuple[str | int, ...]) -> Place:
        """The place of an error, without the names of union branches in its path."""
        place, rest = Place(at=(), schema=self._root), loc
        while rest:
            rest = self._step(place, rest)
        place.schema = self._bare(place.schema)
        return place

    def _step(self, place: Place, rest: Path) -> Path:
        """Follow the first part of a path (more where a part says no place); returns the rest."""
        schema, first, after = self._bare(place.schema), rest[0], rest[1:]
        kind = schema["type"]
        if kind == "tagged-union" and first in schema["choices"]:
            place.schema = schema["choices"][first]
        elif kind == "union":
            place.union, place.branch = place.at, first
            place.schema = self._branch(schema, first, deeper=bool(after))
        elif kind == "model-fields":
            fields = self._fields(schema)
            place.at, place.keys = (*place.at, first), tuple(fields)
            place.schema = fields.get(str(first), _ANY)
        elif after == ("[key]",):  # the key of a mapping is at fault, not what it holds
            place.at, place.schema, after = (*place.at, first), _ANY, ()
        elif (below := _item(schema)) is not None:
            place.at, place.schema = (*place.at, first), below
        else:
            place.at, place.schema, after = (*place.at, *rest), _ANY, ()
        return after

    def _fields(self, schema: Schema) -> dict[str, Schema]:
        """The fields of a model by the key that stands in the document."""
        if (known := self._keyed.get(id(schema))) is not None:
            return known
        keyed: dict[str, Schema] = {}
        for name, entry in schema["fields"].items():
            alias = entry.get("validation_alias", name)
            keyed[alias if isinstance(alias, str) else name] = entry["schema"]
        self._keyed[id(schema)] = keyed
        return keyed

    def _bare(self, schema: Schema) -> Schema:
        while True:
            if schema["type"] == "definition-ref":
                schema = self._named.get(schema["schema_ref"], _ANY)
            elif schema["type"] in _INSIDE:
                schema = schema[_INSIDE[schema["type"]]]
            else:
                return schema

    def _branch(self, union: Schema, label: str | int, *, deeper: bool) -> Schema:
        """The branch that pydantic calls `label`: a model by its class, else whatever can hold
        something where the path goes deeper."""
        entries = [entry[0] if isinstance(entry, tuple) else entry for entry in union["choices"]]
        choices = [self._bare(entry) for entry in entries]
        for choice in choices:
            if choice.get("model_name") == label:
                return choice
        for choice in choices:
            if deeper and (choice["type"] == "model-fields" or _item(choice) is not None):
                return choice
        return _ANY


def _item(schema: Schema) -> Schema | None:
    """What a list or mapping holds; None for everything else."""
    item: Schema | None = None
    if schema["type"] == "dict":
        item = schema.get("values_schema", _ANY)
    elif schema["type"] == "list":
        item = schema.get("items_schema", _ANY)
    elif schema["type"] == "tuple":
        item = (*schema["items_schema"], _ANY)[0]
    return item
