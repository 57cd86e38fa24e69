"""Costs as suppliers write them, read without guessing: what could mean two things is a fault."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, get_args

from service.core.closed_list import row_each
from service.core.rounding import UNIT_COST_STEP, unit_cost
from service.operations.prices.column_mapping import ColumnMapping, DecimalMark, Thousands
from service.operations.prices.worksheet import Cell

_POINTS: Mapping[DecimalMark, str] = row_each(get_args(DecimalMark), {"point": ".", "comma": ","})
_MARKS: Mapping[Thousands, str] = row_each(
    get_args(Thousands),
    {"none": "", "comma": ",", "point": ".", "space": "   ", "apostrophe": "'’"},
)
# Signs that only one currency of this service's users has; a dollar sign says which kind it is
# as little as no sign at all.
_SIGNS: Final = {"€": "EUR", "£": "GBP"}
_SIGN: Final = re.compile(r"^(?:([€£$]|[A-Z]{3})\s*)?(.*?)(?:\s*([€£$]|[A-Z]{3}))?$", re.DOTALL)
_LOOSE: Final = re.compile(r"[0-9]+(?:[.,'’   ][0-9]+)*", re.ASCII)
_DIGITS: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadCost:
    """A cost, whether it had to be rounded to six places, and the currency its sign says."""

    cost: Decimal
    rounded: bool
    currency: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CostUnreadable:
    """Why a text is no cost, and what would be right."""

    code: str
    message: str
    hint: str


def read_cost(cell: Cell, mapping: ColumnMapping) -> ReadCost | CostUnreadable:
    """The cost in a cell. A number of a workbook is taken by its digits and rounded to six places
    (a cell shown as 7 may hold 7.0000000000000009)."""
    if isinstance(cell, Decimal):
        return _bounded(cell, str(cell), None)
    text = (cell or "").strip()
    if not text:
        hint = "a cost such as 7.10; a formula has to be saved with its result"
        return CostUnreadable(code="field-missing", message="the cost is empty", hint=hint)
    before, digits, after = _SIGN.fullmatch(text).groups()  # type: ignore[union-attr]
    if before and after:
        return _invalid(text)
    number = _number(digits, mapping)
    if isinstance(number, CostUnreadable):
        return number
    sign = before or after
    return _bounded(number, text, _SIGNS.get(sign, sign if sign != "$" else None) if sign else None)


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
    message = f"{text[:40]!r} is not a cost"
    return CostUnreadable(code="decimal-invalid", message=message, hint="a cost such as 7.10")


def _bounded(number: Decimal, text: str, currency: str | None) -> ReadCost | CostUnreadable:
    if not 0 <= number < Decimal(10) ** _DIGITS:
        message = f"{text[:40]} is no unit cost"
        hint = "from 0, at most 12 digits before the point"
        return CostUnreadable(code="out-of-range", message=message, hint=hint)
    exponent = number.as_tuple().exponent
    if isinstance(exponent, int) and exponent >= UNIT_COST_STEP.as_tuple().exponent:  # type: ignore[operator]
        return ReadCost(cost=number, rounded=False, currency=currency)
    cost = unit_cost(number)
    return ReadCost(cost=cost, rounded=cost != number, currency=currency)
