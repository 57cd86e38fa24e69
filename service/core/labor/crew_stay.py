"""Half days of the order of work on which a crew is there, and how many of it (rule 19.2)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.core import rounding
from service.core.job.rates import Crew, FixedHours, Waiting
from service.core.labor import half_days
from service.core.labor.crew_day import half_day_of, half_days_until
from service.core.labor.crew_presence import Presence
from service.core.labor.half_days import HalfDays
from service.core.money import total_of
from service.core.rounding import EXACT, HALF_DAY


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewStay:
    """`there` are the half days on which any of a crew is there; `people` are pairs of how many
    people and for how many days, all of the crew first."""

    waiting: Waiting
    there: HalfDays
    people: tuple[tuple[int, Decimal], ...]

    @property
    def days(self) -> Decimal:
        """The crew's days: half days on which any of it is there."""
        return total_of(days for _, days in self.people)

    @property
    def person_days(self) -> Decimal:
        """Days x people, which are paid."""
        return total_of(EXACT.multiply(days, Decimal(many)) for many, days in self.people)

    @property
    def begun(self) -> int:
        """Days on which it comes."""
        return half_days.days_of(self.there)

    @property
    def end(self) -> Decimal:
        """Working days of the order until it has left for good."""
        return _days(self.there[-1][1])


def stay_of(
    crew: Crew, fixed: Sequence[FixedHours], present: Sequence[Presence], waiting: Waiting
) -> CrewStay:
    """The half days into which work falls, with the daily hours of each day; paid while it waits, a
    crew is there for those between as well. `present` has one entry at least."""
    spans = [
        (
            half_day_of(crew, fixed, each.start),
            rounding.half_days_begun(half_days_until(crew, fixed, each.finish)),
            each.people,
        )
        for each in present
    ]
    if waiting == "paid":
        spans = [(min(s[0] for s in spans), max(s[1] for s in spans), crew.size)]
    return CrewStay(
        waiting=waiting,
        there=half_days.together((first, end) for first, end, _ in spans),
        people=tuple(_by_people(spans)),
    )


def _by_people(spans: Sequence[tuple[int, int, int]]) -> Iterator[tuple[int, Decimal]]:
    """Days by the most people who are there in each half day, most people first."""
    before = 0
    for many in sorted({people for _, _, people in spans}, reverse=True):
        at_least = ((first, end) for first, end, people in spans if people >= many)
        upto = half_days.count(half_days.together(at_least))
        if upto > before:
            yield many, _days(upto - before)
        before = upto


def _days(count: int) -> Decimal:
    return EXACT.multiply(HALF_DAY, Decimal(count))
