"""What a workbook or a CSV file holds: sheets of cells, with the formula and its value."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Shown = Literal["text", "number", "money", "share", "date"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell: text, or an exact figure with the number of places shown. A `formula` (without the
    leading =, in English function names) stands beside the value it has."""

    value: str | Decimal
    shown: Shown = "text"
    places: int = 2
    formula: str = ""
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Rows of cells under a row of titles. `widths` are in characters."""

    name: str
    titles: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Workbook:
    """Sheets in order; `title` and `author` stand in the file's properties. `money` is what stands
    before and after the figure of a sum."""

    title: str
    author: str
    money: tuple[str, str]
    sheets: tuple[Sheet, ...]
