"""`what_ifs/<id>.toml`: another plausible value in place of one that a quote assumes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.entry import EntryDocument
from service.fields import Id, PlainText, PositiveLength, ShortText, StrictModel, refused

MOST_CHANGES = 10
MOST_VALUES = 20
MOST_KEYS = 10
BACK_GRADE = "/walls/*/profile/*/back_grade"

Place = Annotated[
    str,
    PlainText(
        "place-invalid",
        "a place of a quote request, each part after a slash, * for any place of a list",
        r"^(?:/(?:\*|[a-z][a-z0-9_]{0,63})){1,8}$",
        300,
        "/walls/*/surcharge",
    ),
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What is put where nothing stands in a request: a value, or a back grade at a height in m
    above the top of its wall."""

    place: str
    value: str | Mapping[str, str] | tuple[Mapping[str, str], ...] | None = None
    above_top_m: float | None = None

    @property
    def written(self) -> Any:  # noqa: ANN401  as JSON has it
        """The value as a request has it."""
        if isinstance(self.value, tuple):
            return [dict(entry) for entry in self.value]
        return dict(self.value) if isinstance(self.value, Mapping) else self.value


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """Another value of an assumption. `only` and `other_than` are values that are assumed: of
    which it is another, and of which it is none; `given` stands in the request."""

    assumed: str
    if_instead: str
    changes: tuple[Change, ...]
    only: tuple[str, ...] = ()
    other_than: tuple[str, ...] = ()
    given: str | None = None

    def fits(self, value: str) -> bool:
        """Whether it is another value than the one assumed."""
        return value not in self.other_than and (not self.only or value in self.only)


class ChangeTable(StrictModel):
    """What the request would say. Nothing stated is changed: the place must be empty."""

    place: Place = Field(description="The first `*` are those of `assumed`, a further one is all.")
    value: ShortText | None = None
    table: dict[Id, ShortText] | None = Field(
        None, min_length=1, max_length=MOST_KEYS, description="In place of `value`."
    )
    list: tuple[Annotated[dict[Id, ShortText], Field(max_length=MOST_KEYS)], ...] | None = Field(
        None,
        strict=False,
        min_length=1,
        max_length=MOST_VALUES,
        description="Tables, in place of `value`.",
    )
    above_top: PositiveLength | None = Field(
        None,
        validate_default=True,
        description=f"In place of `value`, of `{BACK_GRADE}` alone: so much over the wall's top.",
    )

    @field_validator("above_top")
    @classmethod
    def _is_one_value(cls, value: float | None, info: ValidationInfo) -> float | None:
        """A change has one value; only a back grade lies above a top."""
        others = [info.data.get(key) for key in ("value", "table", "list")]
        given = sum(each is not None for each in (*others, value))
        if given != 1:
            message = f"a change needs one of value, table, list, above_top; {given} are given"
            raise refused("what-if-unclear", message, 'such as value = "clay"')
        if value is not None and info.data.get("place", BACK_GRADE) != BACK_GRADE:
            raise refused("what-if-unclear", f"belongs to {BACK_GRADE}", "value, table or list")
        return value

    def to_core(self) -> Change:
        """The change."""
        return Change(
            place=self.place,
            value=next((v for v in (self.value, self.table, self.list) if v is not None), None),
            above_top_m=self.above_top,
        )


class WhatIfDocument(EntryDocument):
    """Another plausible value of an assumption: quoted in its place where a request asks what
    each assumption is worth."""

    assumed: Place = Field(description="The field of the assumption, as an answer names it.")
    if_instead: ShortText = Field(description="The other value in words.")
    only: tuple[ShortText, ...] = Field(
        (), strict=False, max_length=MOST_VALUES, description="Where one of these is assumed."
    )
    other_than: tuple[ShortText, ...] = Field(
        (), strict=False, max_length=MOST_VALUES, description="Where none of these is assumed."
    )
    given: Place | None = Field(None, description="Only where this stands in the request.")
    changes: tuple[ChangeTable, ...] = Field(strict=False, min_length=1, max_length=MOST_CHANGES)

    @field_validator("changes")
    @classmethod
    def _places_fit(
        cls, value: tuple[ChangeTable, ...], info: ValidationInfo
    ) -> tuple[ChangeTable, ...]:
        """A change lies in the part of the request that is assumed, or in none of a list."""
        stars = info.data.get("assumed", "").count("*")
        for change in value:
            if change.place.count("*") < stars:
                message = f"{change.place} has fewer * than what is assumed"
                raise refused("what-if-unclear", message, "a place in the same wall")
        return value

    def to_core(self) -> WhatIf:
        """The other value, with its changes."""
        return WhatIf(
            assumed=self.assumed,
            if_instead=self.if_instead,
            changes=tuple(change.to_core() for change in self.changes),
            only=self.only,
            other_than=self.other_than,
            given=self.given,
        )
