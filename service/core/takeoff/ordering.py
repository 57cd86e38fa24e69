"""From net amounts to what is ordered: waste once, then the unit, increment or pack it is sold in.

Rules 6.7 and 11: pieces are ceil(net x (1 + waste)); stone is its volume in place,
loosened, weighed if it is sold by weight, and rounded up to the yard's increment.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import assert_never

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.material import Material, Pack
from service.core.job.section import Group
from service.core.measure import UNITS, Dimension, Unit, UnitSet, number
from service.core.money import counted
from service.core.rounding import CLOSE_M, whole_lots, whole_packs, whole_pieces
from service.core.takeoff.increment import assumed_increment, round_up
from service.core.takeoff.roll import cut_count, cut_rolls


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What a quote needs of one item over all walls: `net` in SI or pieces, before waste; `cuts`
    are pieces to be cut from rolls, (length in m, how many), longest first."""

    item: str
    group: Group
    net: float
    dimension: Dimension
    waste: Decimal
    piece_kg: float | None = None
    per_pallet: int | None = None
    cuts: tuple[tuple[float, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is ordered of one item; the names are those of QuantityLine."""

    order: Decimal
    order_unit: str
    sold_per: str
    how: tuple[str, ...]
    packs: tuple[int, str] | None = None
    weight_kg: float | None = None
    pack_content: Decimal | None = None
    pack_unit: str | None = None
    increment_assumed: bool = False


def order(need: Need, material: Material | None, units: UnitSet) -> Order:
    """The order for one item.

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
        case "time" | "day" | "load" | "force_per_length":
            raise _unreachable(need, _sold_symbol(material))
        case _:
            assert_never(need.dimension)


def _order_pieces(need: Need, material: Material | None, units: UnitSet) -> Order:
    pieces = whole_pieces(need.net, need.waste)
    how = [_waste_words(number(need.net, 6), need.waste, f"{pieces} each")]
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
    piece_kg = _piece_kg(need, material)
    return Order(
        order=Decimal(pieces),
        order_unit="each",
        sold_per="each",
        packs=packs,
        weight_kg=None if piece_kg is None else pieces * piece_kg,
        how=(*how, *_weight_words(pieces, piece_kg, units)),
    )


def _order_bulk(need: Need, material: Material | None, units: UnitSet) -> Order:
    """Stone by volume, fabric by area, pipe by length."""
    wasted = need.net * float(1 + need.waste)
    how = [
        _waste_words(
            units.show(need.net, need.dimension), need.waste, units.show(wasted, need.dimension)
        )
    ]
    amount, dimension, delivered = _as_delivered(need, material, wasted, units)
    how += delivered
    if material and material.pack:
        return _order_packs(need, material, material.pack, amount, how)
    sold = (
        material.sold_per
        if material and material.sold_per
        else UNITS[units.unit_for(need.dimension)]
    )
    if material and sold.dimension == "mass" and dimension == "volume":
        amount = _weighed(need, material, amount, sold, how, units)
        dimension = "mass"
    if sold.dimension != dimension:
        raise _unreachable(need, sold.symbol)
    increment = material.increment if material else None
    ordered, words = round_up(amount, sold, increment or assumed_increment(need.group))
    return Order(
        order=ordered,
        order_unit=sold.symbol,
        sold_per=sold.symbol,
        weight_kg=_bulk_kg(material, sold, float(ordered * sold.si)),
        how=(*how, words),
        increment_assumed=increment is None,
    )


def _as_delivered(
    need: Need, material: Material | None, amount: float, units: UnitSet
) -> tuple[float, Dimension, list[str]]:
    """The volume that must be delivered for a volume in place."""
    if need.dimension != "volume" or material is None or material.loose_per_in_place == 1:
        return amount, need.dimension, []
    loose = amount * material.loose_per_in_place
    factor, shown = number(material.loose_per_in_place, 6), units.show(loose, "volume")
    words = f"x {factor} loose for one in place: {shown}"
    return loose, "volume", [words]


def _weighed(
    need: Need, material: Material, amount: float, sold: Unit, how: list[str], units: UnitSet
) -> float:
    if material.loose_kg_m3 is None:
        raise _unreachable(need, sold.symbol)
    mass = amount * material.loose_kg_m3
    per = material.loose_kg_m3 * float(UNITS[units.volume].si)
    weight, total = units.show(per, "mass"), units.show(mass, "mass", sold.symbol)
    how.append(f"x {weight} for 1 {units.volume} loose: {total}")
    return mass


def _order_packs(
    need: Need, material: Material, pack: Pack, amount: float, how: list[str]
) -> Order:
    if pack.unit.dimension != need.dimension:
        raise _unreachable(need, pack.word)
    count = whole_packs(amount, pack.content_si)
    how.append(
        f"/ {number(pack.content)} {pack.unit.symbol} in a {pack.word}, rounded up: "
        f"{counted(count, pack.word)}"
    )
    weight = _piece_kg(need, material)
    return Order(
        order=Decimal(count),
        order_unit=pack.word,
        sold_per="pack",
        packs=(count, pack.word),
        weight_kg=None if weight is None else count * pack.content_si * weight,
        pack_content=pack.content,
        pack_unit=pack.unit.symbol,
        how=tuple(how),
    )


def _order_rolls(need: Need, material: Material | None, units: UnitSet) -> Order:
    """Whole rolls for pieces that can't be joined; waste is on pieces, length by length."""
    if material is None or material.reinforcement is None or material.pack is None:
        raise _unreachable(need, _sold_symbol(material))
    roll_m, pack = material.reinforcement.roll_length_m, material.pack
    if need.cuts[0][0] > roll_m + CLOSE_M:
        raise _too_long(need, roll_m, units)
    cuts = [(length, whole_pieces(float(count), need.waste)) for length, count in need.cuts]
    rolls = cut_rolls(cuts, roll_m)
    roll, word = units.show(roll_m, "length"), pack.word
    how = []
    for (length, count), (_, wasted) in zip(need.cuts, cuts, strict=True):
        piece = f"pieces of {units.show(length, 'length')}"
        how.append(_waste_words(f"{count} {piece}", need.waste, f"{wasted}"))
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


def _piece_kg(need: Need, material: Material | None) -> float | None:
    """Weight of a piece (or of a meter, a square meter): the wall system's, else the file's."""
    if need.piece_kg is not None or material is None:
        return need.piece_kg
    return material.kg_per_unit


def _bulk_kg(material: Material | None, sold: Unit, ordered_si: float) -> float | None:
    per: float | None
    match sold.dimension:
        case "mass":
            return ordered_si
        case "volume":
            per = material.loose_kg_m3 if material else None
        case "length" | "area" | "count":
            per = material.kg_per_unit if material else None
        case "time" | "day" | "load" | "force_per_length":
            per = None
        case _:
            assert_never(sold.dimension)
    return None if per is None else ordered_si * per


def _waste_words(net: str, waste: Decimal, wasted: str) -> str:
    if waste == 0:
        return f"net {net}, no waste: {wasted}"
    return f"net {net} x {number(1 + waste)} for {number(waste * 100)} % waste: {wasted}"


def _weight_words(pieces: int, piece_kg: float | None, units: UnitSet) -> tuple[str, ...]:
    if piece_kg is None:
        return ()
    each, total = (units.show(kg, "mass") for kg in (piece_kg, pieces * piece_kg))
    return (f"weight {pieces} x {each}: {total}",)


def _unreachable(need: Need, sold: str) -> QuoteFaultsError:
    return QuoteFaultsError(
        [
            Fault(
                code="sold-unit-unreachable",
                at=("section",),
                message=f"{need.item} is counted by {need.dimension} but sold by {sold}, "
                "and its material file doesn't say how to get there",
                hint=f"a weight, or a unit of {need.dimension}, in the file of {need.item}",
            )
        ]
    )
