"""What every catalog document has in common: its header and its sources."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field, ValidationError, ValidationInfo, field_validator
from pydantic_core import InitErrorDetails, PydanticCustomError

from service.fields import Id, IsoDate, LongText, PlainText, ShortText, StrictModel, refused

SourceKind = Literal["published", "common practice", "memory", "invented"]
# How far two figures of one file that say the same may differ (catalog/README.md).
AGREEMENT = 0.02
# 1.02 ft2 is 2 % more than 18 x 8 in, whatever the last digit of the floats says.
_LAST_DIGITS = 1e-9
_NAMED_WHEN_PUBLISHED = ("title", "edition", "where", "read_on")

MOST_NAMES = 20

Version = Annotated[
    str,
    PlainText(
        "version-invalid",
        "a version of letters, digits, points, dashes and underscores",
        "^[0-9A-Za-z][0-9A-Za-z._-]{0,31}$",
        32,
        "1",
    ),
]

Place = tuple[str | int, ...]
BrokenRule = tuple[Place, PydanticCustomError]  # (place below the field, what is wrong)


def raise_broken(broken: Sequence[BrokenRule]) -> None:
    """Raise all broken rules of one pass, each at its own place below the field.

    Raises pydantic.ValidationError, which pydantic merges into that of the whole document.
    """
    if broken:
        details = [InitErrorDetails(type=error, loc=place, input=None) for place, error in broken]
        raise ValidationError.from_exception_data("rules", details)


class Source(StrictModel):
    """Where the figures of an entry, or of one of its tables, come from."""

    kind: SourceKind
    title: ShortText | None = Field(None, validate_default=True)
    edition: ShortText | None = Field(None, validate_default=True)
    where: ShortText | None = Field(
        None, validate_default=True, description="Table, page or section."
    )
    read_on: IsoDate | None = Field(None, validate_default=True, description="When it was read.")
    note: LongText | None = None

    @field_validator(*_NAMED_WHEN_PUBLISHED)
    @classmethod
    def _published_is_named(cls, value: object, info: ValidationInfo) -> object:
        """A published source is named so that a reader can find it."""
        if value is None and info.data.get("kind") == "published":
            raise refused(
                "source-incomplete",
                "is needed where the kind of the source is published",
                f"{', '.join(_NAMED_WHEN_PUBLISHED)}; or a kind that needs none of them",
            )
        return value

    def citation(self) -> str:
        """The source in one line: title, edition and place, else its kind."""
        named = [part for part in (self.title, self.edition, self.where) if part]
        return ", ".join(named) if named else self.kind


class SourcedTable(StrictModel):
    """A table that names a source of its own where it differs from that of the entry."""

    source: Source | None = None


class HeadedDocument(StrictModel):
    """Header of a catalog file; the file stem is the `id`."""

    id: Id
    title: ShortText
    note: LongText | None = None
    also: tuple[ShortText, ...] = Field(
        (),
        strict=False,
        max_length=MOST_NAMES,
        description="What people call it too: a request with such a word is told this id.",
    )
    source: Source

    def to_core(self) -> object:
        """What the file becomes in the core; each kind has its own type."""
        raise NotImplementedError


class EntryDocument(HeadedDocument):
    """A catalog file with a version."""

    version: Version


def agree(value: float, expected: float) -> bool:
    """Two figures that say the same agree within 2 %."""
    return abs(value - expected) <= (AGREEMENT + _LAST_DIGITS) * abs(expected)


def difference(value: float, expected: float) -> str:
    """How far a figure is off, in per cent."""
    return f"{abs(value / expected - 1) * 100:.1f} %"
