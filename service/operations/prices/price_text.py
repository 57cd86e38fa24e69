"""Costs as suppliers write them, read without guessing: what could mean two things is a fault."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, get_args

from service.catalog import currencies_of
from service.core.closed_list import row_each
from service.core.rounding import UNIT_COST_STEP, unit_cost
from service.operations.prices.column_mapping import ColumnMapping, DecimalMark, Thousands
from service.operations.prices.sheet import Cell

_POINTS: Mapping[DecimalMark, str] = row_each(get_args(DecimalMark), {"point": ".", "comma": ","})
_MARKS: Mapping[Thousands, str] = row_each(
    get_args(Thousands),
    {"none": "", "comma": ",", "point": ".", "space": " \u00a0\u202f", "apostrophe": "'’"},
)
# A code, or the sign of a currency with letters before it: EUR, $, US$.
_WORD: Final = "[A-Z]{0,3}[$£¥\u20a0-\u20c0]|[A-Z]{3}"
_SIGN: Final = re.compile(rf"(?:({_WORD})\s*)?(.*?)(?:\s*({_WORD}))?", re.DOTALL)
_LOOSE: Final = re.compile(r"[0-9]+(?:[.,'’ \u00a0\u202f][0-9]+)*", re.ASCII)
_DIGITS: Final = 12
# An amount below 0 as programs write it: -7.10, 7.10-, (7.10).
_CREDIT: Final = re.compile(
    r".?[-\u2212]\s*[^-]*|[^-]*[-\u2212]\s*[$£¥\u20a0-\u20c0]?|.?\(.*\).?", re.DOTALL
)
_DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}|[0-9]{1,2}[-/.][A-Za-z]{3}.*", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadCost:
    """A cost, whether it had to be rounded to six places, and the currency's sign beside it."""

    cost: Decimal
    rounded: bool
    sign: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CostUnreadable:
    """Why a text is no cost, and what would be right."""

    code: str
    message: str
    hint: str


def read_cost(cell: Cell, mapping: ColumnMapping, shown: str = "") -> ReadCost | CostUnreadable:
    """The cost in a cell. A number of a workbook is taken by its digits and rounded to six places
    (a cell shown as 7 may hold 7.0000000000000009); `shown` is the sign it is shown with."""
    if isinstance(cell, Decimal):
        percent = shown == "%"
        return _invalid(f"{cell:.2%}") if percent else _bounded(cell, str(cell), shown or None)
    text = (cell or "").strip()
    if not text:
        hint = "a cost such as 7.10; a formula has to be saved with its result"
        return CostUnreadable(code="field-missing", message="the cost is empty", hint=hint)
    before, digits, after = _SIGN.fullmatch(text).groups()  # type: ignore[union-attr]
    if before and after:
        return _invalid(text)
    number = _number(digits, mapping)
    if isinstance(number, CostUnreadable):
        return number if number.code == "decimal-comma" else _invalid(text)
    sign = before or after
    known = sign is None or currencies_of(sign)
    return _bounded(number, text, sign) if known else _invalid(text)


def _number(digits: str, mapping: ColumnMapping) -> Decimal | CostUnreadable:
    point = _POINTS[mapping.decimal]
    marks = _MARKS[mapping.thousands]
    grouped = rf"(?:[0-9]{{1,3}}(?:[{re.escape(marks)}][0-9]{{3}})+|[0-9]+)" if marks else "[0-9]+"
    if re.fullmatch(rf"{grouped}(?:{re.escape(point)}[0-9]+)?", digits, re.ASCII):
        bare = re.sub(rf"[{re.escape(marks)}]", "", digits) if marks else digits
        return Decimal(bare.replace(point, "."))
    other = "," if point == "." else "."
    if _LOOSE.fullmatch(digits):
        words = {".": "point", ",": "comma"}
        return CostUnreadable(
            code="decimal-comma",
            message=f"{digits[:40]!r} can be read in two ways",
            hint=f'the column mapping says decimal "{mapping.decimal}" and thousands '
            f'"{mapping.thousands}"; for {words[other]}s say so there',
        )
    return _invalid(digits)


def _invalid(text: str) -> CostUnreadable:
    return CostUnreadable(
        code="decimal-invalid", message=f"{text[:40]!r} is not a cost", hint=_right(text)
    )


def _right(text: str) -> str:
    """What would be right in the place of a text that is no cost."""
    if not any(letter.isdigit() for letter in text):
        return "a cost such as 7.10; a row without one is taken out of the file"
    if _CREDIT.fullmatch(text):
        return "a credit is no unit cost: take the row out of the file"
    if text.endswith("%"):
        return "a cost such as 7.10; raise costs by a share with changes, not by a file"
    if _DAY.fullmatch(text):
        return "a cost such as 7.10; the program that wrote the file took it for a date"
    return "a cost such as 7.10"


def _bounded(number: Decimal, text: str, sign: str | None) -> ReadCost | CostUnreadable:
    if number < 0:
        return _invalid(text)
    if number >= Decimal(10) ** _DIGITS:
        message = f"{text[:40]} is no unit cost"
        hint = "from 0, at most 12 digits before the point"
        return CostUnreadable(code="out-of-range", message=message, hint=hint)
    number = abs(number)  # a workbook has zeros below zero
    exponent = number.as_tuple().exponent
    if isinstance(exponent, int) and exponent >= UNIT_COST_STEP.as_tuple().exponent:  # type: ignore[operator]
        return ReadCost(cost=number, rounded=False, sign=sign)
    cost = unit_cost(number)
    return ReadCost(cost=cost, rounded=cost != number, sign=sign)
