"""Choices of conditions under which a task is done by machine."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from service.catalog.documents.crew import ConditionTable
from service.catalog.documents.entry import BrokenRule
from service.catalog.documents.task import MachineTaskTable
from service.fields import refused


def unknown_choices(
    rows: Iterable[MachineTaskTable], known: Mapping[str, ConditionTable] | None
) -> Iterator[BrokenRule]:
    """Rows whose `only_if` names a condition or a choice that isn't there; `known` None: the
    conditions themselves are broken."""
    if known is None:
        return
    for place, row in enumerate(rows):
        for name, choice in row.only_if.items():
            at = (place, "only_if", name)
            if name not in known:
                message = f'no condition is called "{name}"'
                yield at, refused("condition-unknown", message, f"known: {', '.join(known)}")
            elif choice not in known[name].choices:
                hint = f"one of: {', '.join(known[name].choices)}"
                yield at, refused("choice-unknown", f'"{choice}" is no choice of {name}', hint)
