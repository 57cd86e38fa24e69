"""Where the ground as it lies begins behind a wall whose fill is another soil: at the end of the
floor of its cut, along the slope that is dug (rules 13.3, 13.4 and 14.11)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from service.core.ground.groundwork import class_slope, dug_slopes
from service.core.ground.known_ground import KnownGround
from service.core.job.fact import Assumption
from service.core.job.job import Job
from service.core.job.reinforcement import WallReinforcement
from service.core.job.soil import Soil
from service.core.layout.layout import WallLayout
from service.core.measure import number
from service.core.rounding import CLOSE_M
from service.core.screening.behind import loads_behind
from service.core.screening.drawing import draw_behind
from service.core.screening.formulas.gravity import Stack
from service.core.screening.formulas.ground_lines import GroundLines, level_at
from service.core.screening.picture import CutEdge
from service.core.screening.wall_section import sections_of

Layouts = Mapping[str, WallLayout]


def cut_edges(
    job: Job,
    layouts: Layouts,
    ground: KnownGround,
    reinforcement: Sequence[WallReinforcement] = (),
) -> Mapping[str, CutEdge]:
    """The edge behind each wall, its floor as without layers; {} where one soil lies all round.

    Layers count for how deep the cut is, and with it for its slope.
    """
    retained, fill = job.soils.retained, job.soils.fill
    if retained is None or fill is None or fill == retained:
        return {}
    floor = _floor_m(job)
    return {
        name: CutEdge(floor_m=floor, slope=1 / run if run > 0 else math.inf)
        for name, run in _runs(job, layouts, retained, reinforcement, ground).items()
    }


def edge_assumptions(job: Job, layouts: Layouts, ground: KnownGround) -> Iterator[Assumption]:
    """One for each wall whose cut nobody can draw, as its ground was not measured."""
    drawn = {name for name, layout in layouts.items() if not _is_measured(layout)}
    edges = cut_edges(job, layouts, ground) if drawn else {}
    for index, wall in enumerate(job.walls):
        if wall.name in drawn and wall.name in edges:
            edge = edges[wall.name]
            run = number(1 / edge.slope, 4)
            floor = job.units.show(edge.floor_m, "length")
            yield Assumption(
                field=f"/walls/{index}/profile/0/existing_grade",
                value=f"a cut into finished ground, {run}:1 from {floor} behind the units",
                why="the soil behind the fill begins there in the checks: no existing ground is "
                "stated (rule 14.11)",
            )


def _floor_m(job: Job) -> float:
    """How far the floor reaches behind the heel without layers."""
    details, pad = job.section.excavation, job.section.leveling_pad
    room = details.working_room_m if details else 0.0
    return room + max(job.section.drainage.width_m, pad.rear_extension_m + pad.overdig_m)


def _runs(
    job: Job,
    layouts: Layouts,
    retained: Soil,
    reinforcement: Sequence[WallReinforcement],
    ground: KnownGround,
) -> Mapping[str, float]:
    """The slope of the cut behind each wall, run over rise."""
    details, of_class = job.section.excavation, class_slope(job, retained)
    own = details.cut_slope if details else None
    if own is None or of_class <= own:
        return dict.fromkeys(layouts, of_class if own is None else own)
    dug = dug_slopes(job, tuple(layouts.values()), reinforcement, ground)
    deep = {
        name: of_class if _is_deep(job, name, layouts, own, reinforcement) else own
        for name in layouts
        if name not in dug
    }
    return {**deep, **dug}


def _is_deep(
    job: Job,
    name: str,
    layouts: Layouts,
    run: float,
    reinforcement: Sequence[WallReinforcement],
) -> bool:
    """Whether a cut into finished ground is so deep that the slope of the class holds."""
    pad, unit, layout = job.section.leveling_pad, job.system.standard, layouts[name]
    reach = (each.length_m for laid in reinforcement if laid.wall == name for each in laid.layers)
    room = job.section.excavation.working_room_m if job.section.excavation else 0.0
    floor = max(_floor_m(job), max(reach, default=0.0) - unit.depth_m + room)
    most = job.jurisdiction.earth.deep_cut_m - pad.thickness_m - pad.overdig_m - CLOSE_M
    for section in sections_of(layout, loads_behind(layout, layouts, job.tiers)):
        stack = Stack(
            courses=section.courses,
            course_height_m=unit.height_m,
            depth_m=unit.depth_m,
            setback_m=job.system.setback_m,
            unit_weight_n_m3=0.0,
        )
        if _met_m(draw_behind(section, stack, 0.0).top, floor, run) >= most:
            return True
    return False


def _met_m(ground: GroundLines, floor_m: float, run: float) -> float:
    """Level at which a cut face from the end of the floor meets the ground; math.inf where it
    never does."""
    if run <= 0:
        return level_at(ground, floor_m)
    for line in ground:
        if line.to_m <= floor_m:
            continue
        start = max(line.from_m, floor_m)
        under, gain = line.at(start) - (start - floor_m) / run, 1 / run - line.slope
        if under <= 0:
            return line.at(start)
        if gain > 0 and start + under / gain <= line.to_m:
            return line.at(start + under / gain)
    return math.inf


def _is_measured(layout: WallLayout) -> bool:
    """Whether existing ground is stated along a wall."""
    return any(
        entry.existing_grade_m is not None or entry.existing_section
        for entry in layout.spec.profile
    )
