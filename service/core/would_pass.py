"""What would pass where a wall fails: changes alone, then in pairs, and other walls (rule 14.12).

Every change is laid out, screened and dug again; nothing is priced unless totals are asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import combinations, islice, product
from typing import Literal, get_args

from service.core.errors import QuoteFaultsError
from service.core.ground.groundwork import dig
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.job.soil import Soil
from service.core.job.spec import WallSpec
from service.core.job.wall_system import WallSystem
from service.core.layout.heights import raised
from service.core.layout.soil_below_cap import with_soil_below_cap
from service.core.quote import QUOTED, Quote, lay_out_walls, quote
from service.core.screening.screening import Screening, screen
from service.core.takeoff.earth_lines import IMPORT_FILL

ChangeName = Literal["soil_below_cap", "better_fill", "layers", "fewer_courses", "deeper_units"]
# What a search takes grows with the walls: none is made for walls of more size than this
# (WallLayout.size; a straight wall of six courses is some 20).
MOST_SIZE = 1000
MOST_SETS = 3
# The strongest of the better fills are tried, and the nearest of the deeper units.
MOST_FILLS = 4
MOST_SYSTEMS = 4
MOST_COURSES_LESS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """What a catalog has to change to."""

    soils: tuple[Soil, ...]
    systems: tuple[WallSystem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """The job with changes that make every check pass; `total` where it was asked for."""

    changes: tuple[ChangeName, ...]
    job: Job
    total: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WouldPass:
    """Sets of changes to the wall that is asked for, and walls of fewer courses or deeper units.
    With totals the cheapest come first, else what changes least."""

    sets: tuple[Alternative, ...]
    other_walls: tuple[Alternative, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edit:
    """One change: other walls, another fill, or layers where a plain stack fails."""

    change: ChangeName
    walls: tuple[WallSpec, ...] | None = None
    fill: Soil | None = None

    def of(self, job: Job) -> Job:
        """The job with the change."""
        if self.walls is not None:
            return replace(job, walls=self.walls)
        if self.fill is not None:
            return replace(job, soils=replace(job.soils, fill=self.fill))
        return replace(job, reinforcing="where_needed")


def would_pass(failing: Quote, offered: Offered, *, priced: bool) -> WouldPass | None:
    """What would pass in place of a quote with a check that fails; None where none fails, or the
    walls are too large to try. Pure."""
    size = sum(layout.size for layout in failing.layouts)
    if not _fails(failing.screening, failing.job) or size > MOST_SIZE:
        return None
    sets = _sets(failing, offered)
    others = (*_fewer_courses(failing), *_deeper_units(failing, offered))
    if priced:
        sets, others = (_by_total(found, failing.prices) for found in (sets, others))
    return WouldPass(sets=tuple(sets[:MOST_SETS]), other_walls=tuple(others))


def in_order_tried(sets: Sequence[Alternative]) -> list[Alternative]:
    """Sets of changes in an order that no price decides: one change before two."""
    names = get_args(ChangeName)
    return sorted(sets, key=lambda each: (len(each.changes), list(map(names.index, each.changes))))


def _by_total(found: Iterable[Alternative], prices: PriceList) -> tuple[Alternative, ...]:
    """With the total of each, the cheapest first; what can't be priced is left out."""
    priced: list[tuple[Decimal, int, Alternative]] = []
    for place, each in enumerate(found):
        try:
            total = quote(each.job, prices).price.total
        except QuoteFaultsError:
            continue
        priced.append((total, place, replace(each, total=total)))
    return tuple(each for _, _, each in sorted(priced, key=lambda row: row[:2]))


def _sets(failing: Quote, offered: Offered) -> tuple[Alternative, ...]:
    """Changes that pass alone, then pairs of those that don't: a pair with one that passes alone
    would only change more."""
    found, left = [], []
    for edits in filter(None, _ways(failing, offered)):
        alone = _first_passing(failing.job, ((edit,) for edit in edits))
        if alone is None:
            left.append(edits)
        else:
            found.append(alone)
    for first, second in combinations(left, 2):
        pair = _first_passing(failing.job, product(first, second))
        if pair is not None:
            found.append(pair)
    return tuple(found)


def _ways(failing: Quote, offered: Offered) -> Iterator[tuple[_Edit, ...]]:
    """Each change with the ways to make it, the least first."""
    job = failing.job
    names = _failing_walls(failing.screening, job)
    walls = tuple(
        with_soil_below_cap(layout, job.units) if layout.name in names else layout.spec
        for layout in failing.layouts
    )
    if walls != job.walls:
        yield (_Edit(change="soil_below_cap", walls=walls),)
    yield tuple(_Edit(change="better_fill", fill=soil) for soil in _better(failing, offered))
    item = job.section.reinforcement_item
    if job.reinforcing not in QUOTED and item and _has_price(failing.prices, item):
        yield (_Edit(change="layers"),)


def _better(failing: Quote, offered: Offered) -> list[Soil]:
    """Soils with a larger friction angle than the fill has, that may go back and have a price."""
    now = failing.job.soils.fill or failing.job.soils.retained
    if now is None or not _has_price(failing.prices, IMPORT_FILL):
        return []
    better = (
        soil
        for soil in offered.soils
        if soil.friction_angle_rad > now.friction_angle_rad and soil.reusable
    )
    return sorted(better, key=lambda soil: (soil.friction_angle_rad, soil.id))[-MOST_FILLS:]


def _fewer_courses(failing: Quote) -> Iterator[Alternative]:
    """Walls that fail, lowered by a course at a time until no check fails."""
    job = failing.job
    names = _failing_walls(failing.screening, job)
    for _ in range(MOST_COURSES_LESS):
        job = replace(
            job,
            walls=tuple(
                raised(wall, -job.system.standard.height_m) if wall.name in names else wall
                for wall in job.walls
            ),
        )
        try:
            screening = screen(job, lay_out_walls(job))
        except QuoteFaultsError:
            return
        names = _failing_walls(screening, job)
        if not _fails(screening, job):
            if _can_be_dug(job, screening):
                yield Alternative(changes=("fewer_courses",), job=job)
            return


def _deeper_units(failing: Quote, offered: Offered) -> Iterator[Alternative]:
    """Systems of deeper units that have prices and pass as asked, the least deep first."""
    job, prices = failing.job, failing.prices
    deeper = (
        system
        for system in offered.systems
        if system.standard.depth_m > job.system.standard.depth_m
        and all(
            _has_price(prices, unit.item)
            for unit in (system.standard, system.corner, system.cap)
            if unit
        )
    )
    ordered = sorted(deeper, key=lambda system: (system.standard.depth_m, system.id))
    for system in islice(ordered, MOST_SYSTEMS):
        changed = replace(job, system=system)
        if _passes(changed):
            yield Alternative(changes=("deeper_units",), job=changed)


def _first_passing(job: Job, sets: Iterable[Sequence[_Edit]]) -> Alternative | None:
    """The first set of changes with which no check fails."""
    for edits in sets:
        changed = job
        for edit in edits:
            changed = edit.of(changed)
        if _passes(changed):
            return Alternative(changes=tuple(edit.change for edit in edits), job=changed)
    return None


def _passes(job: Job) -> bool:
    """Whether the job can be laid out and dug, and no check fails."""
    try:
        screening = screen(job, lay_out_walls(job))
    except QuoteFaultsError:
        return False
    return (
        not _fails(screening, job) and _knows_stability(screening) and _can_be_dug(job, screening)
    )


def _can_be_dug(job: Job, screening: Screening) -> bool:
    """Whether its earthwork can be counted, with the layers that are quoted."""
    layers = screening.reinforcement if job.reinforcing in QUOTED else ()
    try:
        dig(job, lay_out_walls(job), layers)
    except QuoteFaultsError:
        return False
    return True


def _knows_stability(screening: Screening) -> bool:
    """Whether its walls could be checked: no weight of the units, no answer."""
    return all(wall.tallest_courses is not None for wall in screening.walls)


def _fails(screening: Screening, job: Job) -> bool:
    return bool(_failing_walls(screening, job))


def _failing_walls(screening: Screening, job: Job) -> frozenset[str]:
    """Names of walls with a failing check, as they are quoted."""
    checks = screening.checks(reinforced=job.reinforcing in QUOTED)
    return frozenset(check.wall for check in checks if check.failed)


def _has_price(prices: PriceList, item: str) -> bool:
    return item in prices.items or item in prices.overrides
