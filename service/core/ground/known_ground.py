"""What is known of the ground of a job and of walls on it, and holds for other walls too.

A quote asks for the same earthwork more than once, and quotes beside it (alternatives, other
values of what is assumed, what would pass) ask for much of it again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

from service.core.errors import QuoteFaultsError
from service.core.ground.excavation import DigOut, Excavated, dig_out
from service.core.ground.grading import GradedArea, measure_grading
from service.core.ground.tiers.joined import Joined, join
from service.core.job.graded import Grading
from service.core.job.job import Job
from service.core.job.section import Embedment
from service.core.job.spec import Tier, WallSpec
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from service.core.job.wall_system import WallSystem
from service.core.layout.layout import WallLayout, lay_out_embedded
from service.core.measure import UnitSet

# Walls, and sets of walls, that are kept as they were dug; those not asked for longest go first.
MOST_KEPT = 32

LayOut = Callable[[WallSpec, WallSystem, Embedment, UnitSet], WallLayout]
Join = Callable[[tuple[Excavated, ...], tuple[Tier, ...]], Joined]


def _keeping_lay_out() -> LayOut:
    return lru_cache(MOST_KEPT)(lay_out_embedded)


def _keeping_dig_out() -> DigOut:
    return lru_cache(MOST_KEPT)(dig_out)


def _keeping_join() -> Join:
    return lru_cache(MOST_KEPT)(join)


@dataclass(frozen=True, kw_only=True)
class KnownGround:
    """Graded areas, the same whatever is built, each measured once, when somebody asks; walls as
    they are laid out, dug, and share what they dig, once for all that this depends on."""

    grading: Sequence[Grading]
    units: UnitSet
    topsoil: Topsoil | None
    lay_out: LayOut = field(default_factory=_keeping_lay_out, compare=False, repr=False)
    dig_out: DigOut = field(default_factory=_keeping_dig_out, compare=False, repr=False)
    join: Join = field(default_factory=_keeping_join, compare=False, repr=False)

    @cached_property
    def measured(self) -> tuple[GradedArea | QuoteFaultsError, ...]:
        """What each area comes to, or its faults."""
        return tuple(map(self._measure, self.grading))

    def of(self, job: Job) -> KnownGround:
        """What of it holds for another job: its areas, where they are the same, and its walls."""
        if (self.grading, self.units, self.topsoil) == (job.grading, job.units, job.topsoil):
            return self
        return KnownGround(
            grading=job.grading,
            units=job.units,
            topsoil=job.topsoil,
            lay_out=self.lay_out,
            dig_out=self.dig_out,
            join=self.join,
        )

    def _measure(self, grading: Grading) -> GradedArea | QuoteFaultsError:
        try:
            return measure_grading(grading, self.units, self.topsoil or NO_TOPSOIL)
        except QuoteFaultsError as error:
            return error


def ground_of(job: Job) -> KnownGround:
    """The ground of a job, of which nothing is known yet."""
    return KnownGround(grading=job.grading, units=job.units, topsoil=job.topsoil)
