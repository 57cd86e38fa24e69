"""What is ordered where: a part for each supplier of the price list. No money at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from service.core.job.price_list import PriceList
from service.core.price.delivery import delivery_item
from service.documents.sheets import Cell, Sheet, Workbook
from service.documents.tree import Block, Column, Document, Facts, Heading, Paragraph, Row, Table
from service.documents.words import Words
from service.operations.answer_figures import Measure
from service.operations.paper.document_head import document_of, site_line
from service.operations.paper.subject import PricedSubject, Sender, Subject
from service.operations.paper.written import exact
from service.operations.quoting.answer import QuantityAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """One item of an order. `their_number` is the supplier's own; `day` the working day by which
    it is on site, None where nobody planned it."""

    line: QuantityAnswer
    their_number: str
    day: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierPart:
    """What one supplier brings; `loads` as they are charged, None where the list names none. A
    part without a name holds what the price list says no supplier of."""

    supplier: str
    items: tuple[Ordered, ...]
    loads: int | None
    lead_days: int | None


def supplier_parts(subject: PricedSubject, supplier: str | None = None) -> tuple[SupplierPart, ...]:
    """The order by supplier, in the order of the price list's words; of one alone where it is
    named."""
    prices = subject.quote.prices
    by_supplier: dict[str, list[Ordered]] = {}
    days = days_needed(subject)
    for line in subject.answer.quantities:
        named, number = _supplier_of(line.item, prices)
        if _is_ordered(line, subject) and supplier in (None, named):
            ordered = Ordered(line=line, their_number=number, day=days.get(line.item))
            by_supplier.setdefault(named, []).append(ordered)
    return tuple(
        SupplierPart(
            supplier=name,
            items=tuple(sorted(items, key=lambda entry: entry.day or 0)),
            loads=_loads(subject, name),
            lead_days=prices.delivery[name].lead_days if name in prices.delivery else None,
        )
        for name, items in sorted(by_supplier.items(), key=lambda part: (part[0] == "", part[0]))
    )


def _supplier_of(item: str, prices: PriceList) -> tuple[str, str]:
    """Who brings an item, and his own number of it: as the price for this quote says, then as the
    list does. A number is that of the supplier beside it."""
    tables = (prices.overrides, prices.items)
    told = [table[item] for table in tables if item in table]
    named = next((price.supplier for price in told if price.supplier), None)
    numbers = (price.supplier_item for price in told if price.supplier in (None, named))
    return named or "", next((number for number in numbers if number), "")


def _is_ordered(line: QuantityAnswer, subject: PricedSubject) -> bool:
    return subject.is_material(line.item) and line.stock is not True


def days_needed(subject: Subject) -> dict[str, int]:
    """The first working day on which each item is needed, where somebody planned it."""
    order = subject.answer.order_of_work
    days: dict[str, int] = {}
    for phase in order.phases if order else ():
        for item in phase.materials:
            days[item] = min(days.get(item, phase.start_day), phase.start_day)
    return days


def _loads(subject: PricedSubject, supplier: str) -> int | None:
    """Loads as the price line of the supplier's delivery counts them."""
    if supplier not in subject.quote.prices.delivery:
        return None
    name = delivery_item(supplier, subject.quote.prices)
    for line in subject.answer.price.lines:
        if line.item == name and line.quantity.unit == "load":
            return int(Decimal(line.quantity.value))
    return None


def supplier_order(
    subject: PricedSubject, sender: Sender, parts: tuple[SupplierPart, ...]
) -> Document:
    """The order on paper, a part for each supplier."""
    words = sender.words
    head = [(words.say("For job"), subject.number)] if subject.number else []
    head += [(words.say("Site"), site_line(subject))] if site_line(subject) else []
    blocks: list[Block] = [Facts(rows=tuple(head))] if head else []
    blocks.append(
        Paragraph(
            text=words.say(
                "Days are working days counted from the first day on site; please confirm them."
            ),
            tone="small",
        )
    )
    for part in parts:
        blocks += _part(part, words)
    return document_of(subject, sender, words.say("Order"), tuple(blocks))


def _part(part: SupplierPart, words: Words) -> Iterator[Block]:
    yield Heading(text=part.supplier or words.say("No supplier in the price list"))
    facts = []
    if part.loads is not None:
        facts.append((words.say("Loads"), words.figure(str(part.loads))))
    if part.lead_days is not None:
        facts.append((words.say("Order ahead"), exact(Measure(str(part.lead_days), "day"), words)))
    if facts:
        yield Facts(rows=tuple(facts))
    columns = _columns(part, words)
    yield Table(
        caption=words.say("Items to bring"),
        columns=tuple(column for column, _ in columns),
        rows=tuple(
            Row(cells=cells) for cells in zip(*(cells for _, cells in columns), strict=True)
        ),
    )


def _columns(part: SupplierPart, words: Words) -> list[tuple[Column, tuple[str, ...]]]:
    """What is said of each item; days, numbers and packs where one of the items has any."""
    items = part.items
    days = tuple(str(entry.day or "") for entry in items)
    numbers = tuple(entry.their_number for entry in items)
    packs = tuple(exact(e.line.packs, words) if e.line.packs else "" for e in items)
    return [
        (column, cells)
        for column, cells in (
            (Column(title=words.say("By day"), align="end", share=0.8), days),
            (Column(title=words.say("Your number"), share=1.2), numbers),
            (
                Column(title=words.say("Item"), share=3.2),
                tuple(words.say_data(entry.line.description) or entry.line.item for entry in items),
            ),
            (
                Column(title=words.say("Quantity"), align="end", share=1.2),
                tuple(exact(entry.line.order, words) for entry in items),
            ),
            (Column(title=words.say("Packs"), align="end", share=1.1), packs),
            (
                Column(title=words.say("Weight"), align="end", share=1.2),
                tuple(exact(e.line.weight, words) if e.line.weight else "" for e in items),
            ),
        )
        if any(cells)
    ]


def order_workbook(
    subject: PricedSubject, sender: Sender, parts: tuple[SupplierPart, ...]
) -> Workbook:
    """The order as one sheet: a row for each item, its supplier in the first column."""
    words = sender.words
    titles = (
        words.say("Supplier"),
        words.say("By day"),
        words.say("Your number"),
        words.say("Our number"),
        words.say("Item"),
        words.say("Quantity"),
        words.say("Unit"),
        words.say("Packs"),
        words.say("Pack"),
        words.say("Weight"),
        words.say("Unit of weight"),
    )
    rows = tuple(_sheet_row(part, entry, words) for part in parts for entry in part.items)
    sheet = Sheet(
        name=words.say("Order"),
        titles=titles,
        rows=rows,
        widths=(22, 8, 14, 24, 48, 10, 8, 8, 8, 10, 8),
    )
    title = " ".join(part for part in (words.say("Order"), subject.number) if part)
    return Workbook(
        title=title,
        author=sender.company.name,
        money=words.money_marks(subject.currency),
        sheets=(sheet,),
    )


def _sheet_row(part: SupplierPart, entry: Ordered, words: Words) -> tuple[Cell, ...]:
    line = entry.line
    return (
        Cell(value=part.supplier),
        Cell(value=Decimal(entry.day), shown="number", places=0) if entry.day else Cell(value=""),
        Cell(value=entry.their_number),
        Cell(value=line.item),
        Cell(value=words.say_data(line.description)),
        *_measured(line.order),
        *_measured(line.packs or None),
        *_measured(line.weight or None),
    )


def _measured(measure: Measure | None) -> tuple[Cell, Cell]:
    if measure is None:
        return Cell(value=""), Cell(value="")
    value = Decimal(measure.value)
    places = max(0, -int(value.as_tuple().exponent))
    return Cell(value=value, shown="number", places=places), Cell(value=measure.unit)
