"""Readers behind the field types: each reads one form strictly and publishes its own schema."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, LiteralString

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import PydanticCustomError, core_schema

from service.units import found

JsonObject = dict[str, Any]

DATE_PATTERN = "^(?:19|20|21)[0-9]{2}-[0-9]{2}-[0-9]{2}$"
_SURROGATE = re.compile("[\ud800-\udfff]")


def refused(
    code: LiteralString, message: str, hint: str | None = None, *, at: tuple[str | int, ...] = ()
) -> PydanticCustomError:
    """What a validator raises: a fault with its own code; `at` leads on from the model."""
    return PydanticCustomError(code, "{message}", {"message": message, "hint": hint, "at": at})


@dataclass(frozen=True, slots=True)
class Reader:
    """What the field types share: a strict reader that publishes its own schema."""

    def read(self, value: object) -> Any:  # noqa: ANN401  each type has its own result
        """The value in core terms; raises PydanticCustomError."""
        raise NotImplementedError

    def schema(self) -> JsonObject:
        """The JSON Schema of what is read."""
        raise NotImplementedError

    def write(self, value: Any) -> str:  # noqa: ANN401  each type has its own result
        """The value as text that is read again; schemas print defaults with it."""
        return str(value)

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        writer = core_schema.plain_serializer_function_ser_schema(self.write)
        # `example` is there for messages about a field that is missing, `reader` for whoever
        # writes the schema of a model.
        metadata = {"example": self.schema()["examples"][0], "reader": self}
        return core_schema.no_info_plain_validator_function(
            self.read, serialization=writer, metadata=metadata
        )

    def __get_pydantic_json_schema__(
        self, _schema: core_schema.CoreSchema, _handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return self.schema()


@dataclass(frozen=True, slots=True)
class PlainDecimal(Reader):
    """A decimal as text, within bounds; a JSON or TOML number is refused, as it may have gone
    through a binary float already."""

    what: str
    pattern: str
    example: str
    bounds: str
    longest: int = 20
    positive: bool = False

    def read(self, value: object) -> Decimal:
        """The exact figure."""
        hint = f'{self.bounds}; write it like "{self.example}"'
        if isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
            message = f'{found(value)} is a number; {self.what} is text, like "{self.example}"'
            raise refused("number-not-text", message, hint)
        if not isinstance(value, str):
            message = f'{found(value)} is not {self.what}; write text like "{self.example}"'
            raise refused("wrong-type", message, hint)
        if len(value) > self.longest or not re.fullmatch(self.pattern, value, re.ASCII):
            near = self._nearest(value[: self.longest])
            hint = f'did you mean "{near}"?' if near else hint
            raise refused("decimal-invalid", f"{found(value)} is not {self.what}", hint)
        exact = Decimal(value)
        if self.positive and not exact:
            raise refused("decimal-invalid", f"{found(value)} must be more than 0", hint)
        return abs(exact) if exact.is_zero() else exact

    def _nearest(self, text: str) -> str | None:
        """The figure as it is read, of one written with a currency sign, blanks or commas."""
        said = re.sub(r"(?<=\d),(?=\d{3}(?!\d))", "", re.sub(r"[$€£\s]", "", text))
        said = re.sub(r"^(\d+),(\d{1,2})$", r"\1.\2", said, flags=re.ASCII)
        return said if re.fullmatch(self.pattern, said, re.ASCII) else None

    def write(self, value: Decimal | Fraction) -> str:
        """The figure without an exponent; a fraction as it is."""
        return format(value, "f") if isinstance(value, Decimal) else str(value)

    def schema(self) -> JsonObject:
        """Text, never a number."""
        return {
            "type": "string",
            "maxLength": self.longest,
            "pattern": self.pattern,
            "description": f"{self.what.capitalize()} as text; {self.bounds}.",
            "examples": [self.example],
        }


@dataclass(frozen=True, slots=True)
class MeantShare(PlainDecimal):
    """A share that nobody means above `most`: 20 is taken for percent, and refused with 0.20."""

    most: Decimal = Decimal(1)

    def read(self, value: object) -> Decimal:
        """The exact share, 0 to `most`."""
        short = value if isinstance(value, str) and len(value) <= self.longest else ""
        if percent := re.fullmatch(rf"({_ABOVE}) ?%", short, re.ASCII):
            meant = Decimal(percent[1]).scaleb(-2)
            plain = f'{self.bounds}; write it like "{self.example}"'
            hint = f'did you mean "{meant:f}"?' if meant <= self.most else plain
            raise refused("decimal-invalid", f"{found(value)} is not {self.what}", hint)
        if re.fullmatch(_ABOVE, short, re.ASCII) and Decimal(short) > self.most:
            message = f"{found(value)} is more than {self.most:f}, that is {self.most * 100:f} %"
            hint = _hundredth(Decimal(short), self.most) or self.bounds
            raise refused("share-not-meant", message, hint)
        percent = re.fullmatch(_PERCENT, short, re.ASCII)
        if percent and (meant := Decimal(percent[1]).scaleb(-2)) <= self.most:
            message = f"{found(value)} is not {self.what}"
            raise refused("decimal-invalid", message, f'did you mean "{meant:f}"?')
        return PlainDecimal.read(self, value)


_ABOVE = r"[0-9]{1,3}(?:\.[0-9]{1,6})?"
_PERCENT = rf"({_ABOVE}) ?%"
# Whoever writes 5 or more means percent; what lies between is no percentage anybody charges.
_PERCENT_FROM = 5


def _hundredth(share: Decimal, most: Decimal) -> str | None:
    """What was meant by a share that was written in percent."""
    meant = share.scaleb(-2)
    if share < _PERCENT_FROM or meant > most:
        return None
    return f'did you mean "{meant:f}"?'


@dataclass(frozen=True, slots=True)
class FractionOrDecimal(PlainDecimal):
    """A ratio as a decimal or as a fraction, as catalog files write it; exact afterwards."""

    def read(self, value: object) -> Any:  # noqa: ANN401  narrower than the parent's Decimal
        """The ratio as a Fraction, 0 to 1."""
        hint = f'{self.bounds}; write it like "{self.example}"'
        if isinstance(value, str) and re.fullmatch(r"[0-9]{1,4}/[1-9][0-9]{0,3}", value, re.ASCII):
            ratio = Fraction(value)
            if ratio > 1:
                raise refused("decimal-invalid", f"{found(value)} is more than 1", hint)
            return ratio
        return Fraction(PlainDecimal.read(self, value))


@dataclass(frozen=True, slots=True)
class PlainText(Reader):
    """Text of a bounded length in a stated alphabet."""

    code: LiteralString
    what: str
    pattern: str
    longest: int
    example: str

    def read(self, value: object) -> str:
        """The text as it stands."""
        if not isinstance(value, str):
            message = f"{found(value)} is not text"
            raise refused("wrong-type", message, f'{self.what}, such as "{self.example}"')
        if len(value) > self.longest:
            message = f"{len(value)} characters are too many, at most {self.longest} are read"
            raise refused("too-long", message)
        # Half of a surrogate pair is no character; schemas can't say so, as JSON can't hold one.
        if not re.fullmatch(self.pattern, value) or _SURROGATE.search(value):
            message = f"{found(value)} is not {self.what}"
            raise refused(self.code, message, f'write it like "{self.example}"')
        return value

    def schema(self) -> JsonObject:
        """Text with its pattern."""
        return {
            "type": "string",
            "minLength": 1,
            "maxLength": self.longest,
            "pattern": self.pattern,
            "description": f"{self.what[0].upper()}{self.what[1:]}.",
            "examples": [self.example],
        }


def calendar_day(text: str) -> date | None:
    """A date as ISO 8601 writes it, 1900 to 2199; None for what is none."""
    if not re.fullmatch(DATE_PATTERN, text, re.ASCII):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


@dataclass(frozen=True, slots=True)
class CalendarDate(Reader):
    """A date as ISO 8601 writes it."""

    def read(self, value: object) -> date:
        """The date."""
        hint = 'year-month-day, such as "2026-05-04"'
        if not isinstance(value, str):
            raise refused("wrong-type", f"{found(value)} is not a date as text", hint)
        read = calendar_day(value)
        if read is None:
            raise refused("date-invalid", f"{found(value)} is not a date", hint)
        return read

    def schema(self) -> JsonObject:
        """Text in the `date` format."""
        return {
            "type": "string",
            "format": "date",
            "maxLength": 10,
            "pattern": DATE_PATTERN,
            "description": "Date, year-month-day, 1900 to 2199.",
            "examples": ["2026-05-04"],
        }
