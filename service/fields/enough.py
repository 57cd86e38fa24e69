"""Lists and tables of documents from outside, read until enough is wrong.

A body of 1 MiB has room for tens of thousands of faults, and nobody reads them. Whoever reads a
document puts a `FaultCount` into the validation context as `faults`; without one everything is
read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final, TypeVar

from pydantic import ValidationError, ValidationInfo, ValidatorFunctionWrapHandler, WrapValidator
from pydantic_core import PydanticOmit

from service.core.errors import MOST_FAULTS

Key = TypeVar("Key")
Entry = TypeVar("Entry")


@dataclass(slots=True)
class FaultCount:
    """Errors that were found in the entries of a document so far, and words of it that were held
    against all that there are."""

    number: int = 0
    compared: int = 0


def _unless_enough(
    value: object, read: ValidatorFunctionWrapHandler, info: ValidationInfo
) -> object:
    """Read an entry, unless so much is wrong before it that nobody would be told of it."""
    count: FaultCount | None = (info.context or {}).get("faults")
    if count is None:
        return read(value)
    if count.number >= MOST_FAULTS:
        raise PydanticOmit
    before = count.number
    try:
        entry: object = read(value)
    except ValidationError as error:
        count.number = before + error.error_count()
        raise
    count.number = before  # without what a branch found that was not taken
    return entry


UNTIL_ENOUGH: Final = WrapValidator(_unless_enough)
# Of models, or of lists: entries behind `MOST_FAULTS` errors are left out unread.
ListOf = tuple[Annotated[Entry, UNTIL_ENOUGH], ...]
TableOf = dict[Key, Annotated[Entry, UNTIL_ENOUGH]]
