"""The price as a customer sees it: in all, by groups, or line by line; never a cost or an hour."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from service.core.job.section import GROUPS, Group
from service.core.price.delivery import freight_items
from service.documents.words import Words, msgid
from service.operations.answer_figures import Measure
from service.operations.paper.subject import PricedSubject
from service.operations.paper.supplier_order import SupplierPart, supplier_parts
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
# What stands before the supplier's name, in the order of his items.
_FREIGHT = (msgid("Delivery"), msgid("Small order"), msgid("Deposit on pallets"))
# What stands behind a machine's name.
_BROUGHT = {"delivery": msgid("delivery"), "pick-up": msgid("pick-up")}
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
    if detail == "groups":
        return tuple(_by_group(lines, words))
    return tuple(_by_line(lines, _freight(subject, words), words))


def _by_group(lines: tuple[PriceLineAnswer, ...], words: Words) -> Iterator[SoldRow]:
    sums: dict[str, Decimal] = {}
    for group in GROUPS:
        for line in lines:
            if line.group == group:
                title = words.say(_title(line))
                sums[title] = sums.get(title, Decimal(0)) + Decimal(line.price)
    for title, price in sums.items():
        yield SoldRow(description=title, group=title, price=price)


def _by_line(
    lines: tuple[PriceLineAnswer, ...], freight: Mapping[str, str], words: Words
) -> Iterator[SoldRow]:
    sold = [line for line in lines if not _is_lump(line)]
    told = [freight.get(line.item) or _described(line, words) for line in sold]
    for line, description in zip(sold, _apart(sold, told), strict=True):
        yield SoldRow(
            description=description,
            group=words.say(_title(line)),
            price=Decimal(line.price),
            quantity=line.quantity,
        )
    if lump := [Decimal(line.price) for line in lines if _is_lump(line)]:
        title = words.say(_TITLES["labor"])
        yield SoldRow(description=title, group=title, price=sum(lump, Decimal(0)))


def _freight(subject: PricedSubject, words: Words) -> dict[str, str]:
    """What is said of each supplier's freight, by item: what he brings, and never who he is."""
    prices = subject.quote.prices
    told: dict[str, str] = {}
    for part in supplier_parts(subject):
        if part.supplier in prices.delivery:
            items = freight_items(part.supplier, prices)
            goods = _goods(part, words)
            told |= {
                item: f"{words.say(what)}: {goods}"
                for item, what in zip(items, _FREIGHT, strict=True)
            }
    return told


def _goods(part: SupplierPart, words: Words) -> str:
    """What a supplier brings, by groups, within a line."""
    brought = {entry.line.group for entry in part.items}
    titles = dict.fromkeys(words.say(_TITLES[group]) for group in GROUPS if group in brought)
    return ", ".join(f"{title[:1].lower()}{title[1:]}" for title in titles)


def _described(line: PriceLineAnswer, words: Words) -> str:
    """What a line is for; of freight whose supplier isn't known any more, that it is freight."""
    if not line.description:
        return words.say(_title(line))
    if line.group == "delivery":
        what = line.description.partition(", ")[0]
        return words.say(what) if what in _FREIGHT else _machines(line.description, words)
    return words.say_data(line.description)


def _machines(description: str, words: Words) -> str:
    """Machines that are brought or fetched, each as the catalog calls it or by its own name."""
    return "; ".join(_machine(each, words) for each in description.split("; "))


def _machine(description: str, words: Words) -> str:
    title, _, moved = description.rpartition(", ")
    if moved not in _BROUGHT or words.find_data(description):
        return words.say_data(description)
    return f"{words.say_data(title)}, {words.say(_BROUGHT[moved])}"


def _apart(lines: list[PriceLineAnswer], told: list[str]) -> Iterator[str]:
    """What is said of lines; deliveries of which the same is said are numbered."""
    freight = [line.group == "delivery" for line in lines]
    often = Counter(text for text, is_freight in zip(told, freight, strict=True) if is_freight)
    seen = Counter[str]()
    for text, is_freight in zip(told, freight, strict=True):
        seen[text] += is_freight
        yield f"{text} ({seen[text]})" if is_freight and often[text] > 1 else text


def _is_lump(line: PriceLineAnswer) -> bool:
    return line.group in _LUMP or line.kind in _LUMP_KINDS


def _title(line: PriceLineAnswer) -> str:
    return _TITLES["labor"] if _is_lump(line) else _TITLES[line.group]  # type: ignore[index]
