"""A section of a wall with layers of reinforcement, as both of its screenings take it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial

from service.core.job.basis import CheckName
from service.core.job.reinforcement import Sheet
from service.core.screening.filled_section import FilledSection
from service.core.screening.formulas.earth_pressure import Thrust
from service.core.screening.formulas.gravity import driving_n_m
from service.core.screening.formulas.layer_statics import Tributary, fhwa_tension_n_m
from service.core.screening.formulas.wedge_slice import WedgeSlice
from service.core.screening.picture import Back, Picture
from service.core.screening.section_push import push_of
from service.core.screening.stack_case import StackSetting
from service.core.screening.wall_section import WallSection


@dataclass(frozen=True, kw_only=True)
class Reinforced:
    """A section with layers: joints from the lowest up, all of one length from the face. `figures`
    are what was found of it so far, by check."""

    filled: FilledSection
    sheet: Sheet
    joints: tuple[int, ...]
    length_m: float
    figures: dict[CheckName, tuple[float, ...]] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )

    @property
    def ground(self) -> StackSetting:
        """What it is held against."""
        return self.filled.ground

    @property
    def section(self) -> WallSection:
        """The section of the wall."""
        return self.filled.section

    @property
    def behind_m(self) -> float:
        """Length of the layers behind the units."""
        return max(0.0, self.length_m - self.ground.system.standard.depth_m)

    @cached_property
    def elevations_m(self) -> tuple[float, ...]:
        """Layers over the underside of the lowest unit, those above the soil left out."""
        return self.filled.elevations_m(self.joints)

    @property
    def rise_m(self) -> float:
        """How far the ground has risen where the layers end."""
        return self.rear.height_m - self.section.soil_m

    @cached_property
    def picture(self) -> Picture:
        """What lies behind the units, the cut as far back as these layers ask for."""
        drawn, cut = self.filled.picture, self.ground.cut_behind(self.behind_m)
        return drawn if cut == drawn.cut else replace(drawn, cut=cut)

    @cached_property
    def rear(self) -> Back:
        """The back of the mass, up to where it meets the ground: behind the lowest layer's end."""
        soils, plumb = self.ground.soils, self.filled.plumb
        batter = 0.0 if plumb else math.tan(self.filled.batter_rad)
        height = _meets(self.filled.surface, self.behind_m, batter, self.section.soil_m)
        friction = min(soils.friction_rad, soils.fill_friction_rad)
        if plumb:
            rises = max(0.0, self.section.load.steepest)
            friction = min(math.atan(rises), soils.friction_rad)
        return Back(from_m=self.behind_m, batter=batter, height_m=height, friction_rad=friction)

    @cached_property
    def pushed(self) -> Thrust:
        """What pushes on the back of the mass. Raises PressureLimitError."""
        return push_of(self.picture, self.rear).whole

    @cached_property
    def mass(self) -> tuple[float, float]:
        """Weight of the mass, N/m, and its lever from the toe. Raises PressureLimitError."""
        return _mass(self)

    @property
    def carried(self) -> tuple[Tributary, ...]:
        """What of the wall each layer in soil carries. Raises PressureLimitError."""
        return self.filled.rows(self.joints).carried

    @cached_property
    def pulls_n_m(self) -> tuple[float, ...]:
        """The pull in each layer in soil. Raises PressureLimitError."""
        rows = self.filled.rows(self.joints)
        return tuple(
            _pull_n_m(self, carried, below, above)
            for carried, (below, above) in zip(rows.carried, rows.pushed, strict=True)
        )


def _meets(surface: Sequence[WedgeSlice], x_m: float, batter: float, least_m: float) -> float:
    """Height at which a back that starts behind the heel meets the ground over it."""
    for slice_ in surface:
        height = slice_.level_m + slice_.slope * (x_m - slice_.from_m)
        height /= 1 - slice_.slope * batter
        if x_m + height * batter <= slice_.to_m:
            return max(height, 0.0)
    return least_m


def _pull_n_m(case: Reinforced, carried: Tributary, below: Thrust, above: Thrust) -> float:
    """Pull in a layer, loads factored as the basis says.

    The push on the units from there to there: layers together pull as much as the thrust. The
    highway manual takes the weight above instead, with half of the slope's rise over the layers.
    """
    factors = case.ground.basis.factors
    if not case.filled.highway:
        return max(0.0, driving_n_m(below, factors) - driving_n_m(above, factors))
    depth = carried.middle_depth_m + case.rise_m / 2
    upright = factors.weight_high * case.ground.soils.fill_weight_n_m3 * depth
    added = factors.weight_high * max(0.0, below.added_n_m - above.added_n_m)
    own = fhwa_tension_n_m(case.filled.pressure.horizontal, upright, carried.height_m)
    return own + added


def _mass(case: Reinforced) -> tuple[float, float]:
    """Weight and lever of units, soil over the layers and the slope above it.

    The highway manual takes soil over the whole length and leaves the units out.
    """
    section, ground = case.section, case.ground
    weight = ground.soils.fill_weight_n_m3
    height, behind = section.soil_m, case.behind_m
    lean = height * math.tan(case.filled.batter_rad)
    depth = ground.system.standard.depth_m
    if case.filled.highway:
        lean = 0.0 if case.filled.plumb else lean
        parts = [(weight * height * case.length_m, (case.length_m + lean) / 2)]
    else:
        stack = ground.stack(section.courses)
        parts = [
            (stack.weight_n_m, stack.lever_m),
            (weight * height * behind, depth + (behind + lean) / 2),
        ]
    parts += _over_grade(case, weight)
    total = math.fsum(part for part, _ in parts)
    return total, math.fsum(part * lever for part, lever in parts) / total


def _over_grade(case: Reinforced, weight_n_m3: float) -> Iterator[tuple[float, float]]:
    """Weight and lever, from the toe, of the soil over back grade, piece by piece."""
    begins, depth = case.filled.grade_m, case.ground.system.standard.depth_m
    for slice_ in case.filled.surface:
        low, high = max(slice_.from_m, begins), min(slice_.to_m, begins + case.behind_m)
        first, last = (slice_.at(x) - case.section.soil_m for x in (low, high))
        if high > low and first + last:
            center = low + (high - low) * (first + 2 * last) / (3 * (first + last))
            yield weight_n_m3 * (high - low) * (first + last) / 2, depth + center


def line_loads(case: Reinforced) -> Callable[[float], str]:
    """Shows N per m in the line load of the unit set."""
    return partial(case.ground.units.show, dimension="force_per_length")
