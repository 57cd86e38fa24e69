"""How an item is sold: its unit, what the yard rounds to, packs, weight."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from service.core.job.reinforcement import Sheet
from service.core.measure import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """A pack of one size: it holds `content` of `unit` and is called `word` (roll, bag ...)."""

    content: Decimal
    unit: Unit
    word: str

    @property
    def content_si(self) -> float:
        """Content in SI: m, m2, m3, kg or pieces."""
        return float(self.content * self.unit.si)


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One item. `sold_per` is the unit of its price; None when it is sold by the `pack`.

    `loose_per_in_place`: volume delivered for one volume in place. `loose_kg_m3`: weight of the
    loose volume, for stone; `kg_per_unit`: weight per SI unit (piece, m, m2) otherwise.
    With `stock` it is kept in stock: what is used is charged, no whole pack or increment.
    `reinforcement`: what a sheet holds and how wide and long its rolls are. `open_graded`: stone
    without fines, whose voids soft ground enters.
    """

    id: str
    version: str
    title: str
    group: str
    sold_per: Unit | None
    increment: Decimal | None = None
    pack: Pack | None = None
    loose_per_in_place: float = 1.0
    loose_kg_m3: float | None = None
    kg_per_unit: float | None = None
    reinforcement: Sheet | None = None
    stock: bool = False
    open_graded: bool = False
