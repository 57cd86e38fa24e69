"""When each piece of work begins and ends: a small network of activities and who does them.

Times are exact working days from the start of the job. A crew or a machine is at one place at a
time; what may begin first by the order of the activities gets it first.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from service.core.fraction import Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """A piece of work: how many days it takes, who is held by it, what must be finished first.

    `after` names keys of other activities, each at most once.
    """

    key: str
    days: Fraction
    resources: tuple[str, ...]
    after: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """An activity with its times. It is critical where a delay of it delays the whole job."""

    start: Fraction
    finish: Fraction
    critical: bool


class ActivityCircularError(Exception):
    """Activities wait for each other; `keys` is the circle, its first key again at its end."""

    def __init__(self, keys: Sequence[str]) -> None:
        self.keys = tuple(keys)
        super().__init__(" -> ".join(keys))


def schedule_activities(activities: Sequence[Activity]) -> Mapping[str, Timed]:
    """Start and finish of every activity, as early as what it waits for allows.

    Of the activities that may begin, the one that stands first in the list gets its crews and
    machines first. Raises ActivityCircularError.
    """
    waits: dict[str, tuple[str, ...]] = {}
    free: dict[str, str] = {}
    start: dict[str, Fraction] = {}
    finish: dict[str, Fraction] = {}
    for activity in _in_turn(activities):
        held_by = (free[name] for name in activity.resources if name in free)
        before = tuple(dict.fromkeys((*activity.after, *held_by)))
        start[activity.key] = max((finish[key] for key in before), default=Fraction(0))
        finish[activity.key] = start[activity.key] + activity.days
        waits[activity.key] = before
        free.update(dict.fromkeys(activity.resources, activity.key))
    latest = _latest_finishes(waits, start, finish)
    return {
        key: Timed(start=start[key], finish=finish[key], critical=latest[key] == finish[key])
        for key in waits
    }


def _in_turn(activities: Sequence[Activity]) -> Iterable[Activity]:
    """Activities in an order in which each stands after all that it waits for."""
    place = {activity.key: index for index, activity in enumerate(activities)}
    sorter = TopologicalSorter({activity.key: activity.after for activity in activities})
    try:
        sorter.prepare()
    except CycleError as error:
        raise ActivityCircularError(error.args[1]) from None
    ready: list[int] = []
    while sorter.is_active():
        for key in sorter.get_ready():
            heapq.heappush(ready, place[key])
        index = heapq.heappop(ready)
        sorter.done(activities[index].key)
        yield activities[index]


def _latest_finishes(
    waits: dict[str, tuple[str, ...]],
    start: Mapping[str, Fraction],
    finish: Mapping[str, Fraction],
) -> Mapping[str, Fraction]:
    """How late each activity may end without moving the end of the job, last ones first."""
    end = max(finish.values(), default=Fraction(0))
    latest = dict.fromkeys(finish, end)
    for key in reversed(waits):
        begins = latest[key] - (finish[key] - start[key])
        for before in waits[key]:
            latest[before] = min(latest[before], begins)
    return latest
