"""From net amounts to what is ordered: waste once, then the unit, increment or pack it is sold in.

Rules 6.7 and 11: pieces are ceil(net x (1 + waste)); stone is its volume in place,
loosened, weighed if it is sold by weight, and rounded up to the yard's increment.
"""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.material import Material, Pack
from service.core.measure import UnitSet, number
from service.core.money import counted
from service.core.rounding import CLOSE_M, whole_lots, whole_packs, whole_pieces
from service.core.takeoff.increment import assumed_increment, round_up
from service.core.takeoff.need import Need, Order, Ways, unreachable
from service.core.takeoff.roll import cut_count, cut_rolls
from service.core.takeoff.used import (
    amount_used,
    charge,
    piece_kg,
    sold_unit,
    used_kg,
    waste_words,
)


def order_ways(need: Need, material: Material | None, units: UnitSet) -> Ways:
    """The order for one item: as its supplier sells it, and as it is charged from stock; an item
    whose own file says that it is kept in stock is never bought for a quote.

    Raises as `order` does.
    """
    bought, charged = order(need, material, units), charge(need, material, units)
    return Ways(bought=charged if material and material.stock else bought, charged=charged)


def order(need: Need, material: Material | None, units: UnitSet) -> Order:
    """The order for one item, bought for the quote.

    Raises QuoteFaultsError (`sold-unit-unreachable`) where the material's file sells it in a unit
    that its net amount can't be turned into, such as stone by weight without its weight;
    `reinforcement-longer-than-roll` where a piece can't be cut from one.
    """
    if need.cuts:
        return _order_rolls(need, material, units)
    match need.dimension:
        case "count":
            return _order_pieces(need, material, units)
        case "length" | "area" | "volume" | "mass":
            return _order_bulk(need, material, units)
        case "time" | "day" | "load" | "force_per_length" | "pressure":
            raise unreachable(need, _sold_symbol(material))
        case _:
            assert_never(need.dimension)


def _order_pieces(need: Need, material: Material | None, units: UnitSet) -> Order:
    pieces = whole_pieces(need.net, need.waste)
    how = [waste_words(number(need.net, 6), need.waste, f"{pieces} each")]
    if material and material.pack:
        return _order_packs(need, material, material.pack, float(pieces), how)
    if material and material.increment and material.increment > 1:
        pieces = whole_lots(pieces, material.increment)
        how.append(f"sold by {number(material.increment)}: {pieces} each")
    packs = None
    if need.per_pallet:
        packs = (whole_packs(pieces, need.per_pallet), "pallet")
        how.append(
            f"{pieces} / {need.per_pallet} on a pallet, rounded up: {counted(packs[0], 'pallet')}"
        )
    each_kg = piece_kg(need, material)
    return Order(
        order=Decimal(pieces),
        order_unit="each",
        sold_per="each",
        packs=packs,
        weight_kg=None if each_kg is None else pieces * each_kg,
        how=(*how, *_weight_words(pieces, each_kg, units)),
    )


def _order_bulk(need: Need, material: Material | None, units: UnitSet) -> Order:
    """Stone by volume, fabric by area, pipe by length."""
    used = amount_used(need, material, units)
    if material and material.pack:
        return _order_packs(need, material, material.pack, used.amount, list(used.how))
    sold = sold_unit(need, material, units)
    if sold.dimension != used.dimension:
        raise unreachable(need, sold.symbol)
    increment = material.increment if material else None
    ordered, words = round_up(used.amount, sold, increment or assumed_increment(need.group))
    return Order(
        order=ordered,
        order_unit=sold.symbol,
        sold_per=sold.symbol,
        weight_kg=used_kg(need, material, sold, float(ordered * sold.si)),
        how=(*used.how, words),
        increment_assumed=increment is None,
    )


def _order_packs(
    need: Need, material: Material, pack: Pack, amount: float, how: list[str]
) -> Order:
    if pack.unit.dimension != need.dimension:
        raise unreachable(need, pack.word)
    count = whole_packs(amount, pack.content_si)
    how.append(
        f"/ {number(pack.content)} {pack.unit.symbol} in a {pack.word}, rounded up: "
        f"{counted(count, pack.word)}"
    )
    weight = piece_kg(need, material)
    return Order(
        order=Decimal(count),
        order_unit=pack.word,
        sold_per="pack",
        packs=(count, pack.word),
        weight_kg=None if weight is None else count * pack.content_si * weight,
        pack_content=pack.content,
        pack_unit=pack.unit.symbol,
        pack_word=pack.word,
        how=tuple(how),
    )


def _order_rolls(need: Need, material: Material | None, units: UnitSet) -> Order:
    """Whole rolls for pieces that can't be joined; waste is on pieces, length by length."""
    if material is None or material.reinforcement is None or material.pack is None:
        raise unreachable(need, _sold_symbol(material))
    roll_m, pack = material.reinforcement.roll_length_m, material.pack
    if need.cuts[0][0] > roll_m + CLOSE_M:
        raise _too_long(need, roll_m, units)
    cuts = [(length, whole_pieces(float(count), need.waste)) for length, count in need.cuts]
    rolls = cut_rolls(cuts, roll_m)
    roll, word = units.show(roll_m, "length"), pack.word
    how = []
    for (length, count), (_, wasted) in zip(need.cuts, cuts, strict=True):
        piece = f"pieces of {units.show(length, 'length')}"
        how.append(waste_words(f"{count} {piece}", need.waste, f"{wasted}"))
        how.append(f"{roll} in a {word} / {piece}: {cut_count(length, roll_m)} from a {word}")
    how.append(
        f"cut longest first, each from the first {word} that is long enough: {counted(rolls, word)}"
    )
    weight = material.kg_per_unit
    return Order(
        order=Decimal(rolls),
        order_unit=word,
        sold_per="pack",
        packs=(rolls, word),
        weight_kg=None if weight is None else rolls * pack.content_si * weight,
        pack_content=pack.content,
        pack_unit=pack.unit.symbol,
        pack_word=pack.word,
        how=tuple(how),
    )


def _sold_symbol(material: Material | None) -> str:
    return material.sold_per.symbol if material and material.sold_per else "no unit"


def _too_long(need: Need, roll_m: float, units: UnitSet) -> QuoteFaultsError:
    length, roll = (units.show(value, "length") for value in (need.cuts[0][0], roll_m))
    return QuoteFaultsError(
        [
            Fault(
                code="reinforcement-longer-than-roll",
                at=("section",),
                message=f"a layer of {need.item} is {length} long, but its roll holds {roll}: "
                "sheets are not joined in that direction",
                hint="reinforcement that comes in longer rolls, or a lower wall",
            )
        ]
    )


def _weight_words(pieces: int, piece_kg: float | None, units: UnitSet) -> tuple[str, ...]:
    if piece_kg is None:
        return ()
    each, total = (units.show(kg, "mass") for kg in (piece_kg, pieces * piece_kg))
    return (f"weight {pieces} x {each}: {total}",)
