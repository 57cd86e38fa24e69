"""What becomes of the soil: reuse, haul-off, import, loads, topsoil; and that nothing is lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.errors import QuoteFaultsError
from service.core.ground.balance import Earthwork, GradedEarth, TopsoilBalance, balance, loads
from service.core.job.machine import Truck
from service.core.job.soil import Soil
from service.core.job.topsoil import Topsoil
from service.core.measure import METRIC, US
from tests.given.earth import dig_section, dug, ground_wall, soil
from tests.given.set_walls import SET_BLOCKS
from tests.given.walls import ft, inch, to_yd3

YD3 = 0.9144**3
FIVE_YARDS = Truck(volume_m3=5 * YD3, payload_kg=20000.0)
SAND = soil("sand", swell="0.12", shrink="0.05", loose_pcf=96)
CLAY = soil("clay", swell="0.43", shrink="0.10", reusable=False, loose_pcf=77)
# tests/reference/earthwork.toml: S1
S1 = ground_wall(
    (0, 8 / 3, 0, 0),
    (40, 8 / 3, 0, 0),
    section_pairs=((-7, 0), (-2, 0), (10 / 3, 8 / 3), (10, 8 / 3)),
    graded_in_front_m=ft(5),
)


def balanced(
    *areas: GradedEarth,
    retained: Soil | None = None,
    fill: Soil | None = None,
    truck: Truck | None = FIVE_YARDS,
    topsoil: Topsoil | None = None,
) -> Earthwork:
    """The balance of some graded areas alone."""
    return balance((), areas, retained or soil(), fill, truck, topsoil, US)


def area(
    cut: float, fill: float, *, stripped_m3: float = 0.0, replaced_m3: float = 0.0
) -> GradedEarth:
    """A graded area in m3: cut bank, fill compacted."""
    return GradedEarth(
        name="yard", cut_m3=cut, fill_m3=fill, stripped_m3=stripped_m3, replaced_m3=replaced_m3
    )


def test_balance_gives_the_surplus_of_set_s1() -> None:
    """S1: 9.0078 yd3 of bank soil go back, 8.4408 are left over, 10.551 loose, 3 loads of 5."""
    wall = dug(S1, dig_section(), SET_BLOCKS)
    earth = balance((wall,), (), soil(), None, FIVE_YARDS, None, US)
    assert to_yd3(earth.cut_m3) == pytest.approx(17.4486, abs=5e-5)
    assert to_yd3(earth.backfill_m3) == pytest.approx(8.1070, abs=5e-5)
    assert to_yd3(earth.reused_m3) == pytest.approx(9.0078, abs=5e-5)
    assert to_yd3(earth.haul_off.bank_m3) == pytest.approx(8.4408, abs=5e-5)
    assert to_yd3(earth.haul_off.loose_m3) == pytest.approx(10.551, abs=5e-4)
    assert (earth.haul_off.loads, earth.imported.loads) == (3, 0)


def test_balance_reuses_no_more_than_is_cut() -> None:
    """18 m3 compacted take 20 in the bank; 12 are cut, 8 come as 10 m3 loose."""
    earth = balanced(area(12.0, 18.0))
    assert earth.reused_m3 == pytest.approx(12.0)
    assert earth.imported.loose_m3 == pytest.approx(10.0)
    assert earth.haul_off.loose_m3 == 0


def test_balance_adds_areas_before_it_balances() -> None:
    """What one area lacks, another gives."""
    earth = balanced(area(10.0, 0.0), area(0.0, 9.0))
    assert earth.haul_off.loose_m3 == pytest.approx(0, abs=1e-12)
    assert earth.imported.loose_m3 == pytest.approx(0, abs=1e-12)


def test_balance_imports_another_fill_whole() -> None:
    """Another soil as fill: the whole cut leaves, the whole fill comes, each by its own swell."""
    earth = balanced(area(10.0, 9.5), fill=SAND)
    assert earth.reused_m3 == 0
    assert earth.haul_off.loose_m3 == pytest.approx(12.5)
    assert earth.imported.loose_m3 == pytest.approx(9.5 / 0.95 * 1.12)
    assert earth.imported.mass_kg == pytest.approx(9.5 / 0.95 * 1.12 * SAND.loose_kg_m3)
    assert any("nothing is reused" in words for words in earth.how)


def test_balance_takes_the_retained_soil_named_twice_for_one() -> None:
    """Naming the retained soil as fill changes nothing."""
    assert balanced(area(10.0, 9.5), fill=soil()) == balanced(area(10.0, 9.5))


def test_balance_refuses_soil_that_may_not_go_back() -> None:
    """A retained soil that isn't reusable needs another fill."""
    with pytest.raises(QuoteFaultsError) as caught:
        balanced(area(1.0, 1.0), retained=CLAY)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("soil-not-reusable", ("soils", "fill"))
    assert balanced(area(1.0, 1.0), retained=CLAY, fill=SAND).reused_m3 == 0


def test_loads_go_by_volume_and_by_payload() -> None:
    """10 yd3 of sand at 96 pcf weigh 25,920 lb: 2 loads by volume, 3 by a payload of 10,000 lb."""
    volume = 10 * YD3
    assert loads(volume, SAND, FIVE_YARDS) == 2
    assert loads(volume, SAND, Truck(volume_m3=5 * YD3, payload_kg=10000 * 0.45359237)) == 3


def test_loads_are_unknown_without_a_truck() -> None:
    """No truck, no loads."""
    earth = balanced(area(12.0, 18.0), truck=None)
    assert (earth.haul_off.loads, earth.imported.loads) == (None, None)


def test_loads_of_a_whole_number_are_that_number() -> None:
    """Exactly three trucks are three loads, not four."""
    assert loads(3 * 0.1, soil(), Truck(volume_m3=0.1, payload_kg=1e9)) == 3


AMOUNT = st.floats(0, 50)


@given(stripped=AMOUNT, replaced=AMOUNT, tasks=AMOUNT, heaped=AMOUNT)
def test_balance_loses_no_topsoil(
    stripped: float, replaced: float, tasks: float, heaped: float
) -> None:
    """Stripped + from the heap + short = put back + tasks + left over. Nothing is bought while
    anything leaves or lies heaped, and the heap is not touched while anything leaves."""
    top = TopsoilBalance(
        stripped_m3=stripped, replaced_m3=replaced, tasks_m3=tasks, heaped_m3=heaped
    )
    had = stripped + top.from_heap_m3 + top.short_m3
    assert had == pytest.approx(replaced + tasks + top.surplus_m3)
    assert min(top.surplus_m3, top.short_m3) == pytest.approx(0)
    assert min(top.surplus_m3, top.from_heap_m3) == pytest.approx(0)
    assert min(heaped - top.from_heap_m3, top.short_m3) == pytest.approx(0)
    assert top.short_m3 == pytest.approx(top.short_put_back_m3 + tasks - top.served_m3)


def test_balance_keeps_topsoil_apart() -> None:
    """6 stripped, 4 put back: 2 left over; put back thicker, the rest is short. Neither is cut."""
    topsoil = Topsoil(strip_m=inch(6), replace_m=inch(4))
    plain = balanced(area(5.0, 1.0))
    over = balanced(area(5.0, 1.0, stripped_m3=6.0, replaced_m3=4.0), topsoil=topsoil)
    short = balanced(area(5.0, 1.0, stripped_m3=4.0, replaced_m3=6.0), topsoil=topsoil)
    assert plain.topsoil is None
    assert over.topsoil is not None
    assert short.topsoil is not None
    assert (over.topsoil.surplus_m3, over.topsoil.short_m3) == (2.0, 0.0)
    assert (short.topsoil.surplus_m3, short.topsoil.short_m3) == (0.0, 2.0)
    assert over.haul_off == plain.haul_off


def test_balance_says_what_it_did() -> None:
    """The working stands in words, in the request's units."""
    words = balance((), (area(12.0, 18.0),), soil(), None, FIVE_YARDS, None, METRIC).how
    assert words == (
        "backfill 0 m3 + fill 18 m3 compacted / (1 - 0.10 shrink) = 20 m3 bank of silty sand",
        "reused: 12 m3 bank, the smaller of the cut 12 m3 and what is needed",
        (
            "import: 8 m3 bank x (1 + 0.25 swell) = 10 m3 loose, 13840 kg; 3 loads of at most "
            "3.82277 m3 and 20000 kg"
        ),
    )


def test_balance_says_what_is_hauled_of_less_than_a_cubic_metre() -> None:
    """0.5 m3 of bank soil are 0.625 m3 loose: a load all the same, and said."""
    assert balance((), (area(0.5, 0.0),), soil(), None, FIVE_YARDS, None, METRIC).how[-1] == (
        "haul off: 0.5 m3 bank x (1 + 0.25 swell) = 0.625 m3 loose, 864.997 kg; 1 load of at most "
        "3.82277 m3 and 20000 kg"
    )


def test_balance_says_what_becomes_of_topsoil() -> None:
    """Of 4 m3 stripped and 5 heaped 3 are put back and 2.5 taken by site work: 1.5 from the heap.
    Without site work and heap nobody speaks of them."""
    layers = Topsoil(strip_m=0.2, replace_m=0.15)
    topped = area(5.0, 1.0, stripped_m3=4.0, replaced_m3=3.0)
    served, plain = (
        balance((), (topped,), soil(), None, None, topsoil, METRIC).how[-1]
        for topsoil in (replace(layers, tasks_m3=2.5, heaped_m3=5.0), layers)
    )
    assert served == (
        "topsoil in place: 4 m3 stripped, 1.5 m3 from the heap, 3 m3 put back, 2.5 m3 for site "
        "work, 0 m3 left over, 0 m3 short"
    )
    assert plain == ("topsoil in place: 4 m3 stripped, 3 m3 put back, 1 m3 left over, 0 m3 short")


VOLUMES = st.floats(0.0, 500.0)
SOILS = st.builds(
    lambda swell, shrink: soil("own", swell=str(swell), shrink=str(shrink)),
    st.decimals("0", "0.60", places=2),
    st.decimals("-0.30", "0.40", places=2),
)


@given(st.lists(st.tuples(VOLUMES, VOLUMES), min_size=1, max_size=5), SOILS, st.booleans(), VOLUMES)
def test_balance_loses_no_soil(
    areas: Sequence[tuple[float, float]], retained: Soil, other: bool, payload: float
) -> None:
    """Cut + import = fill + haul-off as bank volumes, each of the soil it consists of; no truck
    carries more than it may."""
    truck = Truck(volume_m3=4.0, payload_kg=500.0 + payload)
    fill = SAND if other else None
    parts = [GradedEarth(name="yard", cut_m3=cut, fill_m3=filled) for cut, filled in areas]
    earth = balance((), parts, retained, fill, truck, None, US)
    placed = fill or retained
    gained = earth.cut_m3 + earth.imported.loose_m3 / (1 + float(placed.swell))
    spent = (earth.backfill_m3 + earth.fill_m3) / (1 - float(placed.shrink))
    spent += earth.haul_off.loose_m3 / (1 + float(retained.swell))
    assert gained == pytest.approx(spent, rel=1e-9, abs=1e-9)
    for haul in (earth.haul_off, earth.imported):
        assert haul.loads is not None
        assert haul.loose_m3 <= haul.loads * truck.volume_m3 + 1e-6
        assert haul.mass_kg <= haul.loads * truck.payload_kg + 1e-3


@given(st.floats(1.0, 5.0), st.floats(0.0, 3.0), st.floats(0.0, 0.4), st.floats(4.0, 30.0), SOILS)
def test_balance_loses_no_soil_of_walls(
    top: float, existing: float, slope: float, behind: float, retained: Soil
) -> None:
    """The same over random walls with open ends."""
    spec = ground_wall(
        (0, top, 0, existing),
        (25, top, 0, existing + 0.5),
        existing_slope=slope,
        graded_behind_m=ft(behind),
        graded_in_front_m=ft(6),
    )
    wall = dug(spec, dig_section(), SET_BLOCKS, of=retained)
    earth = balance((wall, wall), (), retained, None, FIVE_YARDS, None, US)
    gained = earth.cut_m3 + earth.imported.bank_m3
    spent = (earth.backfill_m3 + earth.fill_m3) / (1 - float(retained.shrink))
    assert gained == pytest.approx(spent + earth.haul_off.bank_m3, rel=1e-9, abs=1e-9)
    assert min(wall.cut_m3, wall.backfill_m3, wall.fill_m3) >= 0
