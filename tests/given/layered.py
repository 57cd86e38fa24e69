"""A section with layers in one soil all round, as the screening of layers takes it."""

from __future__ import annotations

import math

from service.core.job.basis import Basis
from service.core.job.reinforcement import Sheet
from service.core.job.wall_system import WallSystem
from service.core.measure import US
from service.core.screening.filled_section import FilledSection
from service.core.screening.layer_checks import sheet_strength_n_m
from service.core.screening.reinforced_case import Reinforced
from service.core.screening.reinforced_screen import figures
from service.core.screening.soil_figures import SoilFigures
from service.core.screening.stack_case import StackSetting
from service.core.screening.wall_section import Loading, WallSection
from tests.given.statics import LB_FT, PCF
from tests.given.walls import ft, inch, system

BLOCKS = system(setback=inch(1), cap=None)
GRID = Sheet(
    ultimate_n_m=3500 * LB_FT,
    roll_width_m=ft(6),
    roll_length_m=ft(150),
    creep=1.6,
    durability=1.1,
    damage=1.1,
    interaction=0.7,
)
LEVEL = Loading(surcharge_pa=0.0, back_slope=0.0)


def ground(
    basis: Basis, friction_deg: float = 30.0, pcf: float = 120.0, blocks: WallSystem = BLOCKS
) -> StackSetting:
    """Units and soil of one weight, one soil all round, level ground in front."""
    friction, weight = math.radians(friction_deg), pcf * PCF
    return StackSetting(
        system=blocks,
        unit_weight_n_m3=weight,
        soils=SoilFigures(
            friction_rad=friction,
            wall_friction_rad=friction * 2 / 3,
            weight_n_m3=weight,
            foundation_friction_rad=friction,
            foundation_weight_n_m3=weight,
            base_friction_rad=friction,
            fill_friction_rad=friction,
            fill_wall_friction_rad=friction * 2 / 3,
            fill_weight_n_m3=weight,
        ),
        pad_m=inch(6),
        front_slope=0.0,
        basis=basis,
        units=US,
    )


def layered_section(
    behind: StackSetting,
    courses: int,
    joints: tuple[int, ...],
    length_m: float,
    load: Loading = LEVEL,
    sheet: Sheet = GRID,
) -> Reinforced:
    """So many courses that hold soil up to their top, with layers on these joints."""
    soil_m = courses * behind.system.standard.height_m
    section = WallSection(station_m=0.0, base=0, top_joint=courses, soil_m=soil_m, load=load)
    return Reinforced(
        filled=FilledSection(ground=behind, section=section),
        sheet=sheet,
        joints=joints,
        length_m=length_m,
    )


def pulls(case: Reinforced) -> list[float]:
    """What pulls on each layer, lb/ft, from its strength and its ratio."""
    strength = case.ground.basis.factors.tension * sheet_strength_n_m(case)
    return [strength / each / LB_FT for each in figures("layer_tension", case)]
