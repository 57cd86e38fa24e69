"""A form's schema as fields to draw, with what was typed and what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

Part = Literal["answers", "lead"]
Control = Literal["choice", "tick", "long", "line"]
Json = Mapping[str, Any]

# A text that may be longer is written on several lines.
LONG = 500
# What a browser fills in by itself (HTML, autofill), by the field's name.
AUTOFILLED = {"name": "name", "email": "email", "phone": "tel", "postal_code": "postal-code"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One question: `name` is that of the form's body, `answers.length`; `unit` that of what is
    estimated, else empty."""

    name: str
    control: Control
    schema: Json
    required: bool
    value: str
    fault: str
    unit: str

    @property
    def id(self) -> str:
        """Its id in the page, behind the page's own prefix."""
        return self.name.replace(".", "-")

    @property
    def autofilled(self) -> str:
        """What a browser may fill in; empty for what only the visitor knows."""
        return AUTOFILLED.get(self.name.partition(".")[2], "")

    @property
    def is_decimal(self) -> bool:
        """Whether a keyboard of digits and a point is enough."""
        return r"\." in str(self.schema.get("pattern", ""))


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Questions under one title."""

    title: str
    part: Part
    fields: tuple[Field, ...]

    @property
    def is_open(self) -> bool:
        """Whether something of it was typed, or has to be."""
        return any(field.value or field.fault for field in self.fields)


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What was sent, by field, and what to say of those that must be looked at again."""

    values: Mapping[str, str]
    faults: Mapping[str, str]


def groups_of(form: Json, typed: Typed) -> tuple[Group, ...]:
    """The questions of a form in the order of its layout."""
    schemas = {"answers": form["schema"], "lead": form.get("lead_schema")}
    units = {f"answers.{name}": unit for name, unit in form["units"].items()}
    return tuple(_group(each, schemas[each["part"]], units, typed) for each in form["layout"])


def defaults_of(form: Json) -> dict[str, str]:
    """What stands in the fields before anything is typed."""
    return {f"answers.{name}": _as_typed(value) for name, value in form["defaults"].items()}


def answers_of(schema: Json, part: Part, values: Mapping[str, str]) -> dict[str, Any]:
    """The part of a request's body that was typed: empty fields are left out, ticks are true."""
    found: dict[str, Any] = {}
    for name, value in _typed_in(part, values):
        if value.strip():
            kind = schema["properties"].get(name, {}).get("type")
            found[name] = True if kind == "boolean" and value == "true" else value.strip()
    return found


def _typed_in(part: Part, values: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    for key, value in values.items():
        at, dot, name = key.partition(".")
        if at == part and dot:
            yield name, value


def _group(laid: Json, schema: Json, units: Mapping[str, str], typed: Typed) -> Group:
    fields = (_field((laid["part"], name), schema, units, typed) for name in laid["fields"])
    return Group(title=laid["title"], part=laid["part"], fields=tuple(fields))


def _field(at: tuple[Part, str], schema: Json, units: Mapping[str, str], typed: Typed) -> Field:
    name, key = at[1], ".".join(at)
    whole = schema["properties"][name]
    return Field(
        name=key,
        control=_control(whole),
        schema=whole,
        required=name in schema.get("required", ()),
        value=typed.values.get(key, ""),
        fault=typed.faults.get(key, ""),
        unit=units.get(key, ""),
    )


def _control(schema: Json) -> Control:
    if "oneOf" in schema:
        return "choice"
    if schema.get("type") == "boolean":
        return "tick"
    return "long" if schema.get("maxLength", 0) > LONG else "line"


def _as_typed(value: object) -> str:
    return "true" if value is True else str(value)
