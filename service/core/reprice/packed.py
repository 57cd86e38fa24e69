"""A quote's pricing packed into compact scaled integers (packed_format.py says the form).

Everything that depends on a price list later is kept in a way that leaves nothing to think about:
amounts exact, shares as fractions, the roll-up that the quote was issued with.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

import numpy as np

from service.core.fraction import Fraction
from service.core.job.line_order import in_order
from service.core.job.price_list import PACK, ItemPrice
from service.core.job.terms import Extra
from service.core.labor.hours import CrewTime, Labor
from service.core.price.delivery import PALLET
from service.core.price.price import Price
from service.core.reprice import packed_format as form
from service.core.reprice.packed_header import (
    PricingIrregularError,
    Records,
    bounded,
    keep_price,
    keep_terms,
    scaled,
)
from service.core.reprice.packed_line import InUnit, PackedLine, exact_decimal, sum_of
from service.core.reprice.packed_machines import machine_lines
from service.core.reprice.pricing_inputs import PricingInputs
from service.core.takeoff.haulage import haul_orders
from service.core.takeoff.quantities import QuantityLine, ordered_line


def pack_inputs(inputs: PricingInputs, price: Price) -> bytes:
    """The packed pricing of a quote that was priced at `price`.

    A quote that can't be packed (an item paid in two units at once, sums beyond 2^62) is marked
    so, and its roll-up is kept all the same.
    """
    header = np.zeros((), form.HEADER)
    header["format"] = form.FORMAT
    header["places"] = inputs.minor_places
    header["currency"] = inputs.currency.encode("ascii")
    keep_price(header, price, inputs.minor_places)
    try:
        sections = _sections(inputs)
        keep_terms(header, inputs)
    except PricingIrregularError:
        header["flags"] = form.IRREGULAR
        return header.tobytes()
    for name, section in zip(form.COUNTED, sections, strict=True):
        header[name] = len(section)
    return header.tobytes() + b"".join(section.tobytes() for section in sections)


def _sections(inputs: PricingInputs) -> tuple[Records, ...]:
    """Lines in the order of the price, and what belongs to some of them."""
    machines = machine_lines(inputs.labor)
    lines = in_order(
        [
            *(_material(_as_packed(line, inputs)) for line in inputs.lines),
            *_crews(inputs.labor, inputs.currency),
            *(machines.lines[item] for item in sorted(machines.lines)),
            *(_extra(extra, inputs.minor_places) for extra in inputs.extras),
        ]
    )
    if not lines or len(lines) >= form.NO_LINE:
        raise PricingIrregularError
    places = {line.item: at for at, line in enumerate(lines) if line.hired}
    hires = [
        (places[day], form.NO_LINE if week is None else places[week], days, week_days)
        for day, week, days, week_days in machines.hires
    ]
    rows, others, owns = _rows(lines, inputs)
    return (
        np.array(rows, form.LINE),
        np.array(others, form.OTHER),
        np.array(owns, form.OWN_PRICE),
        np.array(hires, form.HIRE),
    )


def _rows(
    lines: Sequence[PackedLine], inputs: PricingInputs
) -> tuple[list[tuple[int, ...]], list[tuple[int, ...]], list[tuple[int, ...]]]:
    rows: list[tuple[int, ...]] = []
    others: list[tuple[int, ...]] = []
    owns: list[tuple[int, ...]] = []
    for at, line in enumerate(lines):
        own = line.own
        if line.item in inputs.overrides and (own is None or own[1] != form.FIXED):
            own = _override(inputs.overrides[line.item])
        if own:
            owns.append((_scaled_cost(own[0].unit_cost), form.unit_code(own[0].per), own[1]))
        (unit, amount), *more = line.amounts
        whole, places = scaled(amount)
        codes = (form.GROUP_CODES.index(line.group), form.KIND_CODES.index(line.kind))
        number = len(owns) if own else 0
        key = form.item_key(line.item)
        rows.append(
            (key, whole, places, form.unit_code(unit), *codes, number, 1 if line.hired else 0)
        )
        for other_unit, other in more:
            part, other_places = scaled(other)
            others.append((at, form.unit_code(other_unit), other_places, part))
        others += _goods(at, line)
    return rows, others, owns


def _override(price: ItemPrice) -> tuple[ItemPrice, int]:
    """A price for this quote, and whether it names who sells the item."""
    return price, form.OVERRIDE if price.supplier is None else form.NAMED_OVERRIDE


def _goods(at: int, line: PackedLine) -> Iterator[tuple[int, ...]]:
    """What freight is counted by."""
    if line.stock:
        yield at, form.STOCK, 0, 1
        return
    if line.mass_kg:
        yield at, form.MASS, 0, int(np.float64(line.mass_kg).view(np.int64))
    if line.pallets:
        yield at, form.PALLETS, 0, line.pallets


def _scaled_cost(cost: Decimal) -> int:
    scaled = Fraction(cost) * 10**form.UNIT_COST_PLACES
    if scaled.denominator != 1:
        raise PricingIrregularError
    return bounded(scaled.numerator)


def _as_packed(line: QuantityLine, inputs: PricingInputs) -> QuantityLine:
    """A line without what a price list says of its stock: quotes on a list that has an item in
    stock go the ordinary way."""
    if line.ways is None:
        return line
    own = inputs.overrides.get(line.item)
    way = line.ways.charged if own and own.stock else line.ways.bought
    return line if way.stock == line.stock else ordered_line(line, way)


def _material(line: QuantityLine) -> PackedLine:
    """Something bought; what comes in packs may be priced by the pack or by what is in it, what
    trucks carry by volume, weight or load."""
    amounts: tuple[InUnit, ...] = ((line.order_unit, line.order),)
    if line.haulage is not None:
        amounts = tuple((each.unit.symbol, each.amount) for each in haul_orders(line.haulage))
    elif line.sold_per == PACK:
        amounts = ((PACK, line.order), *amounts)
        if line.pack_unit is not None and line.pack_content is not None:
            content = Fraction(line.order) * Fraction(line.pack_content)
            amounts = (*amounts, (line.pack_unit, exact_decimal(content)))
    pallets = line.packs[0] if line.packs and line.packs[1] == PALLET else 0
    return PackedLine(
        item=line.item,
        group=line.group,
        kind=line.kind,
        amounts=amounts,
        stock=line.stock,
        mass_kg=line.weight_kg or 0.0,
        pallets=pallets,
    )


def _crews(labor: Labor | None, currency: str) -> list[PackedLine]:
    """One line for all crews of one item: paid hours, or days of a person."""
    wages = labor is not None and labor.wage_currency in (None, currency)
    by_item: dict[str, list[CrewTime]] = {}
    for crew in labor.crews if labor else ():
        by_item.setdefault(crew.item, []).append(crew)
    return [_crew(item, by_item[item], wages=wages) for item in sorted(by_item)]


def _crew(item: str, crews: Sequence[CrewTime], *, wages: bool) -> PackedLine:
    paid = sum_of(crew.paid_hours for crew in crews)
    days = sum_of(crew.person_days for crew in crews)
    costs = list(dict.fromkeys(crew.hour_cost for crew in crews))
    own = None
    if wages and len(costs) == 1 and costs[0] is not None:
        own = (ItemPrice(unit_cost=costs[0], per="h"), form.WAGE)
    amounts = (("h", paid), ("day", days))
    return PackedLine(item=item, group="labor", kind="labor", amounts=amounts, own=own)


def _extra(extra: Extra, places: int) -> PackedLine:
    """A sum as it stands is so many minor units at 1."""
    cost = exact_decimal(Fraction(extra.cost))
    if (Fraction(cost) * 10**places).denominator != 1:
        raise PricingIrregularError
    return PackedLine(
        item="",
        group="extras",
        kind=extra.kind,
        amounts=(("each", cost),),
        own=(ItemPrice(unit_cost=Decimal(1), per="each"), form.FIXED),
    )
