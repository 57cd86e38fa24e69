"""What is said about an error that pydantic found: a code of ours, a sentence, a hint."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sized
from dataclasses import dataclass, replace
from typing import Any, get_args

from pydantic_core import ErrorDetails
from pydantic_core.core_schema import ErrorType

from service.core.errors import Path
from service.core.near_words import NearWords
from service.faults.places import Place
from service.units import found

FEW_KEYS = 9
_KNOWN_TYPES = frozenset(get_args(ErrorType))
_UNKNOWN = {
    "extra_forbidden",
    "literal_error",
    "enum",
    "union_tag_invalid",
    "union_tag_not_found",
}
# What is needed, by pydantic's error type.
NEEDED = {
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


@dataclass(frozen=True, slots=True)
class Said:
    """What is said about one error; `below` leads on from its place."""

    code: str
    message: str
    hint: str | None = None
    below: Path = ()


def say(place: Place, detail: ErrorDetails, hints: NearWords) -> Said:
    """What is said about an error; `hints` holds an unknown word against the known ones."""
    kind, context = detail["type"], detail.get("ctx", {})
    if kind not in _KNOWN_TYPES:
        return _own(detail)
    if kind == "missing":
        return _missing(place)
    if kind in _UNKNOWN:
        return _say_of_word(place, detail, hints)
    said = _say_of_value(kind, context, detail["input"])
    if kind in {"model_type", "model_attributes_type", "dict_type"}:
        return replace(said, hint=_with_keys(place))
    return said


def _say_of_word(place: Place, detail: ErrorDetails, hints: NearWords) -> Said:
    """A key or a choice that is none of the known ones."""
    kind, context, value = detail["type"], detail.get("ctx", {}), detail["input"]
    if kind == "extra_forbidden":
        return _unknown_key(str(place.at[-1]), place.keys, hints)
    if kind in {"literal_error", "enum"}:
        choices = tuple(re.findall(r"'([^']*)'", context["expected"]))
        return _unknown_choice(value, choices, hints)
    return _unknown_branch(place, context, value, hints)


def _say_of_value(kind: str, context: Mapping[str, Any], value: Any) -> Said:  # noqa: ANN401  it is what came in
    if kind in NEEDED:
        return Said("wrong-type", f"{found(value)} is not {NEEDED[kind]}")
    if kind in _LENGTHS:
        code, words = _LENGTHS[kind]
        # pydantic counts the entries that were sound; people count those they wrote.
        length = len(value) if isinstance(value, Sized) else context.get("actual_length")
        return Said(code, f"{length} are given, {words.format(**context)}")
    if kind in _BOUNDS:
        words, bound = _BOUNDS[kind]
        return Said("out-of-range", f"{found(value)} {words} {context[bound]}")
    return _other(kind, context, value)


def _own(detail: ErrorDetails) -> Said:
    """An error that a validator of this project raised with its own code."""
    context = detail.get("ctx", {})
    message = str(context.get("message", detail["msg"]))
    return Said(detail["type"], message, context.get("hint"), tuple(context.get("at", ())))


def _missing(place: Place) -> Said:
    example = place.schema.get("metadata", {}).get("example")
    hint = f'write it like "{example}"' if example is not None else _with_keys(place)
    return Said("field-missing", "is required", hint or _one_of(place))


def _with_keys(place: Place) -> str | None:
    """What an object is made of, of a place that takes one."""
    keys = tuple(place.schema.get("fields", ()))
    return f"an object with {', '.join(keys[:FEW_KEYS])}" if keys else None


def _one_of(place: Place) -> str | None:
    """The words that a place takes, or of which its list is made; None where they are no few."""
    items = place.schema.get("items_schema", place.schema)
    schema: Mapping[str, Any] = items[0] if isinstance(items, list) else items
    words = schema.get("expected", ())
    return f"one of: {', '.join(map(str, words))}" if words else None


def _unknown_key(key: str, keys: tuple[str, ...], hints: NearWords) -> Said:
    message = "is not a known key here"
    if near := hints.nearest(key, keys):
        return Said("unknown-key", message, f'did you mean "{near}"?')
    hint = f"known keys: {', '.join(keys)}" if len(keys) <= FEW_KEYS else None
    return Said("unknown-key", message, hint)


def _unknown_choice(
    value: object, choices: tuple[str, ...], hints: NearWords, below: Path = ()
) -> Said:
    message = f"{found(value)} is not a choice; one of: {', '.join(choices)}"
    near = hints.nearest(value, choices) if isinstance(value, str) else None
    return Said("unknown-choice", message, f'did you mean "{near}"?' if near else None, below)


def _unknown_branch(
    place: Place,
    context: Mapping[str, Any],
    value: object,
    hints: NearWords,
) -> Said:
    """The key that chooses between the branches of a union is missing, or its value unknown."""
    choices = tuple(str(choice) for choice in place.schema.get("choices", ()))
    key = str(context["discriminator"]).strip("'")
    if place.schema.get("discriminator") != key:  # a function chooses, by shape
        return Said("wrong-type", f"{found(value)} is not what is needed here")
    if "tag" in context:
        tag = value[key] if isinstance(value, Mapping) else value
        return _unknown_choice(tag, choices, hints, (key,))
    return Said("field-missing", f"is required; one of: {', '.join(choices)}", None, (key,))


def _other(kind: str, context: Mapping[str, Any], value: object) -> Said:
    if kind == "string_pattern_mismatch":
        return Said("text-invalid", f"{found(value)} is not of the form {context['pattern']}")
    if kind == "finite_number":
        return Said("out-of-range", f"{found(value)} is not finite")
    if kind in {"value_error", "assertion_error"} and str(context.get("error", "")):
        return Said("value-invalid", str(context["error"]))
    return Said("value-invalid", f"{found(value)} can't be read here")
