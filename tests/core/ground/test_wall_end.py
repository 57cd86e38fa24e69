"""What lies beside an end: the section carried on over the pad's extension, wedge and cone.

6 in units, base 1 ft under the front grade of 0: trench from -0.5 to 1.5 ft, 1.5 ft deep, floor to
2 ft at -1 ft, cut at 1:1. Feet, ft2 and ft3.
"""

from __future__ import annotations

import math

import pytest

from service.core.ground.dug_wall import DugWall
from service.core.ground.excavation import asked_digging, dig_out
from service.core.ground.wall_end import end_pad
from service.core.job.spec import Ends
from service.core.job.topsoil import Topsoil
from service.core.measure import US
from tests.given.earth import EARTH_RULES, FOOT_DEEP, SIX_HIGH, dug, ground_wall, soil, to_ft3
from tests.given.walls import ft, laid, to_ft2


def dug_wall(existing: float, topsoil: Topsoil, slope: float = 0.0) -> DugWall:
    """40 ft of wall on ground at a level, nothing graded."""
    spec = ground_wall(
        (0, 4, 0, existing),
        (40, 4, 0, existing),
        existing_slope=slope,
        graded_behind_m=0.0,
        graded_in_front_m=0.0,
    )
    asked = asked_digging(FOOT_DEEP, soil(class_="B"), EARTH_RULES, topsoil)
    found = dig_out(laid(spec, SIX_HIGH, FOOT_DEEP), asked, US)
    assert found is not None
    return found.wall


# 1.5 ft over the floor at its rear corner, rising at 1:2 from 0.7 ft behind it and at 1:5 from 1.4
# ft; the cut at 1:1 meets it 1.9625 ft behind the corner, just before the survey ends.
PAIRS = ((-30, 0.5), (2.7, 0.5), (3.4, 0.85), (3.97, 0.964))


def over_floor(behind: float) -> float:
    """Height of the surveyed ground over the floor, so far behind its corner."""
    return 1.5 + 0.5 * max(0.0, behind - 0.7) - 0.3 * max(0.0, behind - 1.4)


def test_end_slope_goes_round_the_end_over_surveyed_ground() -> None:
    """A wedge 2.5 ft wide and, over each foot behind the corner, what stands over the cone, added
    up in small steps along the wall: no ground is needed farther behind than the section does."""
    spec = ground_wall(
        (0, 4, 0, 0),
        (40, 4, 0, 0),
        section_pairs=PAIRS,
        ends=Ends(finish="against_structure"),
        graded_behind_m=0.0,
        graded_in_front_m=0.0,
    )
    cone = area = 0.0
    for i in range(400):
        x = (i + 0.5) / 200
        steps = [over_floor(x) - math.hypot(x, (j + 0.5) / 200) for j in range(400)]
        cone += sum(max(0.0, height) for height in steps) / 200**2
        area += sum(height > 0 for height in steps) / 200**2
    ends = dug(spec, FOOT_DEEP, SIX_HIGH, of=soil(class_="B")).ends
    assert to_ft3(ends.cut_m3) == pytest.approx(1.5**2 / 2 * 2.5 + cone, rel=1e-3)
    assert to_ft2(ends.area_m2) == pytest.approx(1.5 * 2.5 + area, rel=1e-3)


def topsoil_of(strip: float, put_back: float) -> Topsoil:
    """Depths of topsoil in feet."""
    return Topsoil(strip_m=ft(strip), replace_m=ft(put_back))


@pytest.mark.parametrize(
    ("existing", "strip", "put_back", "cut", "backfill", "width"),
    [
        # trench 2 x 1, floor 0.5 x 0.5, slope 0.5 x 0.5 / 2; put back from -1 to -1/3 over 2.5 ft,
        # over the slope from 2/3 to 1/6 over 0.5 ft and 1/6 over the strip's other 0.5 ft
        (0, 1 / 2, 1 / 3, 2.375, 2.5 * 2 / 3 + 0.5 * (2 / 3 + 1 / 6) / 2 + 0.5 / 6, 3.5),
        # less is stripped than put back: trench 2 x 1.3, floor 0.5 x 0.8, slope 0.8 x 0.8 / 2
        (0, 0.2, 0.6, 2.6 + 0.4 + 0.32, 2.5 * 0.4 + 0.4**2 / 2, 3.5),
        # nothing is cut: pad and floor stand on 1.5 and 2 ft of soil
        (-2.5, 1 / 2, 1 / 3, 0, 2 * 1.5 + 0.5 * 2, 2.5),
        # trench 2 x 0.25; the floor stands on 0.25 ft
        (-1.25, 0, 0, 0.5, 0.5 * 0.25, 2.5),
    ],
    ids=["stripped deeper", "put back deeper", "under the trench", "under the floor"],
)
def test_end_pad_carries_the_section_on(
    existing: float, strip: float, put_back: float, cut: float, backfill: float, width: float
) -> None:
    """Over 1.75 ft past an end: dug as at the end, put back to the ground above the pad."""
    topsoil = topsoil_of(strip, put_back)
    wall = dug_wall(existing, topsoil)
    pad = end_pad(wall.section_at(0.0), wall.ground_at(0.0), topsoil, ft(1.75))
    assert to_ft3(pad.cut_m3) == pytest.approx(1.75 * cut)
    assert to_ft3(pad.backfill_m3) == pytest.approx(1.75 * backfill)
    assert to_ft2(pad.area_m2) == pytest.approx(1.75 * width)
