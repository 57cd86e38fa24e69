"""Two answers to a quote held against each other: which lines and amounts differ.

Saved answers outlive the version that gave them, so they are read as plain objects: a part that
one of them doesn't have counts as absent, never as a fault.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from msgspec import UNSET, UnsetType

from service.core.money import total_of
from service.core.price.price import ROLL_UP
from service.core.rounding import EXACT
from service.operations.answer_figures import Measure
from service.operations.quoting.answer import PriceListRef
from service.operations.quoting.measures import plain
from service.operations.saved.difference_answer import (
    AmountChange,
    Change,
    GroupChange,
    LineChange,
    LineSide,
    MachinesChange,
    QuantityChange,
    QuantitySide,
    QuoteDifference,
    TaskChange,
    Versions,
)

Answer = Mapping[str, Any]
Key = tuple[str, ...]

AMOUNTS = (*ROLL_UP, "site_wide")
STAMPS = ("digest", "engine_version", "catalog_version")


def answer_difference(before: bytes, after: bytes) -> QuoteDifference:
    """The difference between two answers, given as the bytes in which they were answered."""
    old: Answer = json.loads(before)
    new: Answer = json.loads(after)
    one_currency = old["currency"] == new["currency"]
    return QuoteDifference(
        same=before == after,
        before=_versions(old),
        after=_versions(new),
        parts=tuple(_parts(old, new)),
        amounts=tuple(_amounts(old["price"], new["price"], one_currency=one_currency)),
        groups=tuple(_groups(old["price"], new["price"], one_currency=one_currency)),
        lines=tuple(_lines(old["price"]["lines"], new["price"]["lines"])),
        quantities=tuple(_quantities(old["quantities"], new["quantities"])),
        tasks=tuple(_tasks(_task_list(old), _task_list(new))),
        machines=_machines(old, new),
    )


def _machines(old: Answer, new: Answer) -> MachinesChange | UnsetType:
    """The machines of both, where they are others; whatever order the rates have them in."""
    before, after = _machine_names(old), _machine_names(new)
    if frozenset(before) == frozenset(after):
        return UNSET
    return MachinesChange(before=before, after=after)


def _machine_names(answer: Answer) -> tuple[str, ...]:
    machines = answer.get("labor", {}).get("equipment", ())
    return tuple(machine["machine"] for machine in machines)


def _versions(answer: Answer) -> Versions:
    ref = answer.get("price_list")
    return Versions(
        engine_version=answer["engine_version"],
        catalog_version=answer["catalog_version"],
        digest=answer["digest"],
        currency=answer["currency"],
        price_list=PriceListRef(id=ref["id"], revision=ref["revision"]) if ref else UNSET,
    )


def _parts(old: Answer, new: Answer) -> Iterator[str]:
    for key in dict.fromkeys([*old, *new]):
        if key not in STAMPS and old.get(key) != new.get(key):
            yield key


def _amounts(old: Answer, new: Answer, *, one_currency: bool) -> Iterator[AmountChange]:
    for name in AMOUNTS:
        before, after = old.get(name), new.get(name)
        if before != after:
            comparable = one_currency or name == "margin"
            yield AmountChange(
                amount=name,
                before=before,
                after=after,
                change=_less(after, before) if comparable else None,
            )


def _less(after: str | None, before: str | None) -> str | None:
    if after is None or before is None:
        return None
    return plain(EXACT.subtract(Decimal(after), Decimal(before)))


def _groups(old: Answer, new: Answer, *, one_currency: bool) -> Iterator[GroupChange]:
    sides = [_sums(old["lines"]), _sums(new["lines"])]
    none = (plain(Decimal(0)), plain(Decimal(0)))
    for group in dict.fromkeys([*sides[0], *sides[1]]):
        before, after = (side.get(group, none) for side in sides)
        if before != after:
            yield GroupChange(
                group=group,
                cost_before=before[0],
                cost_after=after[0],
                cost_change=_less(after[0], before[0]) if one_currency else None,
                price_before=before[1],
                price_after=after[1],
                price_change=_less(after[1], before[1]) if one_currency else None,
            )


def _sums(lines: Sequence[Answer]) -> dict[str, tuple[str, str]]:
    """Cost and price of each group, in the order of the lines."""
    members: dict[str, list[Answer]] = {}
    for line in lines:
        members.setdefault(line["group"], []).append(line)
    return {
        group: (
            plain(total_of(Decimal(line["cost"]) for line in held)),
            plain(total_of(Decimal(line["price"]) for line in held)),
        )
        for group, held in members.items()
    }


def _lines(old: Sequence[Answer], new: Sequence[Answer]) -> Iterator[LineChange]:
    for _, change, before, after in _paired(old, new, _line_key, _line_side):
        line = after or before or {}
        yield LineChange(
            group=line["group"],
            item=line["item"],
            description=line["description"],
            change=change,
            before=None if before is None else _line_side(before),
            after=None if after is None else _line_side(after),
        )


def _quantities(old: Sequence[Answer], new: Sequence[Answer]) -> Iterator[QuantityChange]:
    for _, change, before, after in _paired(old, new, _line_key, _quantity_side):
        line = after or before or {}
        yield QuantityChange(
            group=line["group"],
            item=line["item"],
            change=change,
            before=None if before is None else _quantity_side(before),
            after=None if after is None else _quantity_side(after),
        )


def _tasks(old: Sequence[Answer], new: Sequence[Answer]) -> Iterator[TaskChange]:
    for (task,), change, before, after in _paired(old, new, _task_key, _hours):
        yield TaskChange(
            task=task,
            change=change,
            before=None if before is None else _hours(before),
            after=None if after is None else _hours(after),
        )


def _task_list(answer: Answer) -> Sequence[Answer]:
    tasks: Sequence[Answer] = answer.get("labor", {}).get("tasks", ())
    return tasks


def _line_key(line: Answer) -> Key:
    return line["item"], line["group"]


def _task_key(task: Answer) -> Key:
    return (task["task"],)


def _line_side(line: Answer) -> LineSide:
    return LineSide(
        quantity=_measure(line["quantity"]),
        unit_cost=line["unit_cost"],
        per=line["per"],
        cost=line["cost"],
        price=line["price"],
    )


def _quantity_side(line: Answer) -> QuantitySide:
    return QuantitySide(net=_measure(line["net"]), order=_measure(line["order"]))


def _hours(task: Answer) -> str:
    hours: str = task["hours"]
    return hours


def _measure(measure: Answer) -> Measure:
    return Measure(value=measure["value"], unit=measure["unit"])


def _paired(
    old: Sequence[Answer],
    new: Sequence[Answer],
    key: Callable[[Answer], Key],
    side: Callable[[Answer], object],
) -> Iterator[tuple[Key, Change, Answer | None, Answer | None]]:
    """Entries that differ in what `side` shows of them, the old side's order first."""
    before, after = _keyed(old, key), _keyed(new, key)
    for name in dict.fromkeys([*before, *after]):
        one, other = before.get(name), after.get(name)
        if one is None:
            yield name[0], "added", one, other
        elif other is None:
            yield name[0], "removed", one, other
        elif side(one) != side(other):
            yield name[0], "changed", one, other


def _keyed(
    entries: Sequence[Answer], key: Callable[[Answer], Key]
) -> dict[tuple[Key, int], Answer]:
    """Entries by their key and, as extras may be called alike, by how often it stood before."""
    keyed: dict[tuple[Key, int], Answer] = {}
    seen: dict[Key, int] = {}
    for entry in entries:
        name = key(entry)
        seen[name] = seen.get(name, 0) + 1
        keyed[name, seen[name]] = entry
    return keyed
