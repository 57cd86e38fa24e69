"""The price as a customer sees it: in all, by groups, or line by line; never a cost or an hour."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from service.core.job.section import GROUPS, Group
from service.documents.words import Words, msgid
from service.operations.answer_figures import Measure
from service.operations.paper.subject import PricedSubject
from service.operations.paper.written import exact
from service.operations.quoting.answer import PriceLineAnswer

Detail = Literal["total", "groups", "lines"]
_TITLES: dict[Group, str] = {
    "units": msgid("Blocks and caps"),
    "stone": msgid("Stone"),
    "pipe": msgid("Drain pipe"),
    "fabric": msgid("Fabric"),
    "adhesive": msgid("Adhesive"),
    "reinforcement": msgid("Reinforcement"),
    "earth": msgid("Soil and fill"),
    "site_work": msgid("Site work"),
    "labor": msgid("Labor and machines"),
    "equipment": msgid("Labor and machines"),
    "delivery": msgid("Delivery"),
    "fees": msgid("Fees and allowances"),
    "extras": msgid("Extras"),
}
# What stands before the supplier's name.
_FREIGHT = (msgid("Delivery"), msgid("Small order"), msgid("Deposit on pallets"))
# What people and machines do is one sum: hours and rates are nobody's business.
_LUMP: tuple[Group, ...] = ("labor", "equipment")
_LUMP_KINDS = ("labor", "equipment")


@dataclass(frozen=True, slots=True, kw_only=True)
class SoldRow:
    """One row of the price. Without a `quantity` it is a lump sum."""

    description: str
    group: str
    price: Decimal
    quantity: Measure | None = None

    def amount(self, words: Words) -> str:
        """How much of it, or that it is a lump sum."""
        return exact(self.quantity, words) if self.quantity else words.say("lump sum")


def sold_rows(subject: PricedSubject, detail: Detail, words: Words) -> tuple[SoldRow, ...]:
    """Rows that add up to the subtotal."""
    lines = subject.answer.price.lines
    if detail == "total":
        whole = Decimal(subject.answer.price.subtotal)
        title = words.say("The work as described above")
        return (SoldRow(description=title, group=title, price=whole),)
    return tuple(_by_line(lines, words) if detail == "lines" else _by_group(lines, words))


def _by_group(lines: tuple[PriceLineAnswer, ...], words: Words) -> Iterator[SoldRow]:
    sums: dict[str, Decimal] = {}
    for group in GROUPS:
        for line in lines:
            if line.group == group:
                title = words.say(_title(line))
                sums[title] = sums.get(title, Decimal(0)) + Decimal(line.price)
    for title, price in sums.items():
        yield SoldRow(description=title, group=title, price=price)


def _by_line(lines: tuple[PriceLineAnswer, ...], words: Words) -> Iterator[SoldRow]:
    lump = Decimal(0)
    for line in lines:
        if _is_lump(line):
            lump += Decimal(line.price)
            continue
        title = words.say(_title(line))
        yield SoldRow(
            description=_described(line, words),
            group=title,
            price=Decimal(line.price),
            quantity=line.quantity,
        )
    if any(map(_is_lump, lines)):
        title = words.say(_TITLES["labor"])
        yield SoldRow(description=title, group=title, price=lump)


def _described(line: PriceLineAnswer, words: Words) -> str:
    """What a line is for. Freight is told without the supplier whose load it is."""
    if line.group == "delivery":
        what = line.description.partition(", ")[0] if line.description else ""
        return words.say(what if what in _FREIGHT else _title(line))
    return words.say_data(line.description) if line.description else words.say(_title(line))


def _is_lump(line: PriceLineAnswer) -> bool:
    return line.group in _LUMP or line.kind in _LUMP_KINDS


def _title(line: PriceLineAnswer) -> str:
    return _TITLES["labor"] if _is_lump(line) else _TITLES[line.group]  # type: ignore[index]
