"""What is charged of an item that is kept in stock (rule 11.5)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.job.material import Material, Pack
from service.core.measure import UNITS, US
from service.core.takeoff.need import Need, Order
from service.core.takeoff.ordering import order_ways
from service.core.takeoff.quantities import ordered_line
from tests.given.walls import ft, level_wall, line, taken_off

ROLL = Material(
    id="fabric",
    version="1",
    title="Fabric",
    group="fabric",
    sold_per=None,
    pack=Pack(content=Decimal(600), unit=UNITS["ft2"], word="roll"),
    kg_per_unit=0.2,
    stock=True,
)
STONE = Material(
    id="stone",
    version="1",
    title="Stone",
    group="stone",
    sold_per=UNITS["ton"],
    increment=Decimal("0.5"),
    loose_per_in_place=1.1,
    loose_kg_m3=1600.0,
    stock=True,
)
CARTRIDGE = replace(ROLL, id="glue", sold_per=UNITS["each"], pack=None, kg_per_unit=1.5)


def charged(need: Need, material: Material | None) -> Order:
    """What is charged of an item in stock; for it there is no other way."""
    ways = order_ways(need, material, US)
    assert ways.charged.stock
    assert (ways.bought == ways.charged) is bool(material and material.stock)
    return ways.charged


def need(net: float, dimension: str, waste: str = "0.1") -> Need:
    """So much of something with 10 % of waste."""
    return Need(item="x", group="fabric", net=net, dimension=dimension, waste=Decimal(waste))  # type: ignore[arg-type]


def test_order_ways_charges_square_feet_of_a_roll() -> None:
    """250 ft2 with 10 % waste are 275 ft2 of a roll of 600 ft2, which weigh 275 ft2 x 0.2 kg/m2."""
    found = charged(need(250 * ft(1) ** 2, "area"), ROLL)
    assert (found.order, found.order_unit, found.sold_per) == (Decimal(275), "ft2", "ft2")
    assert found.packs is None
    assert found.weight_kg == pytest.approx(275 * 0.3048**2 * 0.2)
    assert found.how == (
        "net 250 ft2 x 1.1 for 10 % waste: 275 ft2",
        "kept in stock: 275 ft2 charged, neither packed nor rounded up",
    )


def test_order_ways_charges_parts_of_a_piece() -> None:
    """2.35 cartridges with 10 % waste are 2.585, not 3."""
    found = charged(need(2.35, "count"), CARTRIDGE)
    assert (found.order, found.order_unit) == (Decimal("2.585"), "each")
    assert not found.increment_assumed


def test_order_ways_charges_tons_of_stone_without_an_increment() -> None:
    """1 m3 in place with 10 % waste is 1.21 m3 loose and weighs 1936 kg: 2.134074698 ton. A yard
    of 1600 kg/m3 weighs 1600 x 0.764554858 / 0.45359237 = 2696.89 lb."""
    found = charged(need(1.0, "volume"), STONE)
    assert "x 2696.89 lb for 1 yd3 loose: 2.13407 ton" in found.how
    assert (found.order, found.order_unit) == (Decimal("2.1340747"), "ton")
    assert found.weight_kg == pytest.approx(1936.0)


def test_order_ways_charges_what_has_no_file_as_it_is_counted() -> None:
    """Without a file nothing says what a pack is: 10 ft with 10 % waste are 11 ft."""
    found = charged(need(ft(10), "length"), None)
    assert (found.order, found.order_unit, found.pack_content) == (Decimal(11), "ft", None)


def test_order_ways_buys_what_no_file_has_in_stock() -> None:
    """The same roll is bought whole."""
    ways = order_ways(need(250 * ft(1) ** 2, "area"), replace(ROLL, stock=False), US)
    assert (ways.bought.order, ways.bought.packs) == (Decimal(1), (1, "roll"))
    assert not ways.bought.stock


def test_ordered_line_tells_of_the_way_in_which_it_is_ordered_alone() -> None:
    """A line of 189 blocks, sold by 12, goes from the yard to stock and back: the words of the
    order go, whatever their number."""
    by_lots = {"block": replace(CARTRIDGE, id="block", increment=Decimal(12), stock=False)}
    bought = line(taken_off(level_wall(), materials=by_lots), "block")
    assert bought.ways is not None
    assert (bought.order, len(bought.how)) == (Decimal(192), 4)
    charged = ordered_line(bought, bought.ways.charged)
    assert (charged.order, charged.order_unit, charged.stock) == (Decimal(189), "each", True)
    assert charged.how == (
        "wall-1: courses 1 to 7: 7 x 27; 189 in all",
        "net 189 each, no waste: 189 each",
        "kept in stock: 189 each charged, neither packed nor rounded up",
    )
    assert ordered_line(charged, bought.ways.bought) == bought
