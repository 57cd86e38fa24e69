"""What screening finds for one wall beside its checks: the tallest plain stack, and its layers."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from service.core.job.reinforcement import WallReinforcement
from service.core.screening.check import Check
from service.core.screening.gravity_screen import tallest_courses
from service.core.screening.stack_case import StackSetting
from service.core.screening.wall_section import Loading

MOST_COURSES = 60  # how far the search for the tallest plain stack goes


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainStack:
    """What a plain stack of a wall's units is held against, and what stands behind its highest
    section."""

    ground: StackSetting
    loads: tuple[Loading, ...]


@dataclass(frozen=True, kw_only=True)
class WallScreening:
    """What was found for one wall: what a plain stack of its units is held against (None: not
    known), and the layers that would hold it, if any were asked for."""

    wall: str
    stack: PlainStack | None = None
    reinforcement: WallReinforcement | None = None
    reinforced_checks: tuple[Check, ...] = ()

    @cached_property
    def tallest_courses(self) -> int | None:
        """Courses of the tallest plain stack of its units (None: not known). It takes many stacks
        to tell, so it is looked for when it is asked for."""
        if self.stack is None:
            return None
        return tallest_courses(self.stack.ground, self.stack.loads, MOST_COURSES)

    @property
    def tallest_m(self) -> float | None:
        """Its height without a cap."""
        if self.stack is None or self.tallest_courses is None:
            return None
        return self.tallest_courses * self.stack.ground.system.standard.height_m
