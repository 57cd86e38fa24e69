"""Layers for a wall: the widest spacing whose layers hold, and the shortest length that does.

One length along a wall, as such walls are built; rounded up to the basis' step. Preliminary, made
to be priced: a licensed engineer designs what is built.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.job import Job
from service.core.job.reinforcement import Layer, Sheet, WallReinforcement
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.rounding import CLOSE_M, tape_mark
from service.core.screening.filled_section import FilledSection
from service.core.screening.formulas.earth_pressure import PressureLimitError
from service.core.screening.layer_checks import shortest_of
from service.core.screening.layers import rows_at, rows_of, widest_step
from service.core.screening.reinforced_case import Reinforced
from service.core.screening.reinforced_screen import BY_LENGTH, BY_SPACING, passes
from service.core.screening.stack_case import StackSetting
from service.core.screening.wall_section import LoadsAt, WallSection, section_of_ends


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOut:
    """Layers of a wall, the sections they were held against, and the sections along the same
    stretches that stay a plain stack, because too little soil lies behind them."""

    reinforcement: WallReinforcement
    cases: tuple[Reinforced, ...]
    plain: tuple[WallSection, ...]


def sheet_of(job: Job) -> Sheet:
    """The section's sheet. Raises QuoteFaultsError."""
    item = job.section.reinforcement_item
    if item is None:
        fault = Fault(
            code="reinforcement-not-in-section",
            at=("screening", "reinforcement"),
            message=f"section {job.section.id} names no sheet to reinforce with",
            hint="a section with a [reinforcement] table, or reinforcement none",
        )
        raise QuoteFaultsError([fault])
    material = job.materials.get(item)
    if material is None or material.reinforcement is None:
        fault = Fault(
            code="reinforcement-data-missing",
            at=("section",),
            message=f"materials/{item} holds no [reinforcement] table with the sheet's strength",
            hint="the maker's ultimate strength, reduction factors and roll size",
        )
        raise QuoteFaultsError([fault])
    return material.reinforcement


def lay_out_layers(
    layout: WallLayout,
    stretches: Sequence[Stretch],
    ground: StackSetting,
    sheet: Sheet,
    item: str,
    loads_at: LoadsAt,
) -> LaidOut | None:
    """Layers along the stretches that need them; None where none can be laid (one course).

    Where nothing passes within the basis' bounds, the closest spacing and the longest layers
    tried stand, and the checks say that they fail.
    """
    rules, unit = ground.basis.layers, ground.system.standard
    pieces = [piece for stretch in stretches for piece in _pieces(layout, stretch)]
    if not pieces:
        return None
    standing = _standing(layout, pieces, ground, loads_at)
    lowest, highest = min(each.base for each in pieces), max(each.top_joint for each in pieces)
    joints: list[tuple[int, ...]] = []
    cases: tuple[Reinforced, ...] = ()
    for step in range(widest_step(rules, unit.height_m, unit.depth_m), 0, -1):
        rows = rows_of(lowest, highest, step)
        joints = [_joints(layout, piece, rows, ground) for piece in pieces]
        cases = tuple(_cases(standing, joints, sheet))
        if all(passes(case, BY_SPACING) for case in cases):
            break
    if not cases:
        return None
    cases = _lengthened(cases)
    bare = (piece for piece, rows in zip(pieces, joints, strict=True) if not rows)
    return LaidOut(
        reinforcement=WallReinforcement(
            wall=layout.name,
            item=item,
            layers=_layers(pieces, joints, cases[0].length_m),
            soil_between_m=rules.soil_between_m,
        ),
        cases=cases,
        plain=tuple(each for piece in bare for each in section_of_ends(layout, piece, loads_at)),
    )


def _pieces(layout: WallLayout, stretch: Stretch) -> Iterator[Stretch]:
    """A stretch in pieces along which back grade crosses no joint: each takes the same rows."""
    grid, whole = layout.grid, stretch.interval
    start, finish = whole.start.back_m, whole.finish.back_m
    joints = range(
        max(grid.at_or_above(min(start, finish)), stretch.base),
        min(grid.at_or_below(max(start, finish)), stretch.top_joint) + 1,
    )
    crossed = sorted(
        whole.from_m + (grid.level_m(joint) - start) / (finish - start) * whole.length_m
        for joint in joints
        if abs(finish - start) > CLOSE_M
    )
    last = whole.from_m
    for station in crossed:
        if station - last > CLOSE_M and whole.to_m - station > CLOSE_M:
            yield replace(stretch, interval=whole.part(last, station))
            last = station
    yield replace(stretch, interval=whole.part(last, whole.to_m))


def _joints(
    layout: WallLayout, piece: Stretch, rows: Sequence[int], ground: StackSetting
) -> tuple[int, ...]:
    """Joints that take a layer: a course of soil at least lies over each (common practice).

    What stands higher than the soil behind it needs no layer.
    """
    unit, rules = ground.system.standard, ground.basis.layers
    backs = (piece.interval.start.back_m, piece.interval.finish.back_m)
    top = min(piece.top_joint, layout.grid.at_or_above(max(backs)))
    highest = min(piece.top_joint, layout.grid.at_or_below(min(backs))) - 1
    return rows_at(rows, piece.base, top, highest, rules, unit.height_m, unit.depth_m)


def _standing(
    layout: WallLayout, pieces: Sequence[Stretch], ground: StackSetting, loads_at: LoadsAt
) -> list[tuple[FilledSection, ...]]:
    """Sections at the ends of each piece; those that stand alike are one, the first of them."""
    known: dict[tuple[object, ...], FilledSection] = {}
    return [
        tuple(
            known.setdefault(section.alike, FilledSection(ground=ground, section=section))
            for section in section_of_ends(layout, piece, loads_at)
        )
        for piece in pieces
    ]


def _cases(
    standing: Sequence[Sequence[FilledSection]], joints: Sequence[tuple[int, ...]], sheet: Sheet
) -> Iterator[Reinforced]:
    """Each distinct section with each set of rows that it takes, the layers as short as may be."""
    sections = zip(standing, joints, strict=True)
    for filled, rows in dict.fromkeys((each, rows) for ends, rows in sections for each in ends):
        if rows:
            least = filled.ground.basis.layers.shortest_m
            yield Reinforced(filled=filled, sheet=sheet, joints=rows, length_m=least)


def _lengthened(cases: Sequence[Reinforced]) -> tuple[Reinforced, ...]:
    """With the shortest length that every section passes with, in steps."""
    rules = cases[0].ground.basis.layers
    step = rules.length_step_m
    length = tape_mark(max(_shortest_m(case) for case in cases) - CLOSE_M, step, up=True)
    longest = max(length, rules.longest_share * max(case.section.soil_m for case in cases))
    while True:
        tried = tuple(replace(case, length_m=length) for case in cases)
        if length >= longest - CLOSE_M or all(passes(case, BY_LENGTH) for case in tried):
            return tried
        length += step


def _shortest_m(case: Reinforced) -> float:
    """Least length of a section: the basis' share of its height, its least, and so much beyond
    the failure plane at every layer."""
    rules, load = case.ground.basis.layers, case.section.load
    share = rules.shortest_share_sloping if load.steepest > 0 else rules.shortest_share
    return max(rules.shortest_m, share * case.section.soil_m, _anchored_m(case))


def _anchored_m(case: Reinforced) -> float:
    """Length that leaves the basis' anchorage beyond the failure plane at every layer; 0 where no
    plane stands: there every check fails at any length."""
    try:
        return max(shortest_of(case, each) for each in case.elevations_m)
    except PressureLimitError:
        return 0.0


def _layers(
    pieces: Sequence[Stretch], joints: Sequence[tuple[int, ...]], length_m: float
) -> tuple[Layer, ...]:
    """Layers by joint, neighboring pieces with the same row in one."""
    found: list[Layer] = []
    for joint in sorted({joint for rows in joints for joint in rows}):
        for piece, rows in zip(pieces, joints, strict=True):
            if joint not in rows:
                continue
            last = found[-1] if found else None
            if last and last.joint == joint and abs(last.to_m - piece.from_m) < CLOSE_M:
                found[-1] = replace(last, to_m=piece.to_m)
            else:
                found.append(
                    Layer(from_m=piece.from_m, to_m=piece.to_m, joint=joint, length_m=length_m)
                )
    return tuple(found)
