"""What site work buys, as quantity lines: one per item, together with what the walls take of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.machine import Truck
from service.core.job.material import Material
from service.core.job.site_task import SiteWorkEntry
from service.core.measure import UnitSet
from service.core.shares import Shares
from service.core.takeoff.need import Need, Ways
from service.core.takeoff.ordering import order_ways
from service.core.takeoff.quantities import QuantityLine
from service.core.takeoff.site_disposal import disposal_line
from service.core.takeoff.site_uses import (
    SiteUse,
    disposal_uses,
    less_own_topsoil,
    material_uses,
    use_fault,
)

# The share of site work beside those of walls: it is of no wall.
SITE_SHARE = ""


def site_lines(
    entries: Sequence[SiteWorkEntry],
    materials: Mapping[str, Material],
    wall_lines: Sequence[QuantityLine],
    truck: Truck | None,
    units: UnitSet,
    own_topsoil_m3: float = 0.0,
) -> tuple[QuantityLine, ...]:
    """Lines of everything that site work takes and leaves, by item, materials first; of topsoil
    what the job's own doesn't serve.

    Raises QuoteFaultsError with the faults of all items.
    """
    walls = {line.item: line for line in wall_lines if line.kind == "material"}
    uses_of = less_own_topsoil(material_uses(entries), own_topsoil_m3, units)
    takes, leaves = _by_item(uses_of), _by_item(disposal_uses(entries))
    lines: list[QuantityLine] = []
    faults = [_bought_too(leaves[item][0]) for item in leaves if item in takes or item in walls]
    for item, uses in takes.items():
        try:
            lines.append(material_line(uses, materials.get(item), walls.get(item), units))
        except QuoteFaultsError as error:
            faults += error.faults
    for item, uses in leaves.items():
        try:
            lines.append(disposal_line(uses, materials.get(item), truck, units))
        except QuoteFaultsError as error:
            faults += error.faults
    if faults:
        raise QuoteFaultsError(faults)
    return tuple(lines)


def _by_item(uses: Iterable[SiteUse]) -> Mapping[str, list[SiteUse]]:
    """Uses by item, in the order of items."""
    found: dict[str, list[SiteUse]] = {}
    for use in sorted(uses, key=lambda use: use.item):
        found.setdefault(use.item, []).append(use)
    return found


def _bought_too(use: SiteUse) -> Fault:
    return use_fault(
        use,
        "item-bought-and-tipped",
        f"{use.item} is bought and carried away in one quote: it can't have one price for both",
        "an item of its own for what is tipped, such as tip_concrete",
    )


def material_line(
    uses: Sequence[SiteUse],
    material: Material | None,
    wall_line: QuantityLine | None,
    units: UnitSet,
) -> QuantityLine:
    """The line of an item that site work takes: together with what the walls take of it, if they
    do, because an item is bought once. The largest waste of its uses holds for all of them.

    Raises QuoteFaultsError where the uses are counted in different dimensions, or the item's file
    can't sell what is counted.
    """
    dimension = wall_line.dimension if wall_line else uses[0].dimension
    mixed = [_mixed(use, dimension) for use in uses if use.dimension != dimension]
    if mixed:
        raise QuoteFaultsError(mixed)
    site = math.fsum(use.amount for use in uses)
    wastes = [use.waste for use in uses]
    need = Need(
        item=uses[0].item,
        group=wall_line.group if wall_line else "site_work",
        net=site + wall_line.net if wall_line else site,
        dimension=dimension,
        waste=max((wall_line.waste, *wastes) if wall_line else wastes),
        piece_kg=_piece_kg(wall_line),
    )
    try:
        ways = order_ways(need, material, units)
    except QuoteFaultsError as error:
        at = ("site_work", uses[0].place, "task")
        raise QuoteFaultsError(replace(fault, at=at) for fault in error.faults) from error
    title = material.title if material else uses[0].title
    words = (f"walls: {units.show(wall_line.net, dimension)}",) if wall_line else ()
    return _line(
        need,
        ways,
        description=wall_line.description if wall_line else title,
        shares=_shared(wall_line, site),
        how=(*words, *(use.how for use in uses)),
    )


def _piece_kg(wall_line: QuantityLine | None) -> float | None:
    """The weight of a piece as the wall's line has it."""
    if wall_line is None or wall_line.dimension != "count" or wall_line.order_unit != "each":
        return None
    weight = wall_line.weight_kg
    return None if weight is None else weight / float(wall_line.order)


def _shared(wall_line: QuantityLine | None, site: float) -> Shares:
    """Shares of the walls beside that of site work; site work alone is of no wall."""
    return tuple(sorted((*wall_line.shares, (SITE_SHARE, site)))) if wall_line else ()


def _line(
    need: Need, ways: Ways, *, description: str, shares: Shares, how: tuple[str, ...]
) -> QuantityLine:
    ordered = ways.bought
    return QuantityLine(
        item=need.item,
        description=description,
        group=need.group,
        net=need.net,
        dimension=need.dimension,
        waste=need.waste,
        order=ordered.order,
        order_unit=ordered.order_unit,
        sold_per=ordered.sold_per,
        shares=shares,
        how=(*how, *ordered.how),
        packs=ordered.packs,
        weight_kg=ordered.weight_kg,
        pack_content=ordered.pack_content,
        pack_unit=ordered.pack_unit,
        pack_word=ordered.pack_word,
        increment_assumed=ordered.increment_assumed,
        ways=ways,
        stock=ordered.stock,
    )


def _mixed(use: SiteUse, dimension: str) -> Fault:
    return use_fault(
        use,
        "item-counted-two-ways",
        f"{use.item} is taken by {use.dimension} here and by {dimension} elsewhere in this quote",
        f"an amount of {use.item} by {dimension} in the file of the task",
    )
