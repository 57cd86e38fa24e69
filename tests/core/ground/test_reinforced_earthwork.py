"""How reinforcement carries the floor of the cut back, by hand.

Units 18 x 6 x 12 in, no setback, base 1 ft deep under a front grade of 0, top and level existing
ground at 3 ft; pad 24 x 6 in with 6 in in front, stone 12 in wide up to the top, cut at 1:1. Areas
are in ft2 per ft of wall.
"""

from __future__ import annotations

import math
from dataclasses import replace
from types import MappingProxyType

import pytest

from service.core.ground.balance import balance
from service.core.ground.earthwork import WallEarthwork, farthest_m
from service.core.ground.groundwork import dig
from service.core.ground.trench import reaches_of
from service.core.job.job import Job, Soils
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.reinforcement import Layer
from service.core.job.section import Section
from service.core.job.spec import Ends, WallSpec
from service.core.job.topsoil import Topsoil
from service.core.measure import US
from tests.given.basis import ASSOCIATION
from tests.given.earth import (
    EARTH_RULES,
    FOOT_DEEP,
    SIX_HIGH,
    dig_section,
    dug,
    ground_wall,
    per_foot,
    soil,
    to_ft3,
)
from tests.given.reinforcement import layer, reinforced
from tests.given.walls import ft, inch, laid, legs, to_ft, to_ft2

EXACT = 1e-9
BANK = ground_wall((0, 3, 0, 3), (40, 3, 0, 3), graded_in_front_m=0.0)


def layers(
    length: float = 5, *, spec: WallSpec = BANK, detail: Section = FOOT_DEEP
) -> tuple[Layer, ...]:
    """Layers of a length in feet under courses 2 and 5, from end to end."""
    layout = laid(spec, SIX_HIGH, detail)
    return tuple(layer(layout, course, ft(length)) for course in (2, 5))


def test_excavate_digs_the_floor_back_to_the_end_of_the_layers() -> None:
    """Trench 2 x 4.5, floor from 1.5 to 5 ft x 4, slope 4 x 4 / 2: 31 ft2; without layers 19."""
    assert per_foot(dug(BANK, FOOT_DEEP, SIX_HIGH).cut_m3) == pytest.approx(19, rel=EXACT)
    earth = dug(BANK, FOOT_DEEP, SIX_HIGH, layers=layers())
    assert per_foot(earth.cut_m3) == pytest.approx(31, rel=EXACT)
    assert to_ft(farthest_m(earth, "behind", 0, ft(40))) == pytest.approx(9, rel=EXACT)
    assert to_ft(earth.deepest_m) == pytest.approx(4.5, rel=EXACT)
    assert "5 ft behind the face of the base course" in " ".join(earth.how)


def test_excavate_fills_back_what_the_layers_made_it_dig() -> None:
    """Before the units 0.5, behind the stone 3 x 4 over the floor and 8 over the slope: 20.5."""
    earth = dug(BANK, FOOT_DEEP, SIX_HIGH, layers=layers())
    assert per_foot(earth.backfill_m3) == pytest.approx(20.5, rel=EXACT)
    # finished less existing ground is -3 over 0.5 ft in front: pad 1, units 4, stone 4
    assert 9 + per_foot(earth.backfill_m3 - earth.cut_m3) == pytest.approx(-1.5, rel=EXACT)


def test_excavate_balances_a_reinforced_wall() -> None:
    """Of 31 ft2 bank 20.5 / 0.9 are used again; the rest is hauled off, a quarter more loose."""
    earth = dug(BANK, FOOT_DEEP, SIX_HIGH, layers=layers())
    found = balance([earth], [], soil(), None, None, None, US)
    reused = 20.5 / 0.9
    assert per_foot(found.reused_m3) == pytest.approx(reused, rel=EXACT)
    assert per_foot(found.haul_off.loose_m3) == pytest.approx((31 - reused) * 1.25, rel=EXACT)


def test_excavate_goes_by_the_longest_layer() -> None:
    """Layers of 4 and 6 ft: the floor ends at 6 ft, 16 ft2 more than at 2 ft."""
    both = (*layers(4), *layers(6))
    cut = per_foot(dug(BANK, FOOT_DEEP, SIX_HIGH, layers=both).cut_m3)
    assert cut == pytest.approx(19 + 4 * 4, rel=EXACT)


def test_excavate_keeps_stone_and_pad_as_they_are_under_short_layers() -> None:
    """A layer that ends within the stone asks for nothing."""
    plain, short = (dug(BANK, FOOT_DEEP, SIX_HIGH, layers=each) for each in ((), layers(2)))
    assert (plain.cut_m3, plain.backfill_m3) == (short.cut_m3, short.backfill_m3)


def test_excavate_adds_working_room_behind_the_layers() -> None:
    """1 ft of room: 4 ft2 more."""
    detail = dig_section(minimum=inch(12), working_room=ft(1))
    cut = per_foot(dug(BANK, detail, SIX_HIGH, layers=layers()).cut_m3)
    assert cut == pytest.approx(31 + 4, rel=EXACT)


def test_excavate_measures_from_the_face_of_the_base_course() -> None:
    """A base that steps up to a course that stands 1 in back carries its floor 1 in back."""
    leaning = replace(SIX_HIGH, setback_m=inch(1))
    spec = ground_wall(
        (0, 3, 0, 3), (20, 3, 0, 3), (20, 3, 0.5, 3), (40, 3, 0.5, 3), graded_in_front_m=0.0
    )
    layout = laid(spec, leaning, FOOT_DEEP)
    found = dug(spec, FOOT_DEEP, leaning, layers=(layer(layout, 3, ft(5)),))
    reach = [to_ft(farthest_m(found, "behind", ft(at), ft(at))) for at in (10, 30)]
    assert reach == pytest.approx([5 + 4, 5 + 1 / 12 + 3.5], rel=EXACT)


def test_excavate_digs_back_only_where_layers_lie() -> None:
    """Layers from 10 to 30 ft: 20 ft of 31 ft2, 20 ft of 19."""
    layout = laid(BANK, SIX_HIGH, FOOT_DEEP)
    part = (layer(layout, 2, from_m=ft(10), to_m=ft(30)),)
    earth = dug(BANK, FOOT_DEEP, SIX_HIGH, layers=part)
    assert to_ft3(earth.cut_m3) == pytest.approx(20 * 31 + 20 * 19, rel=EXACT)
    reach = [to_ft(farthest_m(earth, "behind", ft(at), ft(at))) for at in (5, 20, 35)]
    assert reach == pytest.approx([6, 9, 6], rel=EXACT)


def test_excavate_tells_the_longest_reach_in_words() -> None:
    """4 ft of reinforcement along one half, 6 ft along the other: the floor runs back 6 ft at
    most."""
    layout = laid(BANK, SIX_HIGH, FOOT_DEEP)
    halves = layer(layout, 2, ft(4), 0.0, ft(20)), layer(layout, 2, ft(6), ft(20))
    earth = dug(BANK, FOOT_DEEP, SIX_HIGH, layers=halves)
    (words,) = (line for line in earth.how if "reinforcement" in line)
    assert "at most 6 ft behind the face" in words


def test_excavate_carries_the_sloped_ends_back_too() -> None:
    """At each open end a wedge over a floor of 5.5 ft, 1:1 and 4 ft high, and a quarter cone."""
    open_ends = replace(BANK, ends=Ends())
    earth = dug(open_ends, FOOT_DEEP, SIX_HIGH, layers=layers(spec=open_ends))
    end = 4**2 * 5.5 / 2 + math.pi * 4**3 / 12
    assert to_ft3(earth.ends.cut_m3) == pytest.approx(2 * end, rel=1e-6)


def test_excavate_strips_topsoil_over_the_longer_cut() -> None:
    """6 in off the 9.5 ft from trench front to top of cut; without layers 6.5 ft."""
    topsoil = Topsoil(strip_m=ft(0.5), replace_m=ft(0.5))
    for found, width in ((layers(), 9.5), ((), 6.5)):
        earth = dug(BANK, FOOT_DEEP, SIX_HIGH, topsoil=topsoil, layers=found)
        assert to_ft2(earth.disturbed_m2) == pytest.approx(40 * width, rel=EXACT)
        assert to_ft3(earth.stripped_m3) == pytest.approx(40 * width / 2, rel=EXACT)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_excavate_of_a_mirrored_reinforced_wall_is_the_same(side: str) -> None:
    """A corner between 20 and 30 ft, reinforced end to end: the same earth from either end."""
    found: list[WallEarthwork] = []
    for lengths in ((ft(20), ft(30)), (ft(30), ft(20))):
        plan = legs("outside" if side == "outside" else "inside", 90, *lengths)
        spec = ground_wall((0, 3, 0, 3), (50, 3, 0, 3), plan=plan, graded_in_front_m=0.0)
        found.append(dug(spec, FOOT_DEEP, SIX_HIGH, layers=layers(spec=spec)))
    there, back = found
    assert there.cut_m3 == pytest.approx(back.cut_m3, rel=1e-9)
    assert there.backfill_m3 == pytest.approx(back.backfill_m3, rel=1e-9)


def test_reaches_of_takes_the_longest_layer_of_each_stretch() -> None:
    """5 ft from 0 to 20, 7 ft from 10 to 30: 5, 7 and 7 ft between the four stations."""
    rows = ((0, 20, 5), (10, 30, 7), (10, 20, 4))
    given = [Layer(from_m=a, to_m=b, joint=1, length_m=length) for a, b, length in rows]
    found = [(each.from_m, each.to_m, each.reach_m) for each in reaches_of(given)]
    assert found == [(0, 10, 5), (10, 20, 7), (20, 30, 7)]
    assert reaches_of(()) == ()


def test_dig_takes_the_layers_of_each_wall() -> None:
    """Of two walls the reinforced one is dug farther back."""
    specs = tuple(replace(BANK, name=name) for name in ("left", "right"))
    job = Job(
        units=US,
        walls=specs,
        system=SIX_HIGH,
        section=FOOT_DEEP,
        materials=MappingProxyType({}),
        jurisdiction=Jurisdiction(
            id="here", version="1", title="Here", cautions=(), earth=EARTH_RULES
        ),
        basis=ASSOCIATION,
        soils=Soils(retained=soil()),
    )
    layouts = tuple(laid(spec, SIX_HIGH, FOOT_DEEP) for spec in specs)
    right = reinforced(layouts[1], layer(layouts[1], 2))
    earth = dig(job, layouts, [right]).earth
    assert earth is not None
    assert [per_foot(each.cut_m3) for each in earth.walls] == pytest.approx([19, 31], rel=EXACT)
    plain = dig(job, layouts).earth
    assert plain is not None
    assert [per_foot(each.cut_m3) for each in plain.walls] == pytest.approx([19, 19], rel=EXACT)
