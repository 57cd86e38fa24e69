"""The takeoff: what is bought, and what work is measured by. Rules 6 to 12."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.line_order import in_order, line_place
from service.core.job.machine import HandStrip
from service.core.job.material import Material
from service.core.job.reinforcement import WallReinforcement
from service.core.job.section import Group, Section
from service.core.job.wall_system import WallSystem
from service.core.layout.caps import offset_fault
from service.core.layout.corner import PlanOffsetError
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M, same_lengths
from service.core.shares import Shares, add_up
from service.core.takeoff.measured import measure_strip, measure_walls
from service.core.takeoff.need import Need
from service.core.takeoff.ordering import order_ways
from service.core.takeoff.quantities import Quantities, QuantityLine
from service.core.takeoff.sheets import measure_sheets
from service.core.takeoff.uses import OUTLET, UNIT_KINDS, Use, count_uses, reinforcement_use


def take_off(
    layouts: Sequence[WallLayout],
    system: WallSystem,
    section: Section,
    materials: Mapping[str, Material],
    units: UnitSet,
    reinforcement: Sequence[WallReinforcement] = (),
    uses: Sequence[Use] | None = None,
) -> Quantities:
    """Quantities of all walls, one line per item, in order (rule 17); the order of the walls
    changes nothing. `reinforcement` are the layers of those walls that have any; `uses` are what
    the walls need without layers (`uses_of`), where somebody has counted it.

    Raises QuoteFaultsError where a material file can't sell what is counted.
    """
    by_name = sorted(layouts, key=lambda layout: layout.name)
    counted = uses_of(layouts, system, section, units) if uses is None else uses
    needed = [
        *counted,
        *_reinforcement_uses(by_name, reinforcement, materials, units),
    ]
    lines = tuple(_line(of_line, system, section, materials, units) for of_line in _by_item(needed))
    return Quantities(
        lines=lines,
        measured=measure_walls(by_name, needed, lines, section),
        delivered_kg=math.fsum(line.weight_kg or 0.0 for line in lines),
        not_weighed=tuple(line.item for line in lines if line.weight_kg is None),
    )


def with_lines(quantities: Quantities, lines: Sequence[QuantityLine]) -> Quantities:
    """The quantities with further lines, in order (rule 17)."""
    return replace(quantities, lines=in_order((*quantities.lines, *lines)))


def with_strip(
    quantities: Quantities, layouts: Sequence[WallLayout], strip: HandStrip | None
) -> Quantities:
    """The quantities with what is compacted by hand behind the units, if anything is."""
    if strip is None:
        return quantities
    measured = measure_strip(quantities.measured, layouts, strip.width_m)
    return replace(quantities, measured=measured)


def _replace_outlet(uses: Sequence[Use], section: Section, run_priced: bool) -> Iterator[Use]:
    """The uses, one outlet's pipe less where its run is priced: of the first wall that has one."""
    pipe = section.pipe if run_priced else None
    for use in uses:
        if pipe and use.kind is OUTLET:
            left, pipe = use.amount - pipe.outlet_length_m, None
            if left > CLOSE_M:
                yield replace(use, amount=left, how=f"{use.how}, less one that the run replaces")
        else:
            yield use


def uses_of(
    layouts: Sequence[WallLayout],
    system: WallSystem,
    section: Section,
    units: UnitSet,
    *,
    run_priced: bool = False,
) -> tuple[Use, ...]:
    """What all walls need without layers, by the walls' names; the faults of all of them at
    once. A run that is priced takes the place of one outlet's pipe."""
    uses, faults = [], []
    for index, layout in sorted(enumerate(layouts), key=lambda pair: pair[1].name):
        try:
            uses += [use for use in count_uses(layout, system, section, units) if use.amount > 0]
        except PlanOffsetError as error:
            fault = offset_fault("pad, pipe or reinforcement", error)
            faults.append(replace(fault, at=("walls", index, *fault.at)))
    if faults:
        raise QuoteFaultsError(faults)
    return tuple(_replace_outlet(uses, section, run_priced))


def _reinforcement_uses(
    layouts: Sequence[WallLayout],
    reinforcement: Sequence[WallReinforcement],
    materials: Mapping[str, Material],
    units: UnitSet,
) -> Iterator[Use]:
    """The sheets of every wall that has layers."""
    by_wall = {each.wall: each for each in reinforcement if each.layers}
    for layout in layouts:
        wanted = by_wall.get(layout.name)
        if wanted is None:
            continue
        material = materials.get(wanted.item)
        if material is None or material.reinforcement is None:
            raise QuoteFaultsError([_no_sheet(wanted.item)])
        width = material.reinforcement.roll_width_m
        laid = measure_sheets(layout, wanted.layers, width)
        yield reinforcement_use(layout, wanted, laid, width, units)


def _no_sheet(item: str) -> Fault:
    return Fault(
        code="reinforcement-data-missing",
        at=("section",),
        message=f"{item} is to be laid as reinforcement, but no material file says how wide and "
        "long its rolls are",
        hint=f"the table [reinforcement] in the file of {item}",
    )


def _cuts(uses: Sequence[Use]) -> tuple[tuple[float, int], ...]:
    """Pieces over all walls by length, longest first."""
    counts: dict[int, tuple[float, int]] = {}
    for length, count in (cut for use in uses for cut in use.cuts):
        size = same_lengths(length)
        longest, so_far = counts.get(size, (length, 0))
        counts[size] = max(longest, length), so_far + count
    return tuple(counts[size] for size in sorted(counts, reverse=True))


def _by_item(uses: Sequence[Use]) -> tuple[list[Use], ...]:
    """Uses item by item, in the order of the items' lines."""
    of_line: dict[tuple[Group, str], list[Use]] = {}
    for use in sorted(uses, key=_place):
        of_line.setdefault((use.kind.group, use.item), []).append(use)
    return tuple(of_line.values())


def _place(use: Use) -> tuple[int, str, int]:
    """The place of a use's line; units stand as standard, corner, cap (rule 17.2)."""
    role = UNIT_KINDS.index(use.kind) if use.kind in UNIT_KINDS else 0
    return (*line_place(use.kind.group, use.item), role)


def _title(use: Use, system: WallSystem) -> str:
    return f"{system.title}: {use.kind.title}" if use.unit else use.kind.title


def _line(
    uses: list[Use],
    system: WallSystem,
    section: Section,
    materials: Mapping[str, Material],
    units: UnitSet,
) -> QuantityLine:
    first, material = uses[0], materials.get(uses[0].item)
    need = Need(
        item=first.item,
        group=first.kind.group,
        net=math.fsum(use.amount for use in uses),
        dimension=first.kind.dimension,
        waste=section.waste.get(first.kind.group, Decimal(0)),
        piece_kg=first.unit.weight_kg if first.unit else None,
        per_pallet=first.unit.per_pallet if first.unit else None,
        cuts=_cuts(uses),
    )
    ways = order_ways(need, material, units)
    ordered = ways.bought
    return QuantityLine(
        item=need.item,
        description=material.title if material else _title(first, system),
        group=need.group,
        net=need.net,
        dimension=need.dimension,
        waste=need.waste,
        order=ordered.order,
        order_unit=ordered.order_unit,
        sold_per=ordered.sold_per,
        shares=_shares(uses),
        how=(*(use.how for use in uses), *ordered.how),
        packs=ordered.packs,
        weight_kg=ordered.weight_kg,
        pack_content=ordered.pack_content,
        pack_unit=ordered.pack_unit,
        pack_word=ordered.pack_word,
        increment_assumed=ordered.increment_assumed,
        ways=ways,
        stock=ordered.stock,
    )


def _shares(uses: Sequence[Use]) -> Shares:
    return add_up((use.wall, use.amount) for use in uses)
