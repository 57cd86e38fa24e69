"""Sections added up along a wall: how finely, and what corners take from them and add."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from itertools import pairwise

import pytest

from service.core.ground.cross_section import CrossSection
from service.core.ground.digging import Pen, add_up_spans
from service.core.ground.earthwork import WallEarthwork
from service.core.ground.excavation import asked_digging
from service.core.ground.ground import measure_ground
from service.core.ground.span import Span
from service.core.job.spec import PlanPart, TurnSide, WallSpec
from service.core.layout.layout import WallLayout
from service.core.measure import US
from tests.given.earth import (
    EARTH_RULES,
    FOOT_DEEP,
    SIX_HIGH,
    dug,
    ground_wall,
    per_foot,
    soil,
    to_ft3,
)
from tests.given.walls import corner, ft, laid, straight, to_ft, to_ft2

PLANE = ground_wall((0, 4, 0, 1), (40, 4, 0, 1), graded_in_front_m=0.0, graded_behind_m=0.0)
SURVEYED = ground_wall(
    (0, 4, 0, 0),
    (40, 4, 0, 0),
    section_pairs=((-9, 1), (30, 1)),
    graded_in_front_m=0.0,
    graded_behind_m=0.0,
)


@dataclass
class Drawn:
    """Draws sections whose cut is so high, by the share of the wall's 40 ft, 1 m wide; a shape
    goes with each."""

    pen: Pen
    high: Callable[[float], float]
    shape: Callable[[float], int]
    same_share: tuple[float, float] = (1e-8, 1e-8)
    stations: list[float] = field(default_factory=list)

    def draw(self, span: Span, station_m: float) -> CrossSection:
        """A section with a cut alone."""
        self.stations.append(station_m)
        share = station_m / ft(40)
        high = self.high(share)
        return replace(
            self.pen.draw(span, 0.0),
            station_m=station_m,
            cut=((0.0, high, 1.0, high),),
            backfill=(),
            fill=(),
            disturbed=(),
            bare=(),
            shape=(self.shape(share),),
        )


def pen_of(spec: WallSpec) -> tuple[WallLayout, Pen]:
    """A wall and its pen."""
    layout = laid(spec, SIX_HIGH, FOOT_DEEP)
    return layout, Pen(layout, asked_digging(FOOT_DEEP, soil(), EARTH_RULES).digging, US)


def added_up(
    spec: WallSpec,
    high: Callable[[float], float],
    shape: Callable[[float], int] = lambda _: 0,
    same_share: tuple[float, float] = (1e-8, 1e-8),
) -> tuple[float, list[float]]:
    """The cut by the wall's length, and the shares of the wall at which sections were drawn."""
    layout, pen = pen_of(spec)
    drawn = Drawn(pen, high, shape, same_share)
    sums = add_up_spans(layout, pen.spans(measure_ground(layout)), drawn)
    return sums[0] / ft(40), sorted({station / ft(40) for station in drawn.stations})


def test_sections_of_one_shape_are_one_prismoid_on_a_plane_and_halved_on_a_survey() -> None:
    """Heights as the fourth power of the way are a fifth on the mean; the prismoidal rule over the
    whole gives (0 + 4 / 16 + 1) / 6. A plane's sections are trusted; a survey may bend between."""
    whole, drawn = added_up(PLANE, lambda share: share**4)
    assert whole == pytest.approx(1.25 / 6)
    assert drawn == [0, 0.5, 1]
    fine, _ = added_up(SURVEYED, lambda share: share**4)
    assert fine == pytest.approx(0.2, rel=1e-6)


def test_halves_that_agree_within_the_share_are_taken() -> None:
    """Halves of 12.192 m come to (4 / 256 + 2 / 16 + 4 x 81 / 256 + 1) / 12 of it, 2.44475 m3, and
    the whole to 0.09525 m3 more: as near as 0.02765 of 1 + 2.44475. Straight mitres, and none, go
    by the first share."""
    halves = (4 / 256 + 2 / 16 + 4 * 81 / 256 + 1) / 12
    found, drawn = added_up(SURVEYED, lambda share: share**4, same_share=(0.0277, 1e-4))
    assert found == pytest.approx(halves)
    assert drawn == [0, 0.25, 0.5, 0.75, 1]
    found, drawn = added_up(SURVEYED, lambda share: share**4, same_share=(0.0276, 1.0))
    assert found < halves
    assert len(drawn) > 5


def test_a_stretch_is_halved_fourteen_times_at_most() -> None:
    """The cut doubles 0.3 of the way: sections are drawn nearer and nearer to it, the nearest half
    of 1/2^14 apart."""
    found, drawn = added_up(PLANE, lambda x: 1.0 + (x > 0.3), lambda x: int(x > 0.3))
    assert found == pytest.approx(1.7, abs=2**-14)
    gaps = [b - a for a, b in pairwise(drawn)]
    assert min(gaps) == pytest.approx(2**-15)


def test_the_deepest_section_is_the_one_with_most_ground_over_the_trench() -> None:
    """Ground rises from 1 ft to 2 ft at 30 ft and falls to 1.5 ft; the trench's bottom is at -1.5
    ft."""
    spec = ground_wall(
        *((0, 4, 0, 1), (30, 4, 0, 2), (40, 4, 0, 1.5)), graded_in_front_m=0.0, graded_behind_m=0.0
    )
    earth = dug(spec, FOOT_DEEP, SIX_HIGH)
    assert (to_ft(earth.deepest_m), to_ft(earth.deepest_station_m)) == pytest.approx((3.5, 30))


def terrace(*plan: PlanPart, length: float = 40) -> WallEarthwork:
    """A wall in level ground of 1 ft, graded 3 ft in front and 9 ft behind."""
    spec = ground_wall(
        (0, 4, 0, 1), (length, 4, 0, 1), plan=plan, graded_in_front_m=ft(3), graded_behind_m=ft(9)
    )
    return dug(spec, FOOT_DEEP, SIX_HIGH)


@pytest.mark.parametrize("turned", [False, True])
def test_a_short_leg_between_turns_both_ways_is_as_long_however_far_it_is_moved(
    *, turned: bool
) -> None:
    """20 ft, 1.1 ft, 20 ft between an outside and an inside corner of 90 deg: what the one takes
    the other adds, though 1.1 ft behind the line, or before it, the middle leg is used up."""
    sides: tuple[TurnSide, TurnSide] = ("outside", "inside")
    sides = sides[::-1] if turned else sides
    plan = (straight(ft(20)), corner(sides[0]), straight(ft(1.1)), corner(sides[1]))
    found, plain = terrace(*plan, straight(ft(20)), length=41.1), terrace()
    for name in ("cut_m3", "backfill_m3", "fill_m3"):
        volume, section = getattr(found, name), per_foot(getattr(plain, name))
        assert to_ft3(volume) == pytest.approx(41.1 * section, rel=1e-9), name
    for name in ("disturbed_m2", "bare_m2"):
        area, width = getattr(found, name), to_ft2(getattr(plain, name)) / 40
        assert to_ft2(area) == pytest.approx(41.1 * width, rel=1e-9), name


@pytest.mark.parametrize(
    ("side", "slope", "at_corner", "at_ends"),
    [("inside", 0.25, 2, 0.4), ("outside", 0.0, 3, -0.9)],
    ids=["in front", "behind"],
)
def test_a_corner_takes_from_spans_that_do_not_touch_it(
    side: TurnSide, slope: float, at_corner: float, at_ends: float
) -> None:
    """Legs of 16 ft, in one part or with a part of 2.5 ft beside the corner. On a bank of 4:1
    graded ground in front meets the bank 8 ft out at an inside corner, 1.6 ft out at the ends; the
    cut behind an outside corner ends at 6 ft, at the ends at 2.1 ft."""
    cuts = []
    for beside in (0.0, 2.5):
        first: list[PlanPart] = [straight(ft(16 - beside))]
        middle: list[PlanPart] = [straight(ft(beside))] if beside else []
        spec = ground_wall(
            *((0, 5, 0, at_ends), (16, 5, 0, at_corner), (32, 5, 0, at_ends)),
            plan=(*first, *middle, corner(side), *middle, *first),
            existing_slope=slope,
            graded_in_front_m=None if slope else 0.0,
            graded_behind_m=0.0,
        )
        cuts.append(dug(spec, FOOT_DEEP, SIX_HIGH, of=soil(class_="B")).cut_m3)
    assert cuts[1] == pytest.approx(cuts[0], rel=1e-6)
