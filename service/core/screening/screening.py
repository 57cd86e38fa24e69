"""Does it stand: the published checks over all walls of a job. A first look, never a design."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import assert_never

from service.core.errors import QuoteFaultsError
from service.core.ground.known_ground import KnownGround, ground_of
from service.core.job.basis import Basis, CheckName
from service.core.job.job import Job
from service.core.job.reinforcement import Sheet, WallReinforcement
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.screening.behind import loads_behind
from service.core.screening.check import Check, in_order, not_checked
from service.core.screening.check_table import CHECK_TABLE
from service.core.screening.cut_edge import cut_edges
from service.core.screening.gravity_screen import (
    STACK_ROWS,
    fails_as_stack,
    screen_gravity,
)
from service.core.screening.loads import counted_above
from service.core.screening.picture import CutEdge
from service.core.screening.reinforced_layout import lay_out_layers, sheet_of
from service.core.screening.reinforced_screen import screen_reinforced
from service.core.screening.soil_figures import SoilFigures, soil_figures
from service.core.screening.stack_case import StackSetting
from service.core.screening.tier_screen import tier_faults
from service.core.screening.wall_screening import PlainStack, WallScreening
from service.core.screening.wall_section import (
    Loading,
    LoadsAt,
    WallSection,
    section_of_ends,
    sections_of,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Screening:
    """Checks of all walls as plain stacks, of tiers, slope and water, and layers by wall."""

    basis: Basis
    plain_checks: tuple[Check, ...]
    other_checks: tuple[Check, ...]
    walls: tuple[WallScreening, ...]

    @property
    def reinforcement(self) -> tuple[WallReinforcement, ...]:
        """Layers of all walls that have some."""
        return tuple(wall.reinforcement for wall in self.walls if wall.reinforcement)

    def checks(self, *, reinforced: bool) -> tuple[Check, ...]:
        """Checks of the job as built: with layers, or every wall as a plain stack."""
        names = [wall.wall for wall in self.walls]
        held = {wall.wall for wall in self.walls if reinforced and wall.reinforcement}
        plain = [check for check in self.plain_checks if check.wall not in held]
        layers = [c for wall in self.walls if wall.wall in held for c in wall.reinforced_checks]
        return in_order([*plain, *layers, *self.other_checks], names)


_Screened = tuple[tuple[Check, ...], WallScreening]
"""Checks of a wall as a plain stack, and what was found for it."""


def screen(job: Job, layouts: Sequence[WallLayout], ground: KnownGround | None = None) -> Screening:
    """Screen all walls of a job; `ground` is its own, where somebody knows it.

    Raises QuoteFaultsError where a wall stands on another, and where layers are asked for and the
    section names no sheet, or the sheet's file holds no strength.
    """
    by_name = {layout.name: layout for layout in layouts}
    if faults := tuple(tier_faults(job, by_name)):
        raise QuoteFaultsError(faults)
    soils = _soils(job)
    sheet = sheet_of(job) if job.reinforcing != "none" else None
    walls = _screen_walls(job, by_name, soils, sheet, ground or ground_of(job))
    beside = (
        check
        for row in CHECK_TABLE.values()
        if row.beside
        for check in row.beside(row, job, by_name, _of_lower(walls))
    )
    return Screening(
        basis=job.basis,
        plain_checks=tuple(check for plain, _ in walls for check in plain),
        other_checks=tuple(beside),
        walls=tuple(wall for _, wall in walls),
    )


def _of_lower(walls: Sequence[_Screened]) -> tuple[Check, ...]:
    """Checks of each wall as it may be built: with its layers where it has some."""
    return tuple(
        check
        for plain, wall in walls
        for check in (wall.reinforced_checks if wall.reinforcement else plain)
    )


def _screen_walls(
    job: Job,
    layouts: Mapping[str, WallLayout],
    soils: SoilFigures | None,
    sheet: Sheet | None,
    ground: KnownGround,
) -> list[_Screened]:
    """All walls; those with layers once more where these let the cut be dug at another slope."""

    def screened(edges: Mapping[str, CutEdge]) -> list[_Screened]:
        places = range(len(job.walls))
        return [_screen_wall(job, place, layouts, soils, sheet, edges) for place in places]

    edges = cut_edges(job, layouts, ground)
    walls = screened(edges)
    laid = [wall.reinforcement for _, wall in walls if wall.reinforcement]
    behind = cut_edges(job, layouts, ground, laid) if laid else edges
    if behind == edges:
        return walls
    return [
        (plain, replace(wall, stack=before.stack))
        for (plain, before), (_, wall) in zip(walls, screened(behind), strict=True)
    ]


def _screen_wall(
    job: Job,
    index: int,
    layouts: Mapping[str, WallLayout],
    soils: SoilFigures | None,
    sheet: Sheet | None,
    edges: Mapping[str, CutEdge],
) -> _Screened:
    layout = layouts[job.walls[index].name]
    ground = _ground(job, layout, soils, edges.get(layout.name))
    if ground is None:
        return _nothing_known(job, layout), WallScreening(wall=layout.name)
    loads_at = loads_behind(layout, layouts, job.tiers)
    assumed = _assumed(job, index, layout)
    sections = sections_of(layout, loads_at)
    plain = screen_gravity(sections, ground, layout.name, assumed)
    laid: WallReinforcement | None = None
    checks: tuple[Check, ...] = ()
    if sheet is not None:
        laid, checks = _reinforce(job, layout, ground, sheet, loads_at, assumed)
    return plain, WallScreening(
        wall=layout.name,
        stack=PlainStack(ground=ground, loads=_highest_loads(sections)),
        reinforcement=laid,
        reinforced_checks=checks,
    )


def _highest_loads(sections: Sequence[WallSection]) -> tuple[Loading, ...]:
    """What stands behind the highest section, without the ground that was there."""
    highest = max((section.soil_m for section in sections), default=0.0)
    return tuple(
        dict.fromkeys(
            replace(section.load, existing=()) for section in sections if section.soil_m == highest
        )
    )


def _reinforce(
    job: Job,
    layout: WallLayout,
    ground: StackSetting,
    sheet: Sheet,
    loads_at: LoadsAt,
    assumed: Mapping[CheckName, tuple[str, ...]],
) -> tuple[WallReinforcement | None, tuple[Check, ...]]:
    """Layers for a wall, and the checks of it with them: of what stays a plain stack beside or
    between them, too."""
    stretches, item = _to_reinforce(job, layout, ground, loads_at), job.section.reinforcement_item
    held = frozenset(stretches)
    laid = lay_out_layers(layout, stretches, ground, sheet, item or "", loads_at)
    if laid is None:
        return None, ()
    others = [each for each in layout.stretches if each not in held]
    sections = [each for other in others for each in section_of_ends(layout, other, loads_at)]
    plain = [section for section in (*sections, *laid.plain) if section.soil_m > 0]
    beside = screen_gravity(plain, ground, layout.name, assumed) if plain else ()
    return laid.reinforcement, (*beside, *screen_reinforced(laid.cases, layout.name, assumed))


def _to_reinforce(
    job: Job, layout: WallLayout, ground: StackSetting, loads_at: LoadsAt
) -> tuple[Stretch, ...]:
    """All stretches, or those where a plain stack fails at either end."""
    match job.reinforcing:
        case "all":
            return layout.stretches
        case "none":
            return ()
        case "compare" | "where_needed":
            return tuple(
                stretch
                for stretch in layout.stretches
                if any(
                    fails_as_stack(section, ground)
                    for section in section_of_ends(layout, stretch, loads_at)
                )
            )
        case other:
            assert_never(other)


def _soils(job: Job) -> SoilFigures | None:
    if job.soils.retained is None:
        return None
    return soil_figures(
        job.soils.retained, job.soils.foundation, job.soils.fill, job.section, job.basis
    )


def _ground(
    job: Job, layout: WallLayout, soils: SoilFigures | None, cut: CutEdge | None
) -> StackSetting | None:
    """What the wall is held against; None where soil or weight of the units are not known."""
    weight = job.system.in_place_weight_n_m3
    if soils is None or weight is None:
        return None
    return StackSetting(
        system=job.system,
        unit_weight_n_m3=weight,
        soils=soils,
        pad_m=job.section.leveling_pad.thickness_m,
        front_slope=layout.spec.front_slope,
        basis=job.basis,
        units=job.units,
        cut=cut,
        working_room_m=job.section.excavation.working_room_m if job.section.excavation else 0.0,
    )


def _nothing_known(job: Job, layout: WallLayout) -> tuple[Check, ...]:
    """No check of the stack can be made: what is missing for all of them."""
    missing = []
    if job.soils.retained is None:
        missing.append("/soils/retained: the soil behind the wall")
    if job.system.in_place_weight_n_m3 is None:
        missing.append(f"wall_systems/{job.system.id}: in_place.unit_weight")
    return tuple(
        not_checked(row, layout.name, missing, _source(job.basis, row.name))
        for row, _ in STACK_ROWS
    )


def _assumed(job: Job, index: int, layout: WallLayout) -> dict[CheckName, tuple[str, ...]]:
    """Pointers of what each check rests on: defaults where the caller left them out, and loads
    near the wall that are a case for an engineer."""
    left_out = [assumption.field for assumption in job.assumptions]
    loads = tuple(_engineer_loads(job, index, layout))
    return {
        row.name: (
            *(field for field in row.pointers(index) if field in left_out),
            *(loads if row.of_a_wall else ()),
        )
        for row in CHECK_TABLE.values()
    }


def _engineer_loads(job: Job, index: int, layout: WallLayout) -> Iterator[str]:
    """Pointers of loads that are a case for an engineer, within the reach of the highest wall."""
    height, reach = layout.max_wall_height_m, job.basis.beside.load_reach
    near = [*counted_above(layout.spec, height, reach)]
    for place, load in enumerate(layout.spec.above):
        if load.engineer and load in near:
            yield f"/walls/{index}/above/{place}"


def _source(basis: Basis, name: CheckName) -> str:
    required = basis.required(name, reinforced=False)
    return required.source if required else basis.source
