"""What trucks carry off or bring, in each way in which it may be paid: by loose volume, by weight
or by the load. The takeoff measures all three; the price step orders by the unit of its price."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import assert_never

from service.core.errors import Fault
from service.core.job.machine import Truck
from service.core.measure import UNITS, Dimension, Unit, UnitSet
from service.core.rounding import whole_packs
from service.core.takeoff.increment import OTHER_INCREMENT, round_up

# What a price of something carried may be per.
_PAID: tuple[Dimension, ...] = ("volume", "mass", "load")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """Truck loads, with the arithmetic behind them (empty where it stands elsewhere)."""

    count: int
    how: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Haulage:
    """What is carried of one item. None: not known, `loads` without a truck.

    `sold` is the unit of the order where the price asks for no other; `increment` is what the
    item's file rounds it up to, in that unit. `settled`: the item's file or the way it is counted
    settled that unit, and a price in another unit of its dimension is converted; else the order is
    in the price's own unit. `how` says how the amounts came about.
    """

    volume_m3: float | None
    mass_kg: float | None
    loads: Loads | None
    sold: Unit
    settled: bool
    increment: Decimal | None
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulOrder:
    """So much of a unit, with its arithmetic, and whether the increment is an assumption."""

    amount: Decimal
    unit: Unit
    how: str
    increment_assumed: bool


def order_haulage(haulage: Haulage, unit: Unit) -> HaulOrder | None:
    """The order in a unit; None where it isn't known how much that is."""
    match unit.dimension:
        case "volume":
            return _bulk(haulage, haulage.volume_m3, unit)
        case "mass":
            return _bulk(haulage, haulage.mass_kg, unit)
        case "load":
            return _by_load(haulage, unit)
        case "length" | "area" | "count" | "time" | "day" | "force_per_length" | "pressure":
            return None
        case _:
            assert_never(unit.dimension)


def paid_unit(haulage: Haulage, per: str) -> Unit | None:
    """The unit in which to order what is priced per `per`; None where that is no way to pay it."""
    unit = UNITS.get(per)
    if unit is None or unit.dimension not in _PAID:
        return None
    if haulage.settled and unit.dimension == haulage.sold.dimension:
        return haulage.sold
    return unit


def haul_orders(haulage: Haulage) -> Iterator[HaulOrder]:
    """Every order that a price may ask for: in `sold` first, then in the other units."""
    units = (paid_unit(haulage, per) for per in UNITS)
    for unit in dict.fromkeys([haulage.sold, *(unit for unit in units if unit)]):
        order = order_haulage(haulage, unit)
        if order is not None:
            yield order


def priced_pers(haulage: Haulage) -> tuple[str, ...]:
    """The units that its price may be per, as far as it is known how much there is."""
    units = ((per, paid_unit(haulage, per)) for per in UNITS)
    return tuple(per for per, unit in units if unit and order_haulage(haulage, unit))


def count_loads(
    volume_m3: float | None, mass_kg: float | None, truck: Truck, units: UnitSet
) -> Loads | None:
    """Loads that are over neither volume nor payload of the truck, as far as these are known."""
    counts, words = [], []
    held: tuple[tuple[float | None, float, Dimension], ...] = (
        (volume_m3, truck.volume_m3, "volume"),
        (mass_kg, truck.payload_kg, "mass"),
    )
    for amount, most, dimension in held:
        if amount is not None:
            counts.append(whole_packs(amount, most))
            shown, load = (units.show(value, dimension) for value in (amount, most))
            words.append(f"{shown} / {load} a load: {counts[-1]}")
    return Loads(count=max(counts), how="; ".join(words)) if counts else None


def weight_words(mass_kg: float, units: UnitSet) -> str:
    """How the weight of a line is meant: it is what trucks carry, whatever is ordered."""
    return f"weight as trucks carry it {units.show(mass_kg, 'mass')} (rule 11.4)"


def truck_missing(item: str) -> Fault:
    """Something is paid by the load, and nothing says what a load is."""
    return Fault(
        code="truck-missing",
        at=("rates",),
        message=f"{item} is priced by the load, and the rates name no truck that a load would fill",
        hint="a [trucks.<id>] table with volume and payload, or a price by volume or weight",
    )


def _bulk(haulage: Haulage, amount: float | None, unit: Unit) -> HaulOrder | None:
    if amount is None:
        return None
    increment = haulage.increment if unit == haulage.sold else None
    ordered, words = round_up(amount, unit, increment or OTHER_INCREMENT)
    return HaulOrder(amount=ordered, unit=unit, how=words, increment_assumed=not increment)


def _by_load(haulage: Haulage, unit: Unit) -> HaulOrder | None:
    if haulage.loads is None:
        return None
    count, how = haulage.loads.count, haulage.loads.how
    words = f"{how}; " if how else ""
    return HaulOrder(
        amount=Decimal(count),
        unit=unit,
        how=f"{words}paid by the load: {count} load",
        increment_assumed=False,
    )
