"""The order in which lines of quantities and prices stand: rule 17."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol, TypeVar

from service.core.job.section import GROUPS, Group

# Lines of these groups stand as they come: units as standard, corner, cap; extras as requested.
AS_THEY_COME: tuple[Group, ...] = ("units", "extras")


class GroupedLine(Protocol):
    """A line of an item that belongs to a group."""

    @property
    def item(self) -> str:
        """The item's name."""

    @property
    def group(self) -> Group:
        """The item's group."""


AnyLine = TypeVar("AnyLine", bound=GroupedLine)


def line_place(group: Group, item: str) -> tuple[int, str]:
    """What lines are sorted by: the group, and inside a group the item, if it is sorted."""
    return GROUPS.index(group), "" if group in AS_THEY_COME else item


def in_order(lines: Iterable[AnyLine]) -> tuple[AnyLine, ...]:
    """Lines by group, then by item; units (standard, corner, cap) and extras as they come."""
    return tuple(sorted(lines, key=lambda line: line_place(line.group, line.item)))
