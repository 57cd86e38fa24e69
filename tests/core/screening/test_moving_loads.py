"""How fast the checks change as a load moves off: as fast as in polygons cut by many planes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from service.core.job.wall_system import Interface
from service.core.screening import stack_checks
from service.core.screening.stack_case import StackSetting, stack_case
from service.core.screening.wall_section import Loading, Strip, WallSection
from tests.given.basis import ASSOCIATION
from tests.given.layered import ground
from tests.given.moved import changes_little, steepest
from tests.given.statics import LB_FT, PSF
from tests.given.walls import ft, inch, system
from tests.given.wedge_search import FAR, Searched

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

COURSE, DEPTH, PCF = 8 / 12, 1.0, 120.0
CHECKS = {
    "sliding": stack_checks.sliding,
    "overturning": stack_checks.overturning,
    "shear": stack_checks.interface_shear,
}
TESTED = Interface(strength_n_m=800 * LB_FT, friction_rad=0.0)
near = pytest.approx


@dataclass(frozen=True)
class Loaded:
    """A wall of units 8 in high and 12 in deep, soil of 120 pcf up to its top, under a load of so
    many times soil x height; the lean is run over rise."""

    friction: float
    courses: int
    share: float
    batter: float = 1 / 8

    @property
    def height(self) -> float:
        """In ft."""
        return self.courses * COURSE

    @property
    def setting(self) -> StackSetting:
        """Soil and units."""
        setback = inch(8 * self.batter)
        blocks = replace(system(setback=setback, cap=None), interface=TESTED)
        return ground(ASSOCIATION, self.friction, PCF, blocks)

    def starts(self, step: int) -> float:
        """Where the load begins behind the heel, ft: so many hundredths of the height behind the
        back of the top course, and never before the leaning back."""
        back = (self.courses - 1) * COURSE * self.batter
        return max(back + step * self.height / 100, self.height * self.batter)

    def check(self, name: str, step: int) -> float:
        """A check with the load there."""
        at = DEPTH + (self.courses - 1) * COURSE * self.batter + step * self.height / 100
        strip = Strip(from_m=ft(at), load_pa=self.share * PCF * self.height * PSF)
        load = Loading(surcharge_pa=0.0, back_slope=0.0, strips=(strip,))
        soil = ft(self.height)
        section = WallSection(station_m=0.0, base=0, top_joint=self.courses, soil_m=soil, load=load)
        return CHECKS[name](stack_case(section, self.setting))

    def searched(self, step: int, over: float) -> tuple[float, float]:
        """Soil, and what the load adds, over a height, by polygons and planes; lb/ft."""
        height, away = self.height - over, over * self.batter
        top = height * self.batter
        soil = Polygon([(0, 0), (top, height), (FAR, height), (FAR, -1), (0, -1)])
        line = LineString([(self.starts(step) - away, height), (FAR, height)])
        bodies, psf = [(soil, PCF)], self.share * PCF * self.height
        alone, all_ = (
            Searched(bodies, loads, self.friction, self.friction * 2 / 3, self.batter).push()
            for loads in ([], [(line, psf)])
        )
        return alone, all_ - alone

    def searched_moment(self, step: int) -> float:
        """Soil at a third of the height, the load at half or where its integral over the depth
        says, if that is higher."""
        soil, added = self.searched(step, 0.0)
        parts = 2
        levels = [(part + 0.5) * self.height / parts for part in range(parts)]
        integral = math.fsum(self.searched(step, y)[1] for y in levels) * self.height / parts
        return soil * self.height / 3 + max(added * self.height / 2, integral)


@pytest.mark.parametrize(
    ("check", "case", "most"),
    [
        ("sliding", Loaded(40, 4, 1.6), 0.03),
        ("sliding", Loaded(40, 4, 4), 0.05),
        ("sliding", Loaded(30, 4, 3.6), 0.03),
        ("sliding", Loaded(30, 4, 10), 0.05),
        ("overturning", Loaded(40, 4, 0.8), 0.03),
        ("overturning", Loaded(40, 4, 1.9), 0.05),
        ("overturning", Loaded(30, 4, 1.65), 0.03),
        ("overturning", Loaded(30, 4, 4.5), 0.05),
        ("shear", Loaded(40, 6, 0.8), 0.03),
        ("shear", Loaded(40, 6, 2.2), 0.05),
        ("shear", Loaded(30, 6, 1.7), 0.03),
        ("shear", Loaded(30, 6, 5), 0.05),
        ("shear", Loaded(34, 2, 0.8), 0.05),
    ],
)
def test_checks_change_little_as_a_load_moves_off(check: str, case: Loaded, most: float) -> None:
    """In steps of a hundredth of the height, from the back of the top course to three heights:
    sliding 3 % at most up to a load of 1.6 times soil x height (5 % up to 4) in soil of 40 deg,
    3.6 and 10 times in soil of 30; overturning half as far; the joint between courses by its own
    height, from six courses on as overturning."""
    changes_little(lambda step: case.check(check, step), 300, most)


@given(
    friction=st.floats(20, 40),
    courses=st.integers(6, 10),
    share=st.floats(0.01, 0.8),
    batter=st.floats(0, 1 / 8),
    step=st.integers(0, 299),
)
@example(friction=40.0, courses=6, share=0.8, batter=1 / 8, step=52)
@settings(max_examples=40, deadline=None)
def test_no_check_changes_by_more_than_3_percent_under_usual_loads(
    friction: float, courses: int, share: float, batter: float, step: int
) -> None:
    """Up to 0.8 of soil x height, in any soil up to 40 deg; never safer when nearer."""
    case = Loaded(friction, courses, share, batter)
    for name in CHECKS:
        nearer, farther = case.check(name, step), case.check(name, step + 1)
        assert nearer * (1 - 1e-6) <= farther <= nearer * 1.03


@pytest.mark.parametrize(
    ("case", "about", "sliding", "overturning"),
    [
        (Loaded(30, 6, 5), 116, 0.034, 0.051),
        (Loaded(40, 6, 5, 0), 87, 0.048, 0.071),
    ],
)
def test_checks_change_faster_under_heavy_loads_as_the_wedges_do(
    case: Loaded, about: int, sliding: float, overturning: float
) -> None:
    """Where the loaded wedge lets go the thrust itself falls by so much over a hundredth of the
    height: the search over 10,000 planes says so too."""
    at = steepest(lambda step: case.check("sliding", step), about - 5, about + 5)
    thrusts = [sum(case.searched(step, 0.0)) for step in (at, at + 1)]
    moments = [case.searched_moment(step) for step in (at, at + 1)]
    slides, turns = (
        case.check(name, at + 1) / case.check(name, at) - 1 for name in ("sliding", "overturning")
    )
    assert slides == near(thrusts[0] / thrusts[1] - 1, abs=3e-4)
    assert turns == near(moments[0] / moments[1] - 1, abs=3e-4)
    assert slides >= sliding
    assert turns >= overturning


@pytest.mark.parametrize("step", [40, 60])
def test_a_joint_changes_as_a_lower_wall_does(step: int) -> None:
    """Two courses under five times soil x height: over the joint a step is a fiftieth of the
    height, and the load ten times soil x height."""
    case = Loaded(40, 2, 5)
    values = [case.check("shear", at) for at in (step, step + 1)]
    thrusts = [sum(case.searched(at, COURSE)) for at in (step, step + 1)]
    assert values[1] / values[0] == near(thrusts[0] / thrusts[1], abs=3e-4)
