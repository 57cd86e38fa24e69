"""What stands and lies behind a wall, by hand: units of 8 in, 12 in deep, 1 in setback, no cap."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.job.load import Load
from service.core.job.spec import Tier
from service.core.layout.layout import WallLayout
from service.core.screening.behind import highest_section, loads_behind
from service.core.screening.wall_section import Loading, Rise, Strip
from tests.given.earth import ground_wall
from tests.given.walls import entry, ft, inch, laid, level_wall, section, straight, system, wall

BLOCKS = system(cap=None)
FLAT = section(minimum=0.0, shares=((0.0, 0.0),))
ONE_BURIED = section(minimum=inch(8), shares=((0.0, 0.0),))


def two_heights(start_ft: float, end_ft: float) -> WallLayout:
    """20 ft that show 4 ft, and 20 ft that show 6 ft, with these back grades at their ends."""
    entries = (
        entry(0.0, ft(4)),
        entry(ft(20), ft(4)),
        entry(ft(20), ft(6), back=ft(start_ft)),
        entry("end", ft(6), back=ft(end_ft)),
    )
    return laid(wall((straight(ft(40)),), entries, name="low"), BLOCKS, FLAT)


def upper(name: str, front_ft: float) -> WallLayout:
    """A wall that shows 2 ft over its front grade, one course buried: four courses."""
    spec = level_wall(name=name, front=ft(front_ft), exposed=ft(2))
    return laid(spec, BLOCKS, ONE_BURIED)


@pytest.mark.parametrize(
    ("start", "end", "station", "soil"), [(5.0, 5.5, 40, 5.5), (5.5, 5.0, 20, 5.5)]
)
def test_highest_section_holds_the_most_soil_of_the_highest_stretch(
    start: float, end: float, station: float, soil: float
) -> None:
    """Nine courses, at the end where more lies behind them."""
    low = two_heights(start, end)
    found = highest_section(low, {"low": low}, ())
    assert (found.courses, found.load.upper) == (9, None)
    assert (found.station_m, found.soil_m) == pytest.approx((ft(station), ft(soil)))


def test_highest_section_carries_the_nearest_wall_above() -> None:
    """5 ft and 8 ft behind, however they are told; a wall above another wall is not asked for."""
    low, near, far = two_heights(5.0, 5.5), upper("near", 6.0), upper("far", 6.0)
    layouts = {"low": low, "near": near, "far": far}
    tiers = [
        Tier(lower="low", upper="far", offset_m=ft(8)),
        Tier(lower="low", upper="near", offset_m=ft(5)),
        Tier(lower="near", upper="far", offset_m=ft(3)),
    ]
    for told in (tiers, tiers[::-1]):
        above = highest_section(low, layouts, told).load.upper
        assert above is not None
        assert (above.name, above.offset_m) == ("near", ft(5))
        assert above.section.load.upper is not None
        assert above.section.load.upper.name == "far"


@pytest.mark.parametrize(
    ("front", "underside", "over"),
    [
        (6.0, -2, 6),  # 6 in over back grade, 8 in buried
        (5.0, -8, 0),  # a front grade under the back grade below: the wall stands on that
    ],
)
def test_wall_above_lies_over_the_back_grade_below(
    front: float, underside: float, over: float
) -> None:
    """Back grade 5.5 ft; inches over it."""
    low = two_heights(5.0, 5.5)
    tier = Tier(lower="low", upper="up", offset_m=ft(5))
    found = highest_section(low, {"low": low, "up": upper("up", front)}, [tier]).load.upper
    assert found is not None
    assert found.underside_m == pytest.approx(inch(underside))
    assert found.front_m == pytest.approx(inch(over), abs=1e-12)
    assert found.section.courses == 4
    assert found.section.buried_m == pytest.approx(inch(8))


def test_loads_behind_are_one_for_each_wall_above() -> None:
    """Two walls above make two loadings, none makes one."""
    low = two_heights(5.5, 5.5)
    layouts = {"low": low, "a": upper("a", 6.0), "b": upper("b", 6.0)}
    tiers = [Tier(lower="low", upper=name, offset_m=ft(5)) for name in ("a", "b")]
    found = loads_behind(low, layouts, tiers)(ft(40), ft(5.5))
    assert [each.upper.name for each in found if each.upper] == ["a", "b"]
    above = Tier(lower="a", upper="low", offset_m=ft(5))
    (alone,) = loads_behind(low, layouts, [above])(ft(40), ft(5.5))
    assert alone.upper is None


def test_loads_behind_are_what_was_stated() -> None:
    """What weighs, be it little, is a load; what rises or falls is a slope; a lawn is neither."""
    little = Load(id="little", version="1", title="Little", load_pa=0.5)
    lawn = Load(id="lawn", version="1", title="Lawn", load_pa=0.0)
    above = (lawn.above(ft(1)), little.above(ft(2)), lawn.above(ft(3), 0.25))
    spec = replace(level_wall(), above=above, surcharge_pa=7.0, back_slope=-0.1)
    (found,) = loads_behind(laid(spec, BLOCKS, FLAT), {}, ())(0.0, ft(4))
    assert found == Loading(
        surcharge_pa=7.0,
        back_slope=-0.1,
        strips=(Strip(from_m=ft(2), load_pa=0.5),),
        rises=(Rise(from_m=ft(3), slope=0.25),),
    )


def test_measured_ground_lies_over_the_back_grade() -> None:
    """Through 3, 5 and 8 ft, 10 ft apart, over a back grade of 4 ft; on with 3 in 10. Behind the
    end of the wall nothing is known."""
    spec = ground_wall((0, 4, 0, 0), (40, 4, 0, 0), section_pairs=((0, 3), (10, 5), (20, 8)))
    at = loads_behind(laid(spec, BLOCKS, FLAT), {}, ())
    for station in (0.0, ft(20), ft(40)):
        (found,) = at(station, ft(4))
        assert [each for point in found.existing for each in point] == pytest.approx(
            [0, ft(-1), ft(10), ft(1), ft(20), ft(4)]
        )
        assert found.existing_slope == pytest.approx(0.3)
    assert at(ft(41), ft(4))[0].existing == ()


def test_existing_grade_goes_on_with_its_slope() -> None:
    """3 ft at the plan line, 1 in 4, under a back grade of 4 ft."""
    spec = ground_wall((0, 4, 0, 3), (40, 4, 0, 3), existing_slope=0.25)
    (found,) = loads_behind(laid(spec, BLOCKS, FLAT), {}, ())(ft(10), ft(4))
    ((x_m, z_m),) = found.existing
    assert (x_m, z_m) == pytest.approx((0.0, ft(-1)), abs=1e-12)
    assert found.existing_slope == 0.25
