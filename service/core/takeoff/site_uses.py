"""What site work takes of each item, and what it leaves of it, entry by entry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from service.core.errors import Fault
from service.core.job.site_task import DISCARDED_TITLES, SiteWorkEntry
from service.core.job.topsoil import TOPSOIL
from service.core.measure import Dimension, Unit, UnitSet, number
from service.core.rounding import CLOSE_SHARE


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteUse:
    """What one entry takes of an item, or leaves of it: SI, before waste. `place` is the entry's
    in the request, from 0."""

    place: int
    item: str
    title: str
    dimension: Dimension
    amount: float
    waste: Decimal
    how: str


def material_uses(entries: Sequence[SiteWorkEntry]) -> Iterator[SiteUse]:
    """What the entries take."""
    for place, entry in enumerate(entries):
        for row in entry.task.materials:
            yield SiteUse(
                place=place,
                item=row.item,
                title=row.item.replace("_", " "),
                dimension=row.unit.dimension,
                amount=entry.of(row),
                waste=row.waste,
                how=_product(entry, row.amount, row.unit),
            )


def disposal_uses(entries: Sequence[SiteWorkEntry]) -> Iterator[SiteUse]:
    """What the entries leave to be carried away."""
    for place, entry in enumerate(entries):
        for row in entry.task.disposal:
            what = DISCARDED_TITLES[row.what]
            yield SiteUse(
                place=place,
                item=row.item,
                title=f"{what} carried away and tipped",
                dimension=row.unit.dimension,
                amount=entry.of(row),
                waste=Decimal(0),
                how=f"{what}: {_product(entry, row.amount, row.unit)}",
            )


def less_own_topsoil(uses: Iterable[SiteUse], own_m3: float, units: UnitSet) -> Iterator[SiteUse]:
    """The uses, those of topsoil less what the job stripped itself, entry by entry; a use that is
    served whole is none."""
    left = own_m3
    for use in uses:
        served = min(left, use.amount) if use.item == TOPSOIL and use.dimension == "volume" else 0.0
        left -= served
        if not served:
            yield use
        elif use.amount - served > CLOSE_SHARE * use.amount:
            words = f"{use.how}, less {units.show(served, 'volume')} stripped on the job"
            yield replace(use, amount=use.amount - served, how=words)


def _product(entry: SiteWorkEntry, per_unit: Decimal, unit: Unit) -> str:
    symbol = entry.task.unit.symbol
    each = f"{number(per_unit)} {unit.symbol} per {symbol}"
    total = f"{number(entry.amount * per_unit)} {unit.symbol}"
    return f"{entry.task.title}: {number(entry.amount)} {symbol} x {each} = {total}"


def use_fault(use: SiteUse, code: str, message: str, hint: str) -> Fault:
    """What is wrong with an item, at the entry that uses it first."""
    return Fault(code=code, at=("site_work", use.place, "task"), message=message, hint=hint)


def unreachable_fault(use: SiteUse, sold: str) -> Fault:
    """An item that is sold in a unit that its amounts can't be turned into."""
    return use_fault(
        use,
        "sold-unit-unreachable",
        f"{use.item} is counted by {use.dimension} but sold by {sold}, and its material file "
        "doesn't say how to get there",
        f"a weight, or a unit of {use.dimension}, in the file of {use.item}",
    )
