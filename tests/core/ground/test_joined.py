"""What is left of each wall's earthwork beside others, by hand: shared strips, depth, ground left
standing, fill under pads, words. Walls and units are those of test_shared_cut.py; feet.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.ground.earthwork import WallEarthwork
from service.core.ground.tiers.joined import join
from service.core.job.spec import WallSpec
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from tests.core.ground.test_shared_cut import excavated, on_bank, shared, tiers
from tests.given.earth import ground_wall
from tests.given.walls import ft, inch, to_ft

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work


def tier(
    name: str,
    front: float,
    top: float,
    *grounds: tuple[float, float],
    rise: float = 0.0,
    back: float | None = None,
    in_front: float = 0.0,
    behind: float = 12.0,
) -> WallSpec:
    """A wall with a level front grade and top over ground given as (station, level)."""
    spec = ground_wall(
        *((at, top, front, ground) for at, ground in grounds),
        back=back,
        existing_slope=rise,
        graded_in_front_m=ft(in_front),
        graded_behind_m=ft(behind),
    )
    return replace(spec, name=name)


def test_join_shares_strips_of_walls_whose_cuts_are_apart() -> None:
    """Ground at 3 ft is graded down to 2 ft, by the lower wall up to 8 ft behind its face, by the
    upper one from 7 ft on: a foot by a foot, 20 ft long. The lower cut ends at 5 2/3 ft and is
    4 1/6 ft deep, and the upper trench begins at 11.5 ft: the cuts are two."""
    level = (0, 3), (20, 3)
    low = tier("low", 0, 2, *level, back=2, behind=8)
    up = tier("up", 2, 5, *level, back=3, in_front=5, behind=3)
    joined = join(excavated([low, up]), tiers(("low", "up", 12)))
    assert shared(joined) == pytest.approx(20)
    assert [wall.one_cut_with for wall in joined.walls] == [(), ()]


def test_join_leaves_a_wall_its_station_where_no_other_is_deeper() -> None:
    """Ground jumps from 2 to 3 ft at 20 ft, over both walls alike: there the lower wall is as deep
    by itself as both together, the upper one is not."""
    ground = (0, 2), (20, 2), (20, 3), (40, 3)
    specs = [tier("low", 0, 3, *ground, back=2), tier("up", 2, 5, *ground, back=3)]
    alone = excavated(specs)
    low, up = join(alone, tiers(("low", "up", 5))).walls
    assert (low.deepest_m, low.deepest_station_m) == (alone[0].earth.deepest_m, ft(20))
    assert (up.deepest_m, to_ft(up.deepest_station_m)) == pytest.approx((low.deepest_m, 20))


def filled(name: str, front: float, length: float = 40, *, high: float = 8 / 3) -> WallSpec:
    """A tier filled up over level ground at 0, graded 4 ft in front unless it is the lowest."""
    in_front = 4.0 if front else 0.0
    return tier(name, front, front + high, (0, 0), (length, 0), in_front=in_front)


def test_join_keeps_the_bank_in_front_beyond_the_end_of_the_lower_wall() -> None:
    """The lower wall ends at 20 ft: beyond it the strip of the upper one, 8/3 ft over level ground,
    stands as it does alone."""
    specs = [filled("low", 0, 20), filled("up", 8 / 3)]
    up = join(excavated(specs), tiers(("low", "up", 6))).walls[1]
    (front,) = (left for left in up.left_standing if left.side == "front")
    assert (to_ft(front.height_m), to_ft(front.station_m)) == pytest.approx((8 / 3, 40))


def test_join_leaves_no_bank_that_one_of_two_lower_walls_fills() -> None:
    """Of three tiers 6 ft apart the middle one fills up to the highest one's strip, the lowest one
    half as high: nothing is left in front of any."""
    specs = [filled("a", 0), filled("b", 8 / 3), filled("c", 16 / 3)]
    walls = join(excavated(specs), tiers(("a", "b", 6), ("b", "c", 6))).walls
    assert [left.side for wall in walls for left in wall.left_standing] == ["behind"]


def test_join_leaves_no_bank_where_the_lower_wall_fills_higher_than_the_upper_strip() -> None:
    """The lower wall fills to 8/3 ft, over the upper one's strip at 2 ft: none of that stands."""
    up = join(excavated([filled("low", 0), filled("up", 2)]), tiers(("low", "up", 6))).walls[1]
    assert [left.side for left in up.left_standing] == ["behind"]


def test_join_carries_no_strip_over_any_wall_in_front() -> None:
    """Of three tiers 6 ft apart the strip of the highest ends behind the stone of the middle one,
    4 ft before its own face, though it is to go on before that: 8 ft."""
    specs = [filled("a", 0), filled("b", 8 / 3), filled("c", 16 / 3)]
    pair = tiers(("a", "b", 6), ("b", "c", 6))
    near = join(excavated(specs), pair).walls
    far = join(excavated([*specs[:2], replace(specs[2], graded_in_front_m=ft(8))]), pair).walls
    assert far[:2] == near[:2]
    for name in ("cut_m3", "backfill_m3", "fill_m3", "disturbed_m2", "bare_m2"):
        assert getattr(far[2], name) == pytest.approx(getattr(near[2], name)), name


def test_join_tells_the_greatest_height_left_and_where() -> None:
    """Ground rises from 0 to 1 ft along both walls: at the start 16/3 ft are left behind the upper
    one."""
    ground = (0, 0), (40, 1)
    specs = [tier("low", 0, 8 / 3, *ground), tier("up", 8 / 3, 16 / 3, *ground, in_front=4)]
    up = join(excavated(specs), tiers(("low", "up", 6))).walls[1]
    (behind,) = (left for left in up.left_standing if left.side == "behind")
    assert (to_ft(behind.height_m), to_ft(behind.station_m)) == pytest.approx((16 / 3, 0))


def test_join_leaves_the_bank_between_two_finished_grounds() -> None:
    """Over ground that rises 1:16 the lower wall fills to 2 ft, the upper one's strip lies at 8/3
    ft: 2/3 ft of it stand over the fill, however high that is."""
    specs = [
        tier("low", 0, 8 / 3, (0, 0), (40, 0), rise=1 / 16, back=2),
        tier("up", 8 / 3, 16 / 3, (0, 0.5), (40, 0.5), rise=1 / 16, in_front=4),
    ]
    up = join(excavated(specs), tiers(("low", "up", 8))).walls[1]
    (front,) = (left for left in up.left_standing if left.side == "front")
    assert to_ft(front.height_m) == pytest.approx(2 / 3)


def test_join_leaves_the_bank_where_the_lower_fill_does_not_reach() -> None:
    """The lower wall fills 3 ft back, the strip of the upper one ends 4 ft behind the lower face:
    it stands there over level ground at 0."""
    low = tier("low", 0, 8 / 3, (0, 0), (40, 0), behind=3)
    up = tier("up", 8 / 3, 16 / 3, (0, 0), (40, 0), in_front=2)
    joined = join(excavated([low, up]), tiers(("low", "up", 6))).walls[1]
    (front,) = (left for left in joined.left_standing if left.side == "front")
    assert to_ft(front.height_m) == pytest.approx(8 / 3)


def said(
    specs: list[WallSpec], offset: float, topsoil: Topsoil = NO_TOPSOIL
) -> tuple[list[str], list[str]]:
    """What the working of a lower and an upper wall says of what is less."""

    def less(wall: WallEarthwork) -> list[str]:
        return [line.partition(": less ")[2] for line in wall.how if ": less " in line]

    low, up = join(excavated(specs, topsoil=topsoil), tiers(("low", "up", offset))).walls
    return less(low), less(up)


# the cuts of two tiers on a bank overlap over 5/6 ft, up to 5/12 ft deep; the walls are 1.5 ft long
SHORT_BANK = [on_bank("low", 0, 0, length=1.5), on_bank("up", 5, 8 / 3, length=1.5)]


def test_join_says_what_is_dug_and_filled_less() -> None:
    """Of cut 5/6 x 5/12 / 2 x 1.5 ft3 at the upper wall, of backfill (5/6)^2 / 2 x 1.5 ft3 at the
    lower one: 0.0097 and 0.0193 yd3."""
    low, up = said(SHORT_BANK, 5)
    assert [line.split(",")[0] for line in low] == [
        "0.0192901 yd3 of backfill and 0 yd3 of fill",
    ]
    assert [line.split(",")[0] for line in up] == ["0.00964506 yd3 of cut"]


def test_join_says_what_is_filled_less_where_nothing_is_backfilled() -> None:
    """On level ground the lower wall's fill ends 5.5 ft behind it: 6.5 ft of 8/3 ft less, 1.5 ft
    long; its cut ends before that."""
    low, _ = said([filled("low", 0, 1.5), filled("up", 8 / 3, 1.5)], 6)
    assert [line.split(",")[0] for line in low] == ["0 yd3 of backfill and 0.962963 yd3 of fill"]


def test_join_says_what_ground_is_touched_less_where_topsoil_is_only_stripped() -> None:
    """5/6 x 1.5 ft2 are touched less at the upper wall, and as many are bare less at the lower."""
    low, up = said(SHORT_BANK, 5, Topsoil(strip_m=inch(4), replace_m=0.0))
    assert "0 ft2 of ground touched and 1.25 ft2 of finished ground" in low[-1]
    assert "1.25 ft2 of ground touched and 0 ft2 of finished ground" in up[-1]
