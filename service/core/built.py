"""What is to be built, whatever it costs: walls laid out, screened, dug, taken off and planned."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from service.core.cautions.caution import Cautions
from service.core.cautions.cautions import screen_cautions
from service.core.cautions.job_facts import WorkOfCrews, facts_of
from service.core.errors import LayoutFaultsError
from service.core.ground.balance import Earthwork
from service.core.ground.groundwork import dig
from service.core.ground.known_ground import KnownGround, ground_of
from service.core.job.fact import Assumption
from service.core.job.job import Job, Reinforcing
from service.core.labor.derived import lift_units
from service.core.labor.hours import Labor
from service.core.labor.lifted import Lifted
from service.core.labor.sequencing.phases import Phases
from service.core.labor.spread import spread_assumptions
from service.core.layout.layout import WallLayout, lay_out_embedded
from service.core.layout.levels import MOST_SIZE, too_large_fault
from service.core.measure import number
from service.core.planned_work import plan_work
from service.core.screening.cap_weight import cap_assumptions
from service.core.screening.cut_edge import edge_assumptions
from service.core.screening.screening import Screening, screen
from service.core.screening.strengths import strength_assumptions
from service.core.takeoff.earth_lines import earth_lines
from service.core.takeoff.increment import assumed_increment
from service.core.takeoff.quantities import Quantities, QuantityLine
from service.core.takeoff.takeoff import take_off, uses_of, with_lines, with_strip
from service.core.takeoff.uses import Use

# Ways of reinforcing whose layers are part of what is quoted.
QUOTED: tuple[Reinforcing, ...] = ("where_needed", "all")


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """What is to be built, in SI: it holds no price. `reinforced` says whether the layers of the
    screening are part of it. `ground` is what is known of the ground, for other walls on it too.
    `assumptions` are those of the job and of its planning."""

    job: Job
    layouts: tuple[WallLayout, ...]
    screening: Screening
    reinforced: bool
    ground: KnownGround
    earthwork: Earthwork | None
    quantities: Quantities
    labor: Labor | None
    phases: Phases | None
    cautions: Cautions
    assumptions: tuple[Assumption, ...]


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A job whose walls are laid out and screened, and what is the same with layers and without."""

    job: Job
    layouts: tuple[WallLayout, ...]
    screening: Screening
    ground: KnownGround

    @property
    def quoted(self) -> bool:
        """Whether layers that were laid out are part of what is quoted."""
        return bool(self.screening.reinforcement) and self.job.reinforcing in QUOTED

    @cached_property
    def uses(self) -> Sequence[Use]:
        """What the walls need without layers."""
        job = self.job
        return uses_of(self.layouts, job.system, job.section, job.units, run_priced=job.run_priced)

    @cached_property
    def lifts(self) -> Mapping[str, Lifted]:
        """Units by the height of their course."""
        return lift_units(self.job, self.layouts)


def laid_out(job: Job, layouts: tuple[WallLayout, ...] | None, ground: KnownGround | None) -> Laid:
    """A job laid out and screened; `layouts` and `ground` are its own, where somebody has them
    already. Raises LayoutFaultsError with the faults of all walls."""
    ground = ground or ground_of(job)
    layouts = lay_out_walls(job, ground) if layouts is None else layouts
    screening = screen(job, layouts, ground)
    return Laid(job=job, layouts=layouts, screening=screening, ground=ground)


def build(laid: Laid, *, reinforced: bool) -> Built:
    """The job with or without the layers that the screening laid out. Raises QuoteFaultsError for
    quantities or conditions that don't fit the catalog."""
    job, layouts, screening = laid.job, laid.layouts, laid.screening
    layers = screening.reinforcement if reinforced else ()
    groundwork = dig(job, layouts, layers, laid.ground)
    earthwork = groundwork.earth
    quantities = take_off(
        layouts,
        job.system,
        job.section,
        job.materials,
        job.units,
        layers,
        laid.uses,
    )
    quantities = with_strip(quantities, layouts, job.rates.hand_strip if job.rates else None)
    if earthwork:
        quantities = with_lines(quantities, earth_lines(earthwork, job.materials, job.units))
    planned = plan_work(job, layouts, quantities, earthwork, laid.lifts)
    labor, phases = planned.labor, planned.phases
    work = WorkOfCrews(limits=planned.limits, labor=labor, phases=phases)
    facts = facts_of(job, layouts, earthwork, work, screening, reinforced=reinforced)
    return Built(
        job=job,
        layouts=layouts,
        screening=screening,
        reinforced=reinforced,
        ground=laid.ground,
        earthwork=earthwork,
        quantities=planned.quantities,
        labor=labor,
        phases=phases,
        cautions=screen_cautions(job.jurisdiction, *facts, job.units),
        assumptions=(
            *job.assumptions,
            *groundwork.assumptions,
            *planned.assumptions,
            *spread_assumptions(job.rates),
            *strength_assumptions(job.soils),
            *cap_assumptions(job.system),
            *edge_assumptions(job, {each.name: each for each in layouts}, laid.ground),
        ),
    )


def lay_out_walls(job: Job, ground: KnownGround | None = None) -> tuple[WallLayout, ...]:
    """All walls laid out; the faults of all of them at once. What `ground` knows of walls like
    them isn't laid out again."""
    layouts, faults, size = [], [], 0
    lay_out = ground.lay_out if ground else lay_out_embedded
    for index, wall in enumerate(job.walls):
        try:
            layouts.append(lay_out(wall, job.system, job.section.embedment, job.units))
            size += layouts[-1].size
        except LayoutFaultsError as error:
            faults += [replace(f, at=("walls", index, *f.at)) for f in error.faults]
        if size > MOST_SIZE:
            raise LayoutFaultsError([replace(too_large_fault(), at=("walls",))])
    if faults:
        raise LayoutFaultsError(faults)
    return tuple(layouts)


def increment_field(item: str) -> str:
    """Where the increment of an item would stand."""
    return f"catalog: materials/{item}, sold.increment"


def increment_assumptions(lines: Iterable[QuantityLine]) -> Iterator[Assumption]:
    """What orders were rounded up to where nothing says so."""
    for line in lines:
        if line.increment_assumed:
            step = assumed_increment(line.group)
            yield Assumption(
                field=increment_field(line.item),
                value=f"{number(step)} {line.order_unit}",
                why="no material file says what the yard rounds an order up to",
            )
