"""Random walls at one section: soils, loads, banks and upper walls, with layers and without."""

from __future__ import annotations

import math
from collections.abc import Container
from dataclasses import dataclass, replace

from hypothesis import strategies as st

from service.core.job.basis import CHECKS, Basis, CheckName
from service.core.job.reinforcement import Connection
from service.core.job.wall_system import Interface
from service.core.screening.check_table import CHECK_TABLE
from service.core.screening.filled_section import FilledSection
from service.core.screening.layer_checks import hold
from service.core.screening.picture import CutEdge
from service.core.screening.reinforced_case import Reinforced
from service.core.screening.reinforced_screen import LAYERED_ROWS, figures
from service.core.screening.stack_case import StackSetting, stack_case
from service.core.screening.wall_section import Loading, Rise, Strip, UpperWall, WallSection
from tests.given.basis import ASSOCIATION, FHWA
from tests.given.layered import GRID, ground
from tests.given.statics import LB_FT, PSF, deg
from tests.given.walls import ft, inch, system, unit

COURSE, DEPTH, STEP = inch(8), inch(12), inch(1)
CAP = unit("cap", face=inch(12), height=inch(4), depth=inch(12), weight_kg=22.0)
BLOCKS = replace(
    system(setback=STEP, cap=CAP),
    interface=Interface(strength_n_m=800 * LB_FT, friction_rad=deg(30)),
)
JOINED = Connection(
    wall_system=BLOCKS.id,
    strength_n_m=1000 * LB_FT,
    friction_rad=deg(35),
    most_n_m=3000 * LB_FT,
)
BESIDE_CAP = 1 / 3  # ft of soil that reaches to the top of the cap
SHEET = replace(GRID, connections=(JOINED,))
Figures = dict[CheckName, float]


@dataclass(frozen=True)
class RandomWall:
    """A wall that holds soil to its top or, with `beside_cap`, higher, in ft and degrees; `fill`
    lies before a cut of so much rise over run, `run` 0 without end, None: one soil all round. A
    load and a bank begin so far behind the plan line; `above` courses stand `offset` behind."""

    basis: Basis
    courses: int
    friction: float
    fill: float | None
    floor: float
    rises: float
    psf: float
    load_from: float
    slope: float
    slope_from: float
    above: int
    offset: float
    even_psf: float = 0.0
    beside_cap: float = 0.0
    left_out: int = 0

    @property
    def setting(self) -> StackSetting:
        """Soils and units."""
        plain = ground(self.basis, self.friction, 120.0, BLOCKS)
        if self.fill is None:
            return plain
        soils = replace(
            plain.soils,
            fill_friction_rad=deg(self.fill),
            fill_wall_friction_rad=deg(self.fill) * 2 / 3,
        )
        return replace(plain, soils=soils, cut=CutEdge(floor_m=ft(self.floor), slope=self.rises))

    @property
    def section(self) -> WallSection:
        """The section; the courses that were left out at its foot are `left_out`."""
        load = Loading(
            surcharge_pa=self.even_psf * PSF,
            back_slope=0.0,
            strips=(Strip(from_m=ft(self.load_from), load_pa=self.psf * PSF),) if self.psf else (),
            rises=(Rise(from_m=ft(self.slope_from), slope=self.slope),) if self.slope else (),
            upper=self._upper,
        )
        return WallSection(
            station_m=0.0,
            base=self.left_out,
            top_joint=self.courses,
            soil_m=(self.courses - self.left_out) * COURSE + ft(self.beside_cap),
            load=load,
            face_m=self.left_out * STEP,
        )

    @property
    def _upper(self) -> UpperWall | None:
        if not self.above:
            return None
        own = WallSection(
            station_m=0.0,
            base=0,
            top_joint=self.above,
            soil_m=self.above * COURSE,
            load=Loading(surcharge_pa=0.0, back_slope=0.0),
            buried_m=inch(6),
        )
        front = ft(BESIDE_CAP - self.beside_cap)
        return UpperWall(
            name="upper",
            offset_m=ft(self.offset),
            underside_m=front - inch(6),
            front_m=front,
            section=own,
        )


def plain(wall: RandomWall) -> Figures:
    """Each check as a plain stack; more is better."""
    case = stack_case(wall.section, wall.setting)
    return {
        name: row.stack.figure(case) * (-1 if row.limit == "max" else 1)
        for name, row in CHECK_TABLE.items()
        if row.stack is not None
    }


def layers_of(wall: RandomWall) -> tuple[tuple[int, ...], float]:
    """Joints of layers, the lowest two courses up, and their length in ft."""
    joints = tuple(range(2, wall.courses - 1, 2)) or (1,)
    return joints, math.ceil(max(4, 0.7 * wall.courses * 8 / 12))


@dataclass(frozen=True)
class LayerForces:
    """What soil holds of each layer and what pulls at it, N/m, from the lowest up."""

    held: tuple[float, ...]
    pulled: tuple[float, ...]


def layer_forces(wall: RandomWall, joints: tuple[int, ...], length: float) -> LayerForces:
    """The forces of layers on these joints."""
    case = _case(wall, joints, length)
    return LayerForces(
        held=tuple(hold(case, elevation)[1] for elevation in case.elevations_m),
        pulled=case.pulls_n_m,
    )


def layered(wall: RandomWall, joints: tuple[int, ...], length: float) -> Figures:
    """Each check with layers on these joints, the worst layer; more is better."""
    case = _case(wall, joints, length)
    found = {row.name: list(figures(row.name, case)) for row in LAYERED_ROWS}
    return {
        name: -max(values) if CHECK_TABLE[name].limit == "max" else min(values)
        for name, values in found.items()
        if values
    }


def _case(wall: RandomWall, joints: tuple[int, ...], length: float) -> Reinforced:
    return Reinforced(
        filled=FilledSection(ground=wall.setting, section=wall.section),
        sheet=SHEET,
        joints=joints,
        length_m=ft(length),
    )


def worse(
    before: Figures, after: Figures, names: Container[str] = CHECKS
) -> dict[CheckName, tuple[float, float]]:
    """Which of some checks are worse after than before."""
    return {
        name: (value, after[name])
        for name, value in before.items()
        if name in names and name in after and after[name] < value - 1e-6 * max(1.0, abs(value))
    }


random_walls = st.builds(
    RandomWall,
    basis=st.sampled_from([ASSOCIATION, FHWA]),
    courses=st.integers(3, 9),
    friction=st.floats(24, 36),
    fill=st.one_of(st.none(), st.floats(24, 38)),
    floor=st.floats(1, 4),
    rises=st.sampled_from([2 / 3, 1.0, 2.0, math.inf]),
    psf=st.sampled_from([0.0, 100.0, 250.0, 500.0]),
    load_from=st.floats(1, 12),
    slope=st.sampled_from([0.0, 0.0, 0.2, 1 / 3]),
    slope_from=st.floats(2, 10),
    above=st.sampled_from([0, 0, 2, 5]),
    offset=st.floats(3, 12),
    even_psf=st.sampled_from([0.0, 50.0]),
)
