"""What pydantic found, as faults of the domain: real paths, stable codes, plain sentences.

pydantic puts the branch of a union into its paths and its own words into messages. Here each
path is followed through the model's schema, so that only what stands in the document is left,
and each kind of error gets a code of ours. Nothing of what came in is passed on but a short
excerpt.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sized
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic_core import ErrorDetails
from pydantic_core.core_schema import ErrorType

from service.core.errors import Fault, Path
from service.units import found

Schema = Mapping[str, Any]
Model = type[BaseModel] | TypeAdapter[Any]

FEW_KEYS = 8
HINTED = 100
TOLD = 1000  # nobody reads more, and an answer has the first hundred
FURTHER = Fault(code="request-invalid", at=(), message="a further fault")
LONGEST_KEY = 64
_OTHER_TYPE = 1_000_000
_KNOWN_TYPES = frozenset(get_args(ErrorType))
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
# What is needed, by pydantic's error type.
_NEEDED = {
    "string_type": "text",
    "string_sub_type": "text",
    "string_unicode": "text",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_parsing_size": "a whole number of fewer digits",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "float_type": "a number",
    "list_type": "a list",
    "tuple_type": "a list",
    "dict_type": "an object",
    "mapping_type": "an object",
    "model_type": "an object",
    "model_attributes_type": "an object",
    "none_required": "null",
    "date_type": 'a date, such as "2026-05-04"',
    "date_parsing": 'a date, such as "2026-05-04"',
    "date_from_datetime_parsing": 'a date, such as "2026-05-04"',
}
# Words and the name of the bound in the error's context.
_BOUNDS = {
    "greater_than": ("must be more than", "gt"),
    "greater_than_equal": ("must be at least", "ge"),
    "less_than": ("must be less than", "lt"),
    "less_than_equal": ("must be at most", "le"),
    "multiple_of": ("must be a multiple of", "multiple_of"),
}
_LENGTHS = {
    "too_long": ("too-long", "at most {max_length} entries are read"),
    "too_short": ("too-short", "at least {min_length} must be given"),
    "string_too_long": ("too-long", "at most {max_length} characters are read"),
    "string_too_short": ("too-short", "at least {min_length} must be given"),
}


@dataclass(slots=True, kw_only=True)
class _Place:
    """Where an error is: its path in the document, the schema there, the known keys beside it,
    and the branch of the innermost untagged union on the way. Filled in on the way."""

    at: Path
    schema: Schema
    keys: tuple[str, ...] = ()
    union: Path | None = None
    branch: str | int | None = None


@dataclass(frozen=True, slots=True)
class _Said:
    """What is said about one error; `below` leads on from its place."""

    code: str
    message: str
    hint: str | None = None
    below: Path = ()


def faults_from(error: ValidationError, model: Model) -> tuple[Fault, ...]:
    """Every fault that pydantic found in a document of `model`, in pydantic's order.

    Of an untagged union, where every branch complains, the branch that came farthest speaks.
    The first hundred unknown keys are compared with the known ones, no more. Of more than
    `TOLD` errors the rest is only counted: each stands as `FURTHER`.
    """
    walker = _Walker(model)
    details = error.errors(include_url=False)
    placed = [(walker.place(detail["loc"]), detail) for detail in details[:TOLD]]
    told = tuple(
        _to_fault(place, detail, nearest=number < HINTED)
        for number, (place, detail) in enumerate(_without_echoes(_one_branch_each(placed)))
    )
    return told + (FURTHER,) * max(0, len(details) - TOLD)


def pointer(path: Path) -> str:
    """A path as RFC 6901 writes it: `/walls/0/plan/3/length`; of the whole document, nothing."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in path)


class _Walker:
    """Follows pydantic's paths through the schema of a model."""

    def __init__(self, model: Model) -> None:
        if isinstance(model, TypeAdapter):
            self._root: Schema = model.core_schema
        else:
            self._root = model.__pydantic_core_schema__
        entries = self._root.get("definitions", ())
        self._named: dict[str, Schema] = {entry["ref"]: entry for entry in entries}
        self._keyed: dict[int, dict[str, Schema]] = {}

    def place(self, loc: tuple[str | int, ...]) -> _Place:
        """The place of an error, without the names of union branches in its path."""
        place, rest = _Place(at=(), schema=self._root), loc
        while rest:
            rest = self._step(place, rest)
        place.schema = self._bare(place.schema)
        return place

    def _step(self, place: _Place, rest: Path) -> Path:
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


def _one_branch_each(
    placed: list[tuple[_Place, ErrorDetails]],
) -> list[tuple[_Place, ErrorDetails]]:
    """Errors with one branch left of each untagged union."""
    unions: dict[Path, dict[str | int, list[tuple[_Place, ErrorDetails]]]] = {}
    for place, detail in placed:
        if place.union is not None and place.branch is not None:
            unions.setdefault(place.union, {}).setdefault(place.branch, []).append((place, detail))
    best = {
        path: min(branches, key=lambda b: _farness(path, branches[b]))
        for path, branches in unions.items()
    }
    return [
        (place, detail)
        for place, detail in placed
        if place.union is None or best[place.union] == place.branch
    ]


def _farness(union: Path, errors: list[tuple[_Place, ErrorDetails]]) -> int:
    """How far a branch is from what came in: keys that don't fit, else whether its type does."""
    types = {detail["type"] for _, detail in errors}
    if types <= {*_NEEDED, "literal_error", "wrong-type"} and all(
        place.at == union for place, _ in errors
    ):
        return _OTHER_TYPE
    at_fault = any(place.at == union for place, _ in errors)
    return at_fault + 2 * sum(
        detail["type"] in {"missing", "extra_forbidden"} for _, detail in errors
    )


def _without_echoes(placed: list[tuple[_Place, ErrorDetails]]) -> list[tuple[_Place, ErrorDetails]]:
    """Errors without lists that are too short only because pydantic left out entries at fault."""
    above = {place.at[:end] for place, _ in placed for end in range(len(place.at))}
    return [
        (place, detail)
        for place, detail in placed
        if detail["type"] != "too_short" or place.at not in above
    ]


def _to_fault(place: _Place, detail: ErrorDetails, *, nearest: bool) -> Fault:
    said = _say(place, detail, nearest=nearest)
    at = (*place.at, *said.below)
    joint = " " if said.message.startswith("is ") else ": "
    message = f"{_name(at)}{joint}{said.message}"
    return Fault(code=said.code, at=at, message=message, hint=said.hint or None)


def _name(at: Path) -> str:
    """A short name of a place: its last key with the numbers after it, `plan[3]`."""
    numbers = ""
    for part in reversed(at):
        if isinstance(part, str):
            return (
                part if len(part) <= LONGEST_KEY and part.isprintable() else found(part)
            ) + numbers
        numbers = f"[{part}]{numbers}"
    return f"the document{numbers}"


def _say(place: _Place, detail: ErrorDetails, *, nearest: bool) -> _Said:
    kind, context = detail["type"], detail.get("ctx", {})
    if kind not in _KNOWN_TYPES:
        return _own(detail)
    if kind == "missing":
        return _missing(place)
    if kind == "extra_forbidden":
        return _unknown_key(str(place.at[-1]), place.keys, nearest=nearest)
    if kind in {"union_tag_invalid", "union_tag_not_found"}:
        return _unknown_branch(place, context, detail["input"])
    return _say_of_value(kind, context, detail["input"])


def _say_of_value(kind: str, context: Mapping[str, Any], value: Any) -> _Said:  # noqa: ANN401  it is what came in
    if kind in {"literal_error", "enum"}:
        return _unknown_choice(value, re.findall(r"'([^']*)'", context["expected"]))
    if kind in _NEEDED:
        return _Said("wrong-type", f"{found(value)} is not {_NEEDED[kind]}")
    if kind in _LENGTHS:
        code, words = _LENGTHS[kind]
        # pydantic counts the entries that were sound; people count those they wrote.
        length = len(value) if isinstance(value, Sized) else context.get("actual_length")
        return _Said(code, f"{length} are given, {words.format(**context)}")
    if kind in _BOUNDS:
        words, bound = _BOUNDS[kind]
        return _Said("out-of-range", f"{found(value)} {words} {context[bound]}")
    return _other(kind, context, value)


def _own(detail: ErrorDetails) -> _Said:
    """An error that a validator of this project raised with its own code."""
    context = detail.get("ctx", {})
    message = str(context.get("message", detail["msg"]))
    return _Said(detail["type"], message, context.get("hint"), tuple(context.get("at", ())))


def _missing(place: _Place) -> _Said:
    example = place.schema.get("metadata", {}).get("example")
    hint = None if example is None else f'write it like "{example}"'
    return _Said("field-missing", "is required", hint)


def _unknown_key(key: str, keys: tuple[str, ...], *, nearest: bool) -> _Said:
    message = "is not a known key here"
    if nearest and (near := _nearest(key, keys)):
        return _Said("unknown-key", message, f'did you mean "{near}"?')
    hint = f"known keys: {', '.join(keys)}" if len(keys) <= FEW_KEYS else None
    return _Said("unknown-key", message, hint)


def _unknown_choice(value: object, choices: list[str], below: Path = ()) -> _Said:
    message = f"{found(value)} is not a choice; one of: {', '.join(choices)}"
    near = _nearest(value, choices) if isinstance(value, str) else None
    return _Said("unknown-choice", message, f'did you mean "{near}"?' if near else None, below)


def _unknown_branch(place: _Place, context: Mapping[str, Any], value: object) -> _Said:
    """The key that chooses between the branches of a union is missing, or its value unknown."""
    choices = [str(choice) for choice in place.schema.get("choices", ())]
    key = str(context["discriminator"]).strip("'")
    if place.schema.get("discriminator") != key:  # a function chooses, by shape
        return _Said("wrong-type", f"{found(value)} is not what is needed here")
    if "tag" in context:
        return _unknown_choice(value[key] if isinstance(value, Mapping) else value, choices, (key,))
    return _Said("field-missing", f"is required; one of: {', '.join(choices)}", None, (key,))


def _nearest(word: str, known: Iterable[str]) -> str | None:
    close = difflib.get_close_matches(word, list(known), 1) if len(word) <= LONGEST_KEY else []
    return close[0] if close else None


def _other(kind: str, context: Mapping[str, Any], value: object) -> _Said:
    if kind == "string_pattern_mismatch":
        return _Said("text-invalid", f"{found(value)} is not of the form {context['pattern']}")
    if kind == "finite_number":
        return _Said("out-of-range", f"{found(value)} is not finite")
    if kind in {"value_error", "assertion_error"} and str(context.get("error", "")):
        return _Said("value-invalid", str(context["error"]))
    return _Said("value-invalid", f"{found(value)} can't be read here")
