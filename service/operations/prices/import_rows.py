"""What the rows of a supplier's file say: costs by item, remarks, faults, each by its cell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from service.core.errors import Fault
from service.core.job.price_list import ItemPrice
from service.operations.prices.near_items import NearItems


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """Something about a row that whoever imports should know, though it stops nothing."""

    cell: str
    code: str
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SaleUnit:
    """A unit of sale: `count` of a `per`."""

    per: str
    count: Fraction


@dataclass(slots=True, kw_only=True)
class ReadRows:
    """What the rows of a file say: costs by item with their cells, remarks, faults; filled row by
    row. `skipped` are the cells of rows that were passed over."""

    currency: str | None
    known: Mapping[str, ItemPrice | None]
    units: Mapping[str, SaleUnit]
    named: frozenset[str]
    near: NearItems
    items: dict[str, ItemPrice] = field(default_factory=dict)
    places: dict[str, str] = field(default_factory=dict)
    costs: dict[str, str] = field(default_factory=dict)
    rows: int = 0
    skipped: list[str] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, code: str, cell: str, message: str, hint: str | None = None) -> None:
        """Keep a fault of a cell."""
        self.faults.append(Fault(code=code, at=(cell,), message=message, hint=hint))

    def remark(self, code: str, cell: str, message: str) -> None:
        """Keep a remark on a cell."""
        self.remarks.append(Remark(cell=cell, code=code, message=message))
