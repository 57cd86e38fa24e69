"""Orders: waste once, then what the yard rounds to, packs, pallets and weights, by hand.

Wall Q1 is a row of tests/reference/geometry.toml.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.material import Material, Pack
from service.core.job.reinforcement import Sheet
from service.core.measure import METRIC, UNITS
from service.core.takeoff.need import Need
from service.core.takeoff.ordering import order
from service.core.takeoff.quantities import Quantities
from service.core.takeoff.used import charge
from tests.given.drained import ADHESIVE, FABRIC, PIPE
from tests.given.set_walls import Q1, SET_BLOCKS
from tests.given.walls import ft, inch, level_wall, line, section, system, taken_off, unit

EXACT = 1e-9
CUBIC_FOOT = 0.3048**3
POUND = 0.45359237


def net_and_order(found: Quantities, item: str) -> tuple[float, float]:
    """Pieces in place, and pieces ordered."""
    return line(found, item).net, float(line(found, item).order)


def pack(item: str, content: str, symbol: str, group: str, word: str) -> Material:
    """An item sold by the pack."""
    return Material(
        id=item,
        version="1",
        title=item,
        group=group,
        sold_per=None,
        pack=Pack(content=Decimal(content), unit=UNITS[symbol], word=word),
    )


def stone(
    item: str,
    sold_per: str,
    *,
    increment: str | None = "0.5",
    loose: float = 1.15,
    pounds_per_yd3: float | None = 2700,
) -> Material:
    """Crushed stone at 2,700 lb for a loose cubic yard."""
    weight = None if pounds_per_yd3 is None else pounds_per_yd3 * 0.45359237 / 0.9144**3
    return Material(
        id=item,
        version="1",
        title="Stone",
        group="stone",
        sold_per=UNITS[sold_per],
        increment=None if increment is None else Decimal(increment),
        loose_per_in_place=loose,
        loose_kg_m3=weight,
    )


def test_take_off_adds_waste_once_to_the_pieces() -> None:
    """Wall Q1: 135 x 1.05 = 141.75, so 142."""
    found = taken_off(Q1, blocks=SET_BLOCKS, detail=section(waste={"units": "0.05"}))
    assert net_and_order(found, "block") == (135, 142)
    assert line(found, "block").waste == Decimal("0.05")


def test_take_off_multiplies_whole_counts_by_waste_exactly() -> None:
    """40 x 1.05 is 42, not 43: the product is exact."""
    # 4 courses (24 in exposed, 8 buried) of 15 ft: 10 units each
    found = taken_off(
        level_wall(ft(15), inch(24)),
        blocks=system(cap=None),
        detail=section(waste={"units": "0.05"}),
    )
    assert net_and_order(found, "block") == (40, 42)


def test_take_off_adds_waste_over_all_walls_together() -> None:
    """Two walls of 27 units order ceil(54 x 1.05) = 57, not 29 + 29."""
    # one course each: nothing exposed, 8 in buried
    walls = [level_wall(exposed=0.0, name=name) for name in ("left", "right")]
    found = taken_off(*walls, blocks=system(cap=None), detail=section(waste={"units": "0.05"}))
    assert net_and_order(found, "block") == (54, 57)
    assert line(found, "block").shares == (("left", 27.0), ("right", 27.0))


def test_take_off_tells_pallets_without_rounding_the_order() -> None:
    """142 units stand on 4 pallets of 40; paid are 142."""
    found = taken_off(
        Q1,
        blocks=system(standard=unit(per_pallet=40), cap=None, setback=inch(0.75)),
        detail=section(waste={"units": "0.05"}),
    )
    assert line(found, "block").order == 142
    assert line(found, "block").packs == (4, "pallet")
    assert line(found, "block").how[-1] == "142 / 40 on a pallet, rounded up: 4 pallets"


def test_take_off_weighs_the_order() -> None:
    """142 units of 105 lb are 14,910 lb; stone without a weight is named as not weighed."""
    found = taken_off(
        Q1,
        blocks=system(standard=unit(weight_kg=105 * POUND), cap=None, setback=inch(0.75)),
        detail=section(waste={"units": "0.05"}),
    )
    assert line(found, "block").weight_kg == pytest.approx(14910 * POUND, rel=EXACT)
    assert line(found, "block").how[-1] == "weight 142 x 105 lb: 14910 lb"
    assert line(found, "base_stone").weight_kg is None
    assert found.delivered_kg == pytest.approx(14910 * POUND, rel=EXACT)
    assert found.not_weighed == ("base_stone", "drain_stone")


def test_take_off_cuts_pipe_from_rolls() -> None:
    """40 ft from rolls of 50 ft: one roll is bought, priced by the pack."""
    materials = {"drain_pipe": pack("drain_pipe", "50", "ft", "pipe", "roll")}
    found = line(
        taken_off(level_wall(), detail=section(pipe=PIPE), materials=materials), "drain_pipe"
    )
    assert found.order == 1
    assert (found.order_unit, found.sold_per) == ("roll", "pack")
    assert found.packs == (1, "roll")
    assert found.how[-1] == "/ 50 ft in a roll, rounded up: 1 roll"


def test_order_weighs_whole_packs() -> None:
    """Three meters of pipe at 0.5 kg come on two rolls of 2 m, which weigh 2 kg."""
    need = Need(item="pipe", group="pipe", net=3.0, dimension="length", waste=Decimal(0))
    by_roll = replace(pack("pipe", "2", "m", "pipe", "roll"), kg_per_unit=0.5)
    found = order(need, by_roll, METRIC)
    assert (found.order, found.weight_kg) == (Decimal(2), 2.0)


def test_take_off_adds_waste_before_rolls() -> None:
    """96 ft with 5 % waste are 100.8 ft: three rolls of 50 ft, where 96 ft alone take two."""
    materials = {"drain_pipe": pack("drain_pipe", "50", "ft", "pipe", "roll")}
    plain, wasted = (
        taken_off(level_wall(ft(96)), detail=section(pipe=PIPE, waste=waste), materials=materials)
        for waste in ({}, {"pipe": "0.05"})
    )
    assert line(plain, "drain_pipe").order == 2
    assert line(wasted, "drain_pipe").order == 3


def test_take_off_a_whole_number_of_rolls_is_not_rounded_up() -> None:
    """100 ft are exactly two rolls of 50 ft."""
    materials = {"drain_pipe": pack("drain_pipe", "50", "ft", "pipe", "roll")}
    found = taken_off(level_wall(ft(100)), detail=section(pipe=PIPE), materials=materials)
    assert line(found, "drain_pipe").order == 2


def test_take_off_cuts_fabric_from_rolls() -> None:
    """234.67 ft² from rolls of 100 ft² are three rolls."""
    materials = {"filter_fabric": pack("filter_fabric", "100", "ft2", "fabric", "roll")}
    found = taken_off(
        Q1,
        blocks=SET_BLOCKS,
        detail=section(stops_below_top=0.0, filter_fabric=FABRIC, waste={"fabric": "0.10"}),
        materials=materials,
    )
    assert line(found, "filter_fabric").order == 3


def test_take_off_sells_by_volume_in_the_units_of_the_request() -> None:
    """Without a material file a metric request buys stone by the m3: 1.1327 -> 1.5."""
    found = line(taken_off(level_wall(), units=METRIC), "base_stone")
    assert found.net == pytest.approx(40 * 0.3048**3, rel=EXACT)
    assert (found.order, found.order_unit, found.sold_per) == (Decimal("1.5"), "m3", "m3")


@pytest.mark.parametrize(
    ("waste", "loose", "tons"),
    [
        # 40/27 yd³ in place x 1.15 x 1.35 ton/yd³ = 2.3 -> 2.5 ton
        ({}, 1.15, "2.5"),
        # with 10 % waste 2.53 -> 3 ton
        ({"stone": "0.10"}, 1.15, "3"),
        # 40/27 x 1.25 x 1.35 = 2.5 exactly: not 3
        ({}, 1.25, "2.5"),
    ],
)
def test_take_off_stone_sold_by_the_ton(waste: dict[str, str], loose: float, tons: str) -> None:
    """In place, with waste, loose, weighed, then rounded up to half tons, once."""
    found = line(
        taken_off(
            level_wall(),
            detail=section(waste=waste),
            materials={"base_stone": stone("base_stone", "ton", loose=loose)},
        ),
        "base_stone",
    )
    assert found.order == Decimal(tons)
    assert (found.order_unit, found.sold_per) == ("ton", "ton")
    assert found.net == pytest.approx(40 * CUBIC_FOOT, rel=EXACT)
    assert found.weight_kg == pytest.approx(float(Decimal(tons)) * 907.18474, rel=EXACT)


def test_take_off_stone_sold_by_the_loose_yard() -> None:
    """40/27 x 1.15 = 1.704 yd³ loose -> 2 yd³, which weigh 5,400 lb."""
    found = line(
        taken_off(level_wall(), materials={"base_stone": stone("base_stone", "yd3")}),
        "base_stone",
    )
    assert found.order == 2
    assert found.order_unit == "yd3"
    assert found.weight_kg == pytest.approx(5400 * 0.45359237, rel=EXACT)


def test_take_off_stone_sold_by_the_metric_ton_is_no_short_ton() -> None:
    """2.3 short tons are 2.0865 t -> 2.5 t."""
    found = line(
        taken_off(level_wall(), materials={"base_stone": stone("base_stone", "t")}), "base_stone"
    )
    assert (found.order, found.order_unit) == (Decimal("2.5"), "t")
    assert found.weight_kg == pytest.approx(2500, rel=EXACT)


def test_take_off_stone_without_an_increment_goes_by_half_units() -> None:
    """A material without an increment is rounded up to 0.5 of its unit."""
    found = line(
        taken_off(
            level_wall(),
            materials={"base_stone": stone("base_stone", "ton", increment=None)},
        ),
        "base_stone",
    )
    assert found.order == Decimal("2.5")
    assert found.increment_assumed


def test_take_off_units_sold_by_the_pallet_in_whole_pallets() -> None:
    """Where the pallet is what is sold, 142 units of 40 are an order of 4 pallets."""
    found = line(
        taken_off(
            Q1,
            blocks=SET_BLOCKS,
            detail=section(waste={"units": "0.05"}),
            materials={"block": pack("block", "40", "each", "units", "pallet")},
        ),
        "block",
    )
    assert found.net == 135
    assert found.order == 4
    assert (found.order_unit, found.sold_per) == ("pallet", "pack")


def test_take_off_says_what_pieces_are_sold_by() -> None:
    """135 x 1.05 = 141.75, so 142; sold by 12, so 12 lots and 144 pieces; each step is told."""
    found = line(
        taken_off(
            Q1,
            blocks=SET_BLOCKS,
            detail=section(waste={"units": "0.05"}),
            materials={
                "block": Material(
                    id="block",
                    version="1",
                    title="Block",
                    group="units",
                    sold_per=UNITS["each"],
                    increment=Decimal(12),
                )
            },
        ),
        "block",
    )
    assert found.order == 144
    assert "sold by 12: 144 each" in found.how


def test_order_of_pieces_in_pairs() -> None:
    """Two are the smallest lot that changes a count: 2.6666667 pieces, told in six digits, are 3,
    and 4 in pairs."""
    need = Need(item="glue", group="adhesive", net=8 / 3, dimension="count", waste=Decimal(0))
    pairs = replace(pack("glue", "1", "each", "adhesive", "box"), pack=None, increment=Decimal(2))
    found = order(need, pairs, METRIC)
    assert found.order == 4
    assert found.how == ("net 2.66667, no waste: 3 each", "sold by 2: 4 each")


def test_take_off_adhesive_sold_by_the_box() -> None:
    """2 x 40 / 30 are 3 pieces: one box of 12, and of boxes of 2 two."""
    for content, boxes in (("12", 1), ("2", 2)):
        found = taken_off(
            level_wall(),
            detail=section(cap_adhesive=ADHESIVE),
            materials={"adhesive": pack("adhesive", content, "each", "adhesive", "bag")},
        )
        assert line(found, "adhesive").order == boxes


def test_take_off_stone_in_bags_of_a_volume() -> None:
    """40 ft³ in bags of half a cubic foot are 80 bags."""
    found = taken_off(
        level_wall(), materials={"base_stone": pack("base_stone", "0.5", "ft3", "stone", "bag")}
    )
    assert line(found, "base_stone").order == 80
    assert line(found, "base_stone").packs == (80, "bag")


def test_take_off_pipe_to_the_yards_increment() -> None:
    """40.5 ft sold by the foot in steps of 10 are 50 ft."""
    by_tens = Material(
        id="drain_pipe",
        version="1",
        title="Pipe",
        group="pipe",
        sold_per=UNITS["ft"],
        increment=Decimal(10),
    )
    found = taken_off(
        level_wall(ft(40.5)), detail=section(pipe=PIPE), materials={"drain_pipe": by_tens}
    )
    assert line(found, "drain_pipe").order == 50
    assert not line(found, "drain_pipe").increment_assumed


def test_take_off_refuses_stone_by_weight_without_a_weight() -> None:
    """A volume can't be sold by the ton where no file says what it weighs: a fault names it."""
    with pytest.raises(QuoteFaultsError, match="base_stone"):
        taken_off(
            level_wall(),
            materials={"base_stone": stone("base_stone", "ton", pounds_per_yd3=None)},
        )


def test_take_off_keeps_the_sold_unit_of_stone_in_a_metric_request() -> None:
    """What is bought keeps the unit in which it is sold, here the short ton."""
    found = line(
        taken_off(level_wall(), materials={"base_stone": stone("base_stone", "ton")}, units=METRIC),
        "base_stone",
    )
    assert found.order == Decimal("2.5")
    assert found.order_unit == "ton"


def test_order_of_pieces_from_rolls_needs_a_file_with_rolls() -> None:
    """Pieces are cut from rolls of a sheet that a file knows, and that are sold by the roll."""
    need = Need(
        item="sheet",
        group="reinforcement",
        net=3.0,
        dimension="area",
        waste=Decimal(0),
        cuts=((1.5, 2),),
    )
    by_roll = pack("sheet", "50", "m2", "reinforcement", "roll")
    sheet = Sheet(ultimate_n_m=30000.0, roll_width_m=2.0, roll_length_m=50.0)
    for material in (None, by_roll, replace(by_roll, reinforcement=sheet, pack=None)):
        with pytest.raises(QuoteFaultsError) as caught:
            order(need, material, METRIC)
        assert [fault.code for fault in caught.value.faults] == ["sold-unit-unreachable"]
    assert order(need, replace(by_roll, reinforcement=sheet), METRIC).order == 1


def test_order_cuts_a_piece_as_long_as_its_roll() -> None:
    """Less than 0.001 in over the roll's 50 m is float noise; 0.1 mm is too long."""
    roll = replace(
        pack("sheet", "100", "m2", "reinforcement", "roll"),
        reinforcement=Sheet(ultimate_n_m=30000.0, roll_width_m=2.0, roll_length_m=50.0),
    )
    need = Need(
        item="sheet",
        group="reinforcement",
        net=200.0,
        dimension="area",
        waste=Decimal(0),
        cuts=((50.00001, 2),),
    )
    assert order(need, roll, METRIC).order == 2
    with pytest.raises(QuoteFaultsError):
        order(replace(need, cuts=((50.0001, 2),)), roll, METRIC)


def test_order_and_charge_need_a_unit_of_what_is_used() -> None:
    """What is counted by area is bought and charged by no piece."""
    need = Need(item="fabric", group="fabric", net=3.0, dimension="area", waste=Decimal(0))
    by_piece = Material(id="fabric", version="1", title="F", group="fabric", sold_per=UNITS["each"])
    for way in (order, charge):
        with pytest.raises(QuoteFaultsError) as caught:
            way(need, by_piece, METRIC)
        assert [fault.code for fault in caught.value.faults] == ["sold-unit-unreachable"]


def test_take_off_says_nothing_of_pieces_that_are_sold_one_by_one() -> None:
    """An increment of one piece changes no count, and is no step of the arithmetic."""
    one = replace(pack("block", "1", "each", "units", "box"), pack=None, increment=Decimal(1))
    found = line(taken_off(Q1, materials={"block": one}), "block")
    assert not any("sold by" in words for words in found.how)


def test_order_refuses_what_no_supplier_sells() -> None:
    """Hours aren't bought of a material, nor an area of fabric in packs by the foot."""
    hours = Need(item="x", group="fabric", net=3.0, dimension="time", waste=Decimal(0))
    fabric = Need(item="fabric", group="fabric", net=3.0, dimension="count", waste=Decimal(0))
    by_foot = pack("fabric", "50", "ft", "fabric", "roll")
    for need, material in ((hours, None), (fabric, by_foot)):
        with pytest.raises(QuoteFaultsError) as caught:
            order(need, material, METRIC)
        assert [fault.code for fault in caught.value.faults] == ["sold-unit-unreachable"]
