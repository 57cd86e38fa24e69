"""Keys that a quote request doesn't take where they stand, though what they mean is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from service.core.errors import Fault, Path
from service.operations.quoting.survey_text import COLUMNS

# Words for a gap in a wall (common practice).
OPENINGS = frozenset(
    (word,) for word in ("openings", "opening", "stairs", "stair", "steps", "gate", "gates")
)
_AS_OF = (
    '"revision": a number, or "latest"; revisions/latest?as_of=2026-06-01 of the price list gives '
    "the number that holds on a day"
)
# Keys that are looked for one place off.
_HINTS: Mapping[Path, str] = MappingProxyType(
    {
        ("walls", "existing_grade"): "existing_grade stands in the entries of profile",
        ("walls", "profile", "existing_slope"): "existing_slope stands in the wall",
        ("screening", "what_if"): 'what_if stands in the quote request: "what_if": true',
        ("walls", "above", "load"): 'did you mean "what"?',
    }
)
_COLUMNS = ", ".join(f'"{name}"' for name in COLUMNS)


def say_what_is_known(fault: Fault) -> Fault:
    """What is said of a key that is unknown where it stands and known for what it means.

    Any other fault comes back as it is.
    """
    if fault.code != "unknown-key":
        return fault
    if fault.at[:1] == ("walls",) and fault.at[2:] in OPENINGS:
        return _opening_not_quoted(fault)
    if fault.at[-2:] == ("survey", "order"):
        hint = f'"columns": [{_COLUMNS}], in the order in which they stand in a line'
        return replace(fault, message="the order of the columns is given by columns", hint=hint)
    if fault.at == ("prices", "as_of"):
        return replace(fault, message="a quote names its price list by revision", hint=_AS_OF)
    if place := _HINTS.get(_without_numbers(fault.at)):
        return replace(fault, hint=place)
    return fault


def _without_numbers(at: Path) -> Path:
    return tuple(part for part in at if isinstance(part, str))


def _opening_not_quoted(fault: Fault) -> Fault:
    """A wall with an opening is refused by name: the work is not quoted yet."""
    return replace(
        fault,
        code="opening-not-quoted",
        message=f"{fault.at[-1]}: a wall with steps or another opening can't be quoted yet",
        hint=(
            "the walls on both sides as walls of their own with finished ends, and the steps "
            "among the extras"
        ),
    )
