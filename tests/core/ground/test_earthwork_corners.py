"""Earth beside corners where levels change: columns of the cross-section as a second method.

Walls of 6 in units without setback or cap, front grade 0, base 1 ft below it, pad 6 in thick and
6 in before and behind units 12 in deep; stone 12 in wide behind them up to the top. Trench from
-0.5 to 1.5, floor to 2.0, nothing graded beyond the trench and the cut.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.ground.earthwork import WallEarthwork
from service.core.job.spec import PlanPart, TurnSide
from service.core.job.topsoil import Topsoil
from tests.given.earth import dig_section, dug, ground_wall, to_ft3
from tests.given.walls import corner, curve, ft, inch, straight, system, unit

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

SIX_HIGH = system(standard=unit(height=inch(6)), cap=None, setback=0.0)
FOOT_DEEP = dig_section(minimum=inch(12))
BASE, BOTTOM, FRONT, REAR, FLOOR = -1.0, -1.5, -0.5, 1.5, 2.0
COUNT = 300  # columns each way


@dataclass(frozen=True)
class Bent:
    """Two legs (ft) and a corner between them; tops and existing grades at the ends and at the
    corner, linear between (ft)."""

    first: float
    second: float
    side: TurnSide
    degrees: float
    tops: tuple[float, float, float]
    grounds: tuple[float, float, float]

    def earth(self, parts: int) -> WallEarthwork:
        """The earthwork, each leg written in so many parts."""
        plan: list[PlanPart] = [straight(ft(self.first / parts))] * parts
        plan += [corner(self.side, self.degrees)]
        plan += [straight(ft(self.second / parts))] * parts
        stations = (0.0, self.first, self.first + self.second)
        rows = [
            (at, top, 0.0, ground)
            for at, top, ground in zip(stations, self.tops, self.grounds, strict=True)
        ]
        spec = ground_wall(*rows, plan=plan, graded_in_front_m=0.0, graded_behind_m=0.0)
        return dug(spec, FOOT_DEEP, SIX_HIGH)

    def by_columns(self, slope: float) -> tuple[float, float]:
        """Cut and backfill in ft3: upright columns over a fine net of offsets and stations."""
        turn = math.tan(math.radians(self.degrees) / 2) * (1 if self.side == "outside" else -1)
        found = (0.0, 0.0)
        for length, end in ((self.first, 0), (self.second, 2)):
            leg = self.leg(length, end, turn, slope)
            found = found[0] + leg[0], found[1] + leg[1]
        return found

    def leg(self, length: float, end: int, turn: float, slope: float) -> tuple[float, float]:
        """One leg, station by station from the corner: a column at offset x stands from x·turn
        on; where that is negative, it runs on so far past the corner as it is there."""
        cut = back = 0.0
        widest = FLOOR + slope * (max(self.grounds) - BASE)
        for low, high in ((FRONT, 0.0), (0.0, REAR), (REAR, FLOOR), (FLOOR, widest)):
            width = (high - low) / COUNT
            for i in range(COUNT):
                x = low + (i + 0.5) * width
                start = max(0.0, x * turn)
                step = max(0.0, length - start) / COUNT
                shares = [(start + (j + 0.5) * step) / length for j in range(COUNT)]
                weighted = [(share, step) for share in shares]
                weighted += [(0.0, max(0.0, -x * turn))]
                for share, run in weighted:
                    ground = self.grounds[1] + share * (self.grounds[end] - self.grounds[1])
                    top = self.tops[1] + share * (self.tops[end] - self.tops[1])
                    dig, put = column(x, ground, top, slope)
                    cut += dig * run * width
                    back += put * run * width
        return cut, back


def column(x: float, ground: float, top: float, slope: float) -> tuple[float, float]:
    """Heights of cut and backfill at an offset."""
    if x < 0:
        return ground - BOTTOM, 0.0 - BASE
    if x < REAR:
        return ground - BOTTOM, 0.0
    if x < FLOOR:
        return ground - BASE, 0.0
    face = BASE + (x - FLOOR) / slope
    return (ground - face, top - face) if face < ground else (0.0, 0.0)


CASE = Bent(20, 20, "outside", 135, (4, 6, 4), (3, 5, 3))


@pytest.mark.parametrize("parts", [1, 2, 40])
def test_excavate_counts_the_section_of_each_station_beside_a_corner(parts: int) -> None:
    """20 ft, an outside corner of 135 deg, 20 ft: columns agree, however the legs are written."""
    earth = CASE.earth(parts)
    assert earth.cut_slope == 1.5  # 6.5 ft deep at the corner: class C
    cut, backfill = CASE.by_columns(1.5)
    assert to_ft3(earth.cut_m3) == pytest.approx(cut, rel=2e-4)
    assert to_ft3(earth.backfill_m3) == pytest.approx(backfill, rel=2e-4)


def levels(low: float, high: float) -> st.SearchStrategy[float]:
    """Levels in half feet."""
    return st.integers(int(2 * low), int(2 * high)).map(lambda halves: halves / 2)


@st.composite
def bents(draw: st.DrawFn) -> Bent:
    """Walls with a corner; finished ground lies over existing ground, as in a fill."""
    grounds = tuple(draw(levels(1, 5)) for _ in range(3))
    above = tuple(draw(levels(0.5, 2)) for _ in range(3))
    return Bent(
        first=draw(levels(6, 30)),
        second=draw(levels(6, 30)),
        side=draw(st.sampled_from(("outside", "inside"))),
        degrees=draw(st.integers(45, 135)),
        tops=(grounds[0] + above[0], grounds[1] + above[1], grounds[2] + above[2]),
        grounds=(grounds[0], grounds[1], grounds[2]),
    )


@given(bent=bents(), parts=st.integers(2, 9))
def test_excavate_does_not_hang_on_how_a_leg_is_written(bent: Bent, parts: int) -> None:
    """Legs in several parts move the earth that legs in one part do."""
    one, many = bent.earth(1), bent.earth(parts)
    for name in ("cut_m3", "backfill_m3", "fill_m3", "disturbed_m2", "bare_m2"):
        assert getattr(many, name) == pytest.approx(getattr(one, name), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize(
    "bent",
    [
        Bent(20, 30, "inside", 45, (4, 6, 3), (3, 5, 1)),
        Bent(10, 24, "inside", 135, (6, 3, 5), (5, 1, 4)),
        Bent(12, 20, "outside", 60, (3, 6, 5), (2, 5, 4)),
        Bent(6, 16, "outside", 100, (5.5, 4, 6), (5, 3, 5)),
        Bent(8, 8, "outside", 135, (6, 6, 6), (5, 4, 5)),
    ],
    ids=["inside 45", "inside 135", "outside 60", "outside 100", "legs shorter than the loss"],
)
def test_excavate_agrees_with_columns_at_any_corner(bent: Bent) -> None:
    """Corners either way, legs that the corner uses up in part."""
    earth = bent.earth(1)
    cut, backfill = bent.by_columns(earth.cut_slope)
    assert to_ft3(earth.cut_m3) == pytest.approx(cut, rel=5e-4)
    assert to_ft3(earth.backfill_m3) == pytest.approx(backfill, rel=5e-4)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_excavate_does_not_hang_on_how_a_curve_beside_a_corner_is_written(side: TurnSide) -> None:
    """A curve of 60 deg behind a corner, in one part or three, topsoil stripped and put back."""
    topsoil = Topsoil(strip_m=inch(6), replace_m=inch(4))
    found = []
    for parts in (1, 3):
        plan: list[PlanPart] = [straight(ft(20)), corner("outside", 70)]
        plan += [curve(side, ft(16), 60 / parts)] * parts
        end = 20 + 16 * math.pi / 3
        spec = ground_wall(
            (0, 4, 0, 3), (20, 6, 0, 5), (end, 4, 0, 3), plan=plan, existing_slope=0.1
        )
        graded = replace(spec, graded_in_front_m=0.0, graded_behind_m=ft(12))
        found.append(dug(graded, FOOT_DEEP, SIX_HIGH, topsoil=topsoil))
    one, three = found
    for name in ("cut_m3", "backfill_m3", "fill_m3", "disturbed_m2"):
        assert getattr(three, name) == pytest.approx(getattr(one, name), rel=1e-5)
