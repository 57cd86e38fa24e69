"""Earth between three sections: blocks of one height, cut off by mitres, by hand.

Stations 3, 6.5 and 10: 7 m of plan line. `s` is the share of the way from 3 to 10.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from service.core.ground.cross_section import CrossSection
from service.core.ground.prismoid import Prismoid, Three
from service.core.ground.region import Trapezoid
from service.core.ground.trench import Trench
from service.core.job.spec import PlanPart
from tests.given.earth import FOOT_DEEP, SIX_HIGH, dug, ground_wall, to_ft3
from tests.given.walls import corner, ft, straight

STATIONS = (3.0, 6.5, 10.0)
LENGTH = 7.0


def section(
    station_m: float,
    cut: Sequence[Trapezoid],
    backfill: Sequence[Trapezoid] = (),
    shape: tuple[int, ...] = (),
) -> CrossSection:
    """A section from the front of the first piece to the back of the last one."""
    pieces = (*cut, *backfill)
    front, back = min(piece[0] for piece in pieces), max(piece[2] for piece in pieces)
    return CrossSection(
        station_m=station_m,
        trench=Trench(front_m=front, rear_m=back, floor_m=back, pad_top_m=0.0, bottom_m=0.0),
        cut=tuple(cut),
        backfill=tuple(backfill),
        fill=(),
        disturbed=((front, 1.0, back, 1.0),),
        bare=(),
        front_m=front,
        back_m=back,
        built_m=back,
        cut_ends_at_m=back,
        depth_m=0.0,
        front_edge_m=0.0,
        face_m=0.0,
        left_front_m=0.0,
        left_behind_m=0.0,
        shape=shape,
    )


def blocks(
    fronts: Three,
    backs: Three,
    lowers: Sequence[Three] = (),
    uppers: Sequence[Three] = (),
    bend: float = 0.0,
) -> Prismoid:
    """One block, 2 m high, between offsets that change along the way."""
    first, middle, last = (
        section(station, [(front, 2.0, back, 2.0)])
        for station, front, back in zip(STATIONS, fronts, backs, strict=True)
    )
    return Prismoid(
        first=first,
        middle=middle,
        last=last,
        lowers=tuple(lowers),
        uppers=tuple(uppers),
        bend=bend,
    )


def cut_m2(prismoid: Prismoid) -> float:
    """Cut of a block 2 m high as the area that it has in plan."""
    return prismoid.sums()[0] / 2


FOUR = (1.0, 1.0, 1.0), (5.0, 5.0, 5.0)  # from 1 to 5 all the way


def test_sums_of_a_block_on_an_arc_count_the_length_of_each_slice() -> None:
    """Slices are 0.1 m longer for each meter behind the line: 4 m about an offset of 3 are
    4 x (1 + 0.3) = 5.2 m, over 7 m of plan line 36.4 m2. Disturbed ground has that area, too."""
    cut, backfill, fill, disturbed, bare = blocks(*FOUR, bend=0.1).sums()
    assert (cut, disturbed) == pytest.approx((2 * 36.4, 36.4))
    assert (backfill, fill, bare) == (0, 0, 0)


@pytest.mark.parametrize(
    ("bend", "area"),
    [
        # u = 3 + 3 s passes the back at s = 2/3: widths (2 + 3 s), mean 3, then 4
        (0.0, 3 * 2 / 3 + 4 / 3),
        # moments (u² - 1) / 2: over 2/3 they are (1/3) ((125 - 27) / 3 - 2) / 2 = 46/9, then 12 / 3
        (0.1, 10 / 3 + 0.1 * (46 / 9 + 4)),
    ],
)
def test_sums_end_at_a_mitre_behind_until_it_passes_the_block(bend: float, area: float) -> None:
    """A mitre that runs from 3 to 6 leaves all of 1 to 5 from two thirds of the way on."""
    prismoid = blocks(*FOUR, uppers=[(3.0, 4.5, 6.0)], bend=bend)
    assert prismoid.is_even
    assert cut_m2(prismoid) == pytest.approx(LENGTH * area)
    assert prismoid.sums()[3] == pytest.approx(LENGTH * area)


@pytest.mark.parametrize(
    ("bend", "area"),
    [
        # u = 4 s passes the front at s = 1/4: 4, then widths (5 - 4 s) from 4 to 1
        (0.0, 4 / 4 + 2.5 * 3 / 4),
        # moments 12 over a quarter, then (25 - u²) / 2: (1/4) (25 x 3 - (64 - 1) / 3) / 2 = 6.75
        (0.1, 2.875 + 0.1 * (3 + 6.75)),
    ],
)
def test_sums_begin_at_a_mitre_in_front_once_it_has_passed_the_front(
    bend: float, area: float
) -> None:
    """A mitre that runs from 0 to 4 leaves all of 1 to 5 over the first quarter of the way."""
    prismoid = blocks(*FOUR, lowers=[(0.0, 2.0, 4.0)], bend=bend)
    assert cut_m2(prismoid) == pytest.approx(LENGTH * area)


def test_sums_lie_between_the_nearest_of_several_mitres() -> None:
    """Behind, 3 + 3 s and 6 - 3 s meet midway at 4.5; in front 2.2 is nearer than 0.2 + 2 s
    until the end. Widths: 0.8 to 2.3 and back, mean 1.55."""
    prismoid = blocks(
        *FOUR,
        lowers=[(2.2, 2.2, 2.2), (0.2, 1.2, 2.2), (0.5, 0.6, 0.7)],
        uppers=[(3.0, 4.5, 6.0), (6.0, 4.5, 3.0), (9.0, 9.5, 9.9)],
    )
    assert cut_m2(prismoid) == pytest.approx(LENGTH * 1.55)


def test_sums_bend_where_a_mitre_passes_the_block_just_midway() -> None:
    """A mitre from 3 to 7 passes the back at 5 midway: widths 2 to 4, mean 3, then 4."""
    prismoid = blocks(*FOUR, uppers=[(3.0, 5.0, 7.0)])
    assert cut_m2(prismoid) == pytest.approx(LENGTH * (3 + 4) / 2, rel=1e-12)


@pytest.mark.parametrize(
    ("lowers", "uppers", "area"),
    [
        ([(5.0, 6.0, 7.0)], [], 0.0),
        ([], [(0.0, 0.5, 1.0)], 0.0),
        ([(0.5, 0.8, 1.0)], [(5.0, 5.5, 7.0)], 4.0),
    ],
)
def test_sums_leave_nothing_or_all_of_what_mitres_only_touch(
    lowers: list[Three], uppers: list[Three], area: float
) -> None:
    """A mitre at the back of 5 or behind it takes all, one in front of 1 nothing."""
    assert cut_m2(blocks(*FOUR, lowers, uppers)) == pytest.approx(LENGTH * area)


def test_sums_carry_offsets_as_a_quadratic() -> None:
    """The back runs from 4 by 4.5 to 6, as 4 + 2 s², 4 + 2/3 on average; a mitre takes all before
    2. The other way round it is the same."""
    for backs in ((4.0, 4.5, 6.0), (6.0, 4.5, 4.0)):
        prismoid = blocks((1.0, 1.0, 1.0), backs, lowers=[(2.0, 2.0, 2.0)])
        assert cut_m2(prismoid) == pytest.approx(LENGTH * (4 + 2 / 3 - 2))


def test_sums_of_sections_of_two_shapes_are_cut_off_one_by_one() -> None:
    """Sections 4, 3 and 2 m wide from 1 on, in one piece, two and one; from 2 to 3.5 of each are
    left 1.5, 1.5 and 1: (1.5 + 4 x 1.5 + 1) / 6 on average."""
    pieces: list[list[Trapezoid]] = [
        [(1.0, 2.0, 5.0, 2.0)],
        [(1.0, 2.0, 2.5, 2.0), (2.5, 2.0, 4.0, 2.0)],
        [(1.0, 2.0, 3.0, 2.0)],
    ]
    first, middle, last = (
        section(station, cut, shape=(len(cut),))
        for station, cut in zip(STATIONS, pieces, strict=True)
    )
    prismoid = Prismoid(
        first=first,
        middle=middle,
        last=last,
        lowers=((0.3, 0.3, 0.3), (2.0, 2.0, 2.0)),
        uppers=((8.0, 8.0, 8.0), (3.5, 3.5, 3.5)),
        bend=0.1,
    )
    assert not prismoid.is_even
    # moments: 1.5 m about 2.75, twice, and 1 m about 2.5
    area = (1.5 + 4 * 1.5 + 1) / 6 + 0.1 * (5 * 1.5 * 2.75 + 2.5) / 6
    assert cut_m2(prismoid) == pytest.approx(LENGTH * area)


@pytest.mark.parametrize(
    ("mitre", "straight"),
    [
        ((3.0, 3.0, 3.0), True),
        ((3.0, 5.0, 7.0), True),
        ((7.0, 5.0, 3.0), True),
        ((3.0, 5.1, 7.0), False),
        ((3.0, 4.9, 7.0), False),
        # 1.5e-9 off: too much at 0, not at 1 from there
        ((1.5e-9, 0.0, 0.0), False),
        ((1.5e-9, 0.5, 1.0), True),
        # far off a share of the offset is noise
        ((5e-4, 5e5, 1e6), True),
        ((5e-3, 5e5, 1e6), False),
    ],
)
@pytest.mark.parametrize("above", [True, False])
def test_mitres_are_straight_within_rounding(mitre: Three, straight: bool, above: bool) -> None:
    """A billionth, and a billionth of how far off the mitre ends; one that bends is enough."""
    mitres = [(9.0, 9.0, 9.0), mitre]
    prismoid = blocks(*FOUR, uppers=mitres) if above else blocks(*FOUR, lowers=mitres)
    assert prismoid.is_straight is straight
    assert prismoid.is_even is straight


def test_excavate_counts_a_short_leg_between_two_corners() -> None:
    """12 ft, 1 ft and 12 ft with outside corners of 90 deg: the mitres of the short leg meet midway
    of it, 0.5 ft behind the line. The ground, at 3 ft, is dug from 0.5 ft before the line to 6 ft
    behind it: 1:1 from 2 ft behind it at -1 ft.
    """
    around, long = corner("outside", 90), straight(ft(12))
    plan: list[PlanPart] = [long, around, straight(ft(1)), around, long]
    spec = ground_wall(
        (0, 4, 0, 3), (25, 4, 0, 3), plan=plan, graded_in_front_m=0.0, graded_behind_m=0.0
    )
    earth = dug(spec, FOOT_DEEP, SIX_HIGH)
    # in front each leg runs on by as much as x lies before the line, behind it loses as much
    short = 0.5 * (1 + 2 * 0.25) + 1 * 0.5 / 2
    disturbed = short + 2 * (0.5 * 12.25 + 6 * 9)
    assert earth.disturbed_m2 / ft(1) ** 2 == pytest.approx(disturbed, rel=1e-12)
    # trench 4.5 ft deep to 1.5 ft behind, floor 4 ft deep to 2 ft, slope 4 x 4 / 2 about 2 + 4 / 3
    cut = 4.5 * short
    cut += 2 * (4.5 * (0.5 * 12.25 + 1.5 * (12 - 0.75)) + 4 * 0.5 * (12 - 1.75))
    cut += 2 * 8 * (12 - 2 - 4 / 3)
    assert to_ft3(earth.cut_m3) == pytest.approx(cut, rel=1e-12)
