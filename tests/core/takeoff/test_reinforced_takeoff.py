"""What is ordered where a wall gets layers of reinforcement, and the hours it takes, by hand.

Rolls are 6 x 150 ft; 30 pieces of 5 ft come from one.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.section import CapAdhesive
from service.core.measure import METRIC, US
from tests.given.reinforcement import ITEM, MATERIALS, POUND, layer, reinforced, roll
from tests.given.set_walls import UPRIGHT
from tests.given.walls import (
    ft,
    inch,
    laid,
    legs,
    level_wall,
    line,
    quarter_circle,
    section,
    straight,
    system,
    taken_off,
    to_ft2,
)

EXACT = 1e-9
WALL = level_wall()
LAYOUT = laid(WALL, UPRIGHT)
TWO = reinforced(LAYOUT, layer(LAYOUT, 2), layer(LAYOUT, 5))


def test_take_off_orders_whole_rolls() -> None:
    """40 ft take 7 pieces a layer: 14 of 5 ft, one roll; net is 400 ft2 in place."""
    found = line(taken_off(WALL, blocks=UPRIGHT, materials=MATERIALS, reinforcement=[TWO]), ITEM)
    assert to_ft2(found.net) == pytest.approx(400, rel=EXACT)
    assert (found.order, found.order_unit, found.packs) == (Decimal(1), "roll", (1, "roll"))
    assert (found.sold_per, found.pack_content, found.pack_unit) == ("pack", Decimal(900), "ft2")
    assert found.weight_kg == pytest.approx(45 * POUND, rel=EXACT)


def test_take_off_counts_waste_on_pieces_before_rolls() -> None:
    """28 pieces fit one roll of 30; 10 % waste makes 30.8, so 31 and two rolls."""
    four = reinforced(LAYOUT, *(layer(LAYOUT, course) for course in (2, 3, 4, 5)))
    for waste, rolls in (("0", 1), ("0.07", 1), ("0.10", 2)):
        detail = section(waste={"reinforcement": waste})
        found = taken_off(
            WALL, blocks=UPRIGHT, detail=detail, materials=MATERIALS, reinforcement=[four]
        )
        assert line(found, ITEM).order == rolls
        assert line(found, ITEM).waste == Decimal(waste)


def test_take_off_cuts_the_pieces_of_all_walls_from_the_same_rolls() -> None:
    """Two walls of 14 pieces take one roll together; each has its share of the area."""
    specs = [level_wall(name=name) for name in ("left", "right")]
    layouts = [laid(spec, UPRIGHT) for spec in specs]
    layers = [reinforced(each, layer(each, 2), layer(each, 5)) for each in layouts]
    found = taken_off(*specs, blocks=UPRIGHT, materials=MATERIALS, reinforcement=layers)
    assert line(found, ITEM).order == 1
    shares = line(found, ITEM).shares
    assert [name for name, _ in shares] == ["left", "right"]
    assert [to_ft2(net) for _, net in shares] == pytest.approx([400, 400], rel=EXACT)


def test_take_off_of_reinforced_walls_does_not_go_by_their_order() -> None:
    """Walls and layers in another order give the same line."""
    specs = [level_wall(name=name) for name in ("left", "right")]
    layouts = [laid(spec, UPRIGHT) for spec in specs]
    layers = [reinforced(each, layer(each, 2), layer(each, 5, ft(6))) for each in layouts]
    there = taken_off(*specs, blocks=UPRIGHT, materials=MATERIALS, reinforcement=layers)
    back = taken_off(*specs[::-1], blocks=UPRIGHT, materials=MATERIALS, reinforcement=layers[::-1])
    assert line(there, ITEM) == line(back, ITEM)


def test_take_off_measures_laying_by_the_area_in_place() -> None:
    """Work is measured by 400 ft2, wall by wall, without waste; without layers by nothing."""
    found = taken_off(WALL, blocks=UPRIGHT, materials=MATERIALS, reinforcement=[TWO])
    ((name, area),) = found.measured["reinforcement_area"]
    assert name == "wall-1"
    assert to_ft2(area) == pytest.approx(400, rel=EXACT)
    assert taken_off(WALL, blocks=UPRIGHT).measured["reinforcement_area"] == (("wall-1", 0.0),)


def test_take_off_puts_reinforcement_after_adhesive() -> None:
    """Rule 17.1, the order of groups; nothing else of the takeoff changes."""
    detail = section(cap_adhesive=CapAdhesive(item="adhesive", beads=2, yield_m=ft(30)))
    blocks = system(setback=0.0)
    layout = laid(WALL, blocks)
    found = taken_off(
        WALL,
        blocks=blocks,
        detail=detail,
        materials=MATERIALS,
        reinforcement=[reinforced(layout, layer(layout, 2))],
    )
    plain = taken_off(WALL, blocks=blocks, detail=detail, materials=MATERIALS)
    assert found.lines[-1].group == "reinforcement"
    assert found.lines[:-1] == plain.lines
    assert plain.lines[-1].group == "adhesive"


def test_take_off_ignores_reinforcement_without_layers() -> None:
    """An empty layout of layers changes nothing, nor does one of a wall that isn't there."""
    plain = taken_off(WALL, blocks=UPRIGHT, materials=MATERIALS)
    assert (
        taken_off(WALL, blocks=UPRIGHT, materials=MATERIALS, reinforcement=[reinforced(LAYOUT)])
        == plain
    )


def test_take_off_says_how_reinforcement_was_cut() -> None:
    """Courses, length from the face, widths, pieces, rolls; soil between sheets at a corner."""
    spec = level_wall(legs("outside", 90, ft(20), ft(10)))
    layout = laid(spec, UPRIGHT)
    layers = reinforced(layout, layer(layout, 2), layer(layout, 4))
    for units, soil in ((US, "3 in of soil"), (METRIC, "76.2 mm of soil")):
        found = taken_off(
            spec, blocks=UPRIGHT, materials=MATERIALS, units=units, reinforcement=[layers]
        )
        how = " ".join(line(found, ITEM).how)
        assert "under courses 2, 4: each" in how
        assert "4 + 2 pieces" in how
        assert soil in how
    how = " ".join(
        line(taken_off(spec, blocks=UPRIGHT, materials=MATERIALS, reinforcement=[layers]), ITEM).how
    )
    for words in (
        "5 ft from the face into the soil",
        "20 ft + 10 ft to cover / 6 ft",
        "25 ft2 of overlap",
        "12 pieces of 5 ft, no waste: 12",
        "30 from a roll",
        "1 roll",
    ):
        assert words in how


def test_take_off_speaks_of_soil_between_sheets_on_a_curve_alone() -> None:
    """Pieces on a straight wall lie side by side, on a curve they overlap."""
    for parts, told in ((quarter_circle("outside"), True), ((straight(ft(30)),), False)):
        spec = level_wall(parts)
        layout = laid(spec, UPRIGHT)
        found = taken_off(
            spec,
            blocks=UPRIGHT,
            materials=MATERIALS,
            reinforcement=[reinforced(layout, layer(layout, 2))],
        )
        assert ("of soil between" in " ".join(line(found, ITEM).how)) is told


def test_take_off_refuses_a_layer_longer_than_the_roll() -> None:
    """Sheets aren't joined across the wall: the message names both lengths."""
    short = {ITEM: roll(length=ft(4))}
    with pytest.raises(QuoteFaultsError) as caught:
        taken_off(WALL, blocks=UPRIGHT, materials=short, reinforcement=[TWO])
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("reinforcement-longer-than-roll", ("section",))
    assert "5 ft long" in fault.message
    assert "holds 4 ft" in fault.message


def test_take_off_refuses_reinforcement_whose_rolls_are_not_known() -> None:
    """Without a material file with the table nothing can be cut."""
    with pytest.raises(QuoteFaultsError) as caught:
        taken_off(WALL, blocks=UPRIGHT, reinforcement=[TWO])
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("reinforcement-data-missing", ("section",))
    assert ITEM in fault.message


@pytest.mark.parametrize("setback", [0.0, inch(1)])
def test_take_off_of_a_longer_wall_takes_no_less(setback: float) -> None:
    """A foot more of wall never takes less sheet, fewer pieces or fewer rolls."""
    before = (0.0, Decimal(0))
    for length in range(6, 60):
        spec = level_wall(ft(length))
        layout = laid(spec, system(cap=None, setback=setback))
        layers = reinforced(layout, *(layer(layout, course) for course in (2, 3, 4, 5, 6)))
        found = line(
            taken_off(spec, blocks=UPRIGHT, materials=MATERIALS, reinforcement=[layers]), ITEM
        )
        assert found.net >= before[0]
        assert found.order >= before[1]
        before = found.net, found.order
