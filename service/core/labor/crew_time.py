"""Time of a crew over the whole quote: fixed hours, half days, paid hours, cost of an hour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import partial
from typing import NamedTuple

from service.core import rounding
from service.core.errors import Fault
from service.core.fraction import Fraction
from service.core.job.rates import Crew, CrewDay, FixedHours, Rates
from service.core.labor.crew_day import half_days
from service.core.labor.crew_stay import CrewStay
from service.core.labor.hours import CrewTime, TaskHours, hours_by_wall
from service.core.measure import Dimension
from service.core.money import counted, hour_cost, plain, result, total_of
from service.core.rounding import EXACT
from service.core.told import Told


def once_hours(fixed: FixedHours) -> TaskHours:
    """Fixed hours that come once per job."""
    hours = rounding.hours(fixed.hours)
    return _fixed_hours(fixed, (1, "count"), hours, partial(_once_told, hours))


def _once_told(hours: Decimal) -> tuple[str, ...]:
    return (f"once per job: {plain(hours)} h",)


def _daily_hours(fixed: FixedHours, days: int) -> TaskHours:
    """Fixed hours of every day begun; the quantity is the days."""
    hours = rounding.hours(Fraction(fixed.hours) * days)
    return _fixed_hours(fixed, (days, "day"), hours, partial(_daily_told, fixed, days, hours))


def _daily_told(fixed: FixedHours, days: int, hours: Decimal) -> tuple[str, ...]:
    return (f"{counted(days, 'day')} begun x {plain(fixed.hours)} h a day = {plain(hours)} h",)


def _fixed_hours(
    fixed: FixedHours, many: tuple[int, Dimension], hours: Decimal, told: Told
) -> TaskHours:
    quantity, dimension = many
    return TaskHours(
        task=fixed.id,
        title=fixed.title,
        worker="crew",
        who=fixed.crew,
        quantity=float(quantity),
        dimension=dimension,
        hours=hours,
        hours_low=hours,
        hours_high=hours,
        shares=(),
        told=told,
    )


def _sum_of(hours: Sequence[TaskHours]) -> Decimal:
    """Exact sum of hours."""
    return total_of(entry.hours for entry in hours)


def day_faults(rates: Rates, work: Sequence[TaskHours]) -> tuple[Fault, ...]:
    """Crews with work to do whose daily hours alone fill the day."""
    return tuple(
        _day_too_short(crew, rates.days[crew.id])
        for crew in rates.crews
        if rates.days[crew.id].free <= 0
        and any(task.who == crew.id and task.hours for task in work)
    )


def _day_too_short(crew: Crew, day: CrewDay) -> Fault:
    return Fault(
        code="crew-day-too-short",
        at=("rates",),
        message=f"crew {crew.id!r} works {plain(day.worked)} h a day, and its daily hours "
        f"alone take {plain(day.daily)} h",
        hint="a larger crew, a longer day or fewer hours per day",
    )


def time_of(
    crew: Crew, work: Sequence[TaskHours], rates: Rates, stay: CrewStay | None = None
) -> tuple[CrewTime, tuple[TaskHours, ...]]:
    """Time of one crew for its tasks and once-per-job hours, and the daily hours that come with it.

    Without a stay in an order of work it takes the fewest half days that hold its hours. Without
    work there are no days and no daily hours.
    """
    day, each_day = rates.days[crew.id], _daily_tasks(crew, rates.fixed)
    fewest = half_days(day, _sum_of(work))
    there = _There(
        days=stay.days if stay else fewest,
        people=stay.people if stay else ((crew.size, fewest),),
        how=tuple(_waits(stay, fewest)) if stay else (),
    )
    begun = stay.begun if stay else rounding.days_begun(fewest)
    daily = tuple(_daily_hours(hours, begun) for hours in each_day if begun)
    return _priced(crew, day, (work, daily), there), daily


def _daily_tasks(crew: Crew, fixed: Sequence[FixedHours]) -> tuple[FixedHours, ...]:
    """What a crew does on every day begun."""
    return tuple(task for task in fixed if task.per == "day" and task.crew == crew.id)


class _There(NamedTuple):
    """Days of a crew, with how many people for how many of them, and why so many, in words."""

    days: Decimal
    people: tuple[tuple[int, Decimal], ...]
    how: tuple[str, ...]


def _waits(stay: CrewStay, fewest: Decimal) -> Iterator[str]:
    """Why a crew's days are more than hold its hours."""
    if stay.waiting == "elsewhere":
        yield f"half days of the order of work on which it works: {counted(stay.days, 'day')}"
    elif stay.days > fewest:
        yield f"from its first work to its last in the order of work: {counted(stay.days, 'day')}"


def _priced(
    crew: Crew,
    day: CrewDay,
    hours: tuple[Sequence[TaskHours], Sequence[TaskHours]],
    there: _There,
) -> CrewTime:
    """What a crew's days come to: hours worked and paid, and what one costs by its wage; `hours`
    are those of work and of days begun."""
    work, daily = hours
    person_days = total_of(EXACT.multiply(days, Decimal(many)) for many, days in there.people)
    cost, cost_how = _hour_cost(crew)
    return CrewTime(
        crew=crew.id,
        title=crew.title,
        item=crew.item,
        hours=total_of(task.hours for task in (*work, *daily)),
        days=there.days,
        paid_hours=EXACT.multiply(person_days, crew.paid_hours_per_day),
        person_days=person_days,
        shares=hours_by_wall(work),
        how=_crew_how(crew, day, hours, there),
        hour_cost=cost,
        hour_cost_how=cost_how,
    )


def _crew_how(
    crew: Crew,
    day: CrewDay,
    hours: tuple[Sequence[TaskHours], Sequence[TaskHours]],
    there: _There,
) -> tuple[str, ...]:
    """A crew's hours, what a day holds, and the days, in words."""
    paid_day = plain(crew.paid_hours_per_day)
    working, each_day = map(_sum_of, hours)
    begun = f" + {plain(each_day)} h for the days begun" if hours[1] else ""
    one_day = f"{_people(crew.size)} x {paid_day} paid h x {plain(crew.worked_share)} worked"
    together = total_of((working, each_day))
    needed = f"tasks and once per job {plain(working)} h{begun} = {plain(together)} h"
    return (
        f"a day of the crew: {one_day} = {plain(day.worked)} h",
        f"{needed}{_held(crew, day, there)}",
        *there.how,
        _paid(crew, there),
    )


def _held(crew: Crew, day: CrewDay, there: _There) -> str:
    """What the days hold, where all of the crew are there on all of them."""
    if any(many != crew.size for many, _ in there.people):
        return ""
    holds = "holds" if there.days == 1 else "hold"
    hours = day.worked * Fraction(there.days)
    return f"; {counted(there.days, 'day')} {holds} {plain(hours)} h"


def _paid(crew: Crew, there: _There) -> str:
    """Paid hours: of all of the crew, and of drivers who are there alone."""
    paid_day, total, parts = crew.paid_hours_per_day, Fraction(0), []
    for many, days in there.people:
        who = _people(many) if many == crew.size else counted(many, "driver") + " alone"
        parts.append(f"{counted(days, 'day')} x {plain(paid_day)} h x {who}")
        total += Fraction(days) * many * Fraction(paid_day)
    return f"paid: {' + '.join(parts)} = {plain(total)} h"


def _people(count: int) -> str:
    return "1 person" if count == 1 else f"{count} people"


def _hour_cost(crew: Crew) -> tuple[Decimal | None, str | None]:
    """Cost of a paid hour from wage and burden, to six places, half up."""
    if crew.wage is None:
        return None, None
    exact, cost = hour_cost(crew.wage, crew.burden)
    wage, burden = format(crew.wage, "f"), plain(crew.burden)
    return cost, f"wage {wage} x (1 + burden {burden}) {result(exact, cost)} per h"
