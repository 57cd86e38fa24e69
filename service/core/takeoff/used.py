"""How much of an item is used up: its net amount with waste, as it is delivered and weighed; and
what is charged of it from stock (rule 11.5)."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import assert_never

from service.core.job.material import Material
from service.core.measure import UNITS, Dimension, Unit, UnitSet, number
from service.core.takeoff.need import Need, Order, unreachable


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """An amount in SI or pieces, in the dimension in which it is sold, with its arithmetic."""

    amount: float
    dimension: Dimension
    how: tuple[str, ...]


def sold_unit(need: Need, material: Material | None, units: UnitSet) -> Unit:
    """The unit of which so much is sold: that of what a pack holds, of the file, or as counted."""
    if material and material.pack:
        return material.pack.unit
    if material and material.sold_per:
        return material.sold_per
    return UNITS[units.unit_for(need.dimension)]


def amount_used(need: Need, material: Material | None, units: UnitSet) -> Used:
    """What is used up of an item, neither rounded nor packed.

    Raises QuoteFaultsError (`sold-unit-unreachable`) for a volume sold by weight without one.
    """
    wasted = need.net * float(1 + need.waste)
    shown = (units.show(each, need.dimension) for each in (need.net, wasted))
    how = [waste_words(next(shown), need.waste, next(shown))]
    if need.dimension != "volume" or material is None:
        return Used(amount=wasted, dimension=need.dimension, how=tuple(how))
    loose = wasted * material.loose_per_in_place
    if material.loose_per_in_place != 1:
        factor = number(material.loose_per_in_place, 6)
        how.append(f"x {factor} loose for one in place: {units.show(loose, 'volume')}")
    sold = material.sold_per
    if material.pack or sold is None or sold.dimension != "mass":
        return Used(amount=loose, dimension="volume", how=tuple(how))
    return _weighed(need, material, loose, sold, how, units)


def _weighed(
    need: Need, material: Material, loose: float, sold: Unit, how: list[str], units: UnitSet
) -> Used:
    if material.loose_kg_m3 is None:
        raise unreachable(need, sold.symbol)
    mass = loose * material.loose_kg_m3
    per = material.loose_kg_m3 * float(UNITS[units.volume].si)
    weight, total = units.show(per, "mass"), units.show(mass, "mass", sold.symbol)
    words = f"x {weight} for 1 {units.volume} loose: {total}"
    return Used(amount=mass, dimension="mass", how=(*how, words))


def charge(need: Need, material: Material | None, units: UnitSet) -> Order:
    """What is charged of an item that is kept in stock: what is used up, in its unit and as nine
    digits show it, neither packed nor rounded up."""
    used, unit = amount_used(need, material, units), sold_unit(need, material, units)
    if unit.dimension != used.dimension:
        raise unreachable(need, unit.symbol)
    amount = Decimal(number(used.amount / float(unit.si)))
    pack = material.pack if material else None
    words = f"kept in stock: {number(amount)} {unit.symbol} charged, neither packed nor rounded up"
    return Order(
        order=amount,
        order_unit=unit.symbol,
        sold_per=unit.symbol,
        how=(*used.how, words),
        weight_kg=used_kg(need, material, unit, used.amount),
        pack_content=pack.content if pack else None,
        pack_unit=pack.unit.symbol if pack else None,
        pack_word=pack.word if pack else None,
        stock=True,
    )


def used_kg(need: Need, material: Material | None, sold: Unit, amount_si: float) -> float | None:
    """Weight of an amount in SI or pieces; None where nobody knows."""
    per: float | None
    match sold.dimension:
        case "mass":
            return amount_si
        case "volume":
            per = material.loose_kg_m3 if material else None
        case "length" | "area" | "count":
            per = piece_kg(need, material)
        case "time" | "day" | "load" | "force_per_length" | "pressure":
            per = None
        case _:
            assert_never(sold.dimension)
    return None if per is None else amount_si * per


def piece_kg(need: Need, material: Material | None) -> float | None:
    """Weight of a piece (or of a meter, a square meter): the wall system's, else the file's."""
    if need.piece_kg is not None or material is None:
        return need.piece_kg
    return material.kg_per_unit


def waste_words(net: str, waste: Decimal, wasted: str) -> str:
    """Net amount and waste in words."""
    if waste == 0:
        return f"net {net}, no waste: {wasted}"
    return f"net {net} x {number(1 + waste)} for {number(waste * 100)} % waste: {wasted}"
