"""A section of a wall as a plain stack of units, and what it is held against."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from service.core.job.basis import Basis
from service.core.job.factors import Factors
from service.core.job.wall_system import WallSystem
from service.core.measure import UnitSet
from service.core.screening.cap_weight import cap_weight
from service.core.screening.formulas.earth_pressure import Thrust
from service.core.screening.formulas.gravity import Footing, Stack
from service.core.screening.picture import Back, CutEdge, Earth, Picture, draw
from service.core.screening.section_push import SectionPush, push_of
from service.core.screening.soil_figures import SoilFigures
from service.core.screening.wall_section import WallSection


@dataclass(frozen=True, slots=True, kw_only=True)
class StackSetting:
    """What a stack of units is held against: soils, pad, slope in front, and the rule book. `cut`
    is where the retained soil begins behind another fill, None: one soil all round;
    `working_room_m` is what a cut leaves behind layers. What it was asked for it keeps: stacks by
    their courses, pictures and cases for all sections that stand alike."""

    system: WallSystem
    unit_weight_n_m3: float
    soils: SoilFigures
    pad_m: float
    front_slope: float
    basis: Basis
    units: UnitSet
    cut: CutEdge | None = None
    working_room_m: float = 0.0
    _stacks: dict[int, Stack] = field(default_factory=dict, init=False, compare=False, repr=False)
    _pictures: dict[tuple[object, ...], Picture] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )
    _cases: dict[tuple[object, ...], StackCase] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )

    def stack(self, courses: int) -> Stack:
        """So many courses of the system's standard unit, and the cap on them."""
        if (found := self._stacks.get(courses)) is None:
            self._stacks[courses] = found = self._stack(courses)
        return found

    def case(self, section: WallSection) -> StackCase:
        """A section as a plain stack. Raises PressureLimitError."""
        if (found := self._cases.get(section.alike)) is None:
            self._cases[section.alike] = found = stack_case(section, self)
        return found

    def _stack(self, courses: int) -> Stack:
        return Stack(
            courses=courses,
            course_height_m=self.system.standard.height_m,
            depth_m=self.system.standard.depth_m,
            setback_m=self.system.setback_m,
            unit_weight_n_m3=self.unit_weight_n_m3,
            cap=cap_weight(self.system),
        )

    def footing(self, base_m: float) -> Footing:
        """What a base stands on. Ground in front adds no depth: it can be dug away, and a wall
        that is set deeper would pass where a shallower one fails."""
        return Footing(
            width_m=base_m,
            pad_m=self.pad_m,
            friction_rad=self.soils.foundation_friction_rad,
            weight_n_m3=self.soils.foundation_weight_n_m3,
        )

    def picture(self, section: WallSection, *, plumb: bool = False) -> Picture:
        """What lies and stands behind a section, drawn plumb or as it leans. Raises
        PressureLimitError."""
        key = (*section.alike, plumb)
        if (found := self._pictures.get(key)) is None:
            self._pictures[key] = found = self._picture(section, plumb=plumb)
        return found

    def _picture(self, section: WallSection, *, plumb: bool) -> Picture:
        stack, native = self.stack(section.courses), self.native
        drawn = replace(stack, setback_m=0.0) if plumb else stack
        return draw(section, drawn, self._fill or native, native, self.cut)

    @property
    def native(self) -> Earth:
        """The soil that is retained."""
        return Earth(grip=math.tan(self.soils.friction_rad), weight_n_m3=self.soils.weight_n_m3)

    def cut_behind(self, behind_m: float) -> CutEdge | None:
        """The cut with its floor as far back as layers of this length behind the units ask for."""
        if self.cut is None:
            return None
        return replace(self.cut, floor_m=max(self.cut.floor_m, behind_m + self.working_room_m))

    def back(self, section: WallSection) -> Back:
        """The back of the units."""
        soils = self.soils
        return Back(
            from_m=0.0,
            batter=self.system.setback_m / self.system.standard.height_m,
            height_m=section.soil_m,
            friction_rad=soils.fill_wall_friction_rad if self.cut else soils.wall_friction_rad,
        )

    @property
    def _fill(self) -> Earth | None:
        """The fill behind the units, where it is another soil."""
        if self.cut is None:
            return None
        grip = math.tan(self.soils.fill_friction_rad)
        return Earth(grip=grip, weight_n_m3=self.soils.fill_weight_n_m3)


@dataclass(frozen=True, slots=True, kw_only=True)
class StackCase:
    """The stack of one section, and what pushes on its back down to its base."""

    ground: StackSetting
    section: WallSection
    stack: Stack
    push: SectionPush
    pushed: Thrust

    @property
    def factors(self) -> Factors:
        """Load and resistance factors of the basis."""
        return self.ground.basis.factors


def stack_case(section: WallSection, ground: StackSetting) -> StackCase:
    """A section as a plain stack, worked out anew. Raises PressureLimitError."""
    push = push_of(ground.picture(section), ground.back(section))
    return StackCase(
        ground=ground,
        section=section,
        stack=ground.stack(section.courses),
        push=push,
        pushed=push.whole,
    )
