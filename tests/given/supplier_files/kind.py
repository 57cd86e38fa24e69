"""One supplier's file: its bytes, how it is read, and what must come of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from service.operations.prices.worksheet import FileKind

# The price list before: every file is held against it.
BEFORE = {
    "block": ("6.85", "each", "Plant"),
    "cap": ("5.125", "each", "Plant"),
    "corner": ("12.90", "each", "Plant"),
    "stone": ("31.00", "ton", "Pit"),
    "gravel": ("33.00", "yd3", "Pit"),
}
# How files of the block plant are read.
PLANT: Mapping[str, Any] = {
    "columns": {"item": "Item #", "unit_cost": "Net", "per": "UOM", "description": "Description"},
    "items": {"TB-8": "block", "TB-C": "cap", "TB-K": "corner", "57S": "stone", "AB3": "gravel"},
    "units": {"EA": {"per": "each"}, "TN": {"per": "ton"}, "CY": {"per": "yd3"}},
}
# How files of a yard are read that writes decimal commas.
YARD: Mapping[str, Any] = {
    "columns": {"item": "Art.-Nr.", "unit_cost": "Preis", "per": "ME"},
    "items": {"4711": "block", "4712": "cap", "0815": "gravel"},
    "units": {"STK": {"per": "each"}},
    "decimal": "comma",
    "thousands": "point",
    "delimiter": ";",
}
HEAD = "Item #,Net,UOM"
GOOD = "TB-8,7.10,EA"


@dataclass(frozen=True, kw_only=True)
class SupplierFile:
    """A file and, by hand, what is read of it.

    `reads`: cost and unit by item. `faults`: code, cell (empty: the whole file) and words of the
    remedy; where there are any, nothing is read. `remarks`: codes in order. `needs`: cells of
    what has to be accepted. `words`: descriptions that are read.
    """

    name: str
    data: bytes
    kind: FileKind = "csv"
    mapping: Mapping[str, Any] = field(default_factory=lambda: PLANT)
    currency: str | None = "USD"
    reads: Mapping[str, str] = field(default_factory=dict)
    faults: tuple[tuple[str, str, str], ...] = ()
    remarks: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        """Its name, as tests call it."""
        return self.name


def lines(*rows: str, codec: str = "utf-8", end: str = "\r\n") -> bytes:
    """The bytes of a text file."""
    return end.join((*rows, "")).encode(codec)


def plant(**more: object) -> dict[str, Any]:
    """The block plant's mapping with more or other keys."""
    return {**PLANT, **more}


def yard(**more: object) -> dict[str, Any]:
    """The yard's mapping with more or other keys."""
    return {**YARD, **more}
