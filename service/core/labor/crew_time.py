"""Time of a crew over the whole quote: fixed hours, half days, paid hours, cost of an hour."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from service.core import rounding
from service.core.errors import Fault
from service.core.job.rates import Crew, FixedHours, Rates
from service.core.labor.crew_day import CrewStay, daily_hours, daily_tasks, half_days, worked_hours
from service.core.labor.hours import CrewTime, TaskHours, hours_by_wall
from service.core.measure import Dimension
from service.core.money import counted, hour_cost, plain, result, total_of
from service.core.rounding import EXACT


def once_hours(fixed: FixedHours) -> TaskHours:
    """Fixed hours that come once per job."""
    hours = rounding.hours(fixed.hours)
    return _fixed_hours(fixed, (1, "count"), hours, f"once per job: {plain(hours)} h")


def _daily_hours(fixed: FixedHours, days: int) -> TaskHours:
    """Fixed hours of every day begun; the quantity is the days."""
    hours = rounding.hours(Fraction(fixed.hours) * days)
    words = f"{counted(days, 'day')} begun x {plain(fixed.hours)} h a day = {plain(hours)} h"
    return _fixed_hours(fixed, (days, "day"), hours, words)


def _fixed_hours(
    fixed: FixedHours, many: tuple[int, Dimension], hours: Decimal, words: str
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
        how=(words,),
    )


def _sum_of(hours: Sequence[TaskHours]) -> Fraction:
    """Exact sum of hours."""
    return sum((Fraction(entry.hours) for entry in hours), Fraction(0))


def day_faults(rates: Rates, work: Sequence[TaskHours]) -> tuple[Fault, ...]:
    """Crews with work to do whose daily hours alone fill the day."""
    return tuple(
        _day_too_short(crew, daily)
        for crew in rates.crews
        if (daily := daily_hours(crew, rates.fixed)) >= worked_hours(crew)
        and any(task.who == crew.id and task.hours for task in work)
    )


def _day_too_short(crew: Crew, daily: Fraction) -> Fault:
    return Fault(
        code="crew-day-too-short",
        at=("rates",),
        message=f"crew {crew.id!r} works {plain(worked_hours(crew))} h a day, and its daily hours "
        f"alone take {plain(daily)} h",
        hint="a larger crew, a longer day or fewer hours per day",
    )


def time_of(
    crew: Crew,
    work: Sequence[TaskHours],
    fixed: Sequence[FixedHours],
    stay: CrewStay | None = None,
) -> tuple[CrewTime, tuple[TaskHours, ...]]:
    """Time of one crew for its tasks and once-per-job hours, and the daily hours that come with it.

    `fixed` are those of all crews; without a stay in an order of work it takes the fewest half
    days that hold its hours. Without work there are no days and no daily hours.
    """
    each_day = daily_tasks(crew, fixed)
    days = stay.days if stay else half_days(crew, fixed, _sum_of(work))
    begun = stay.begun if stay else rounding.days_begun(days)
    daily = tuple(_daily_hours(hours, begun) for hours in each_day if begun)
    return _priced(crew, work, daily, fixed, days), daily


def _priced(
    crew: Crew,
    work: Sequence[TaskHours],
    daily: Sequence[TaskHours],
    fixed: Sequence[FixedHours],
    days: Decimal,
) -> CrewTime:
    """What a crew's days come to: hours worked and paid, and what one costs by its wage."""
    person_days = EXACT.multiply(days, Decimal(crew.size))
    cost, cost_how = _hour_cost(crew)
    return CrewTime(
        crew=crew.id,
        title=crew.title,
        item=crew.item,
        hours=total_of(task.hours for task in (*work, *daily)),
        days=days,
        paid_hours=EXACT.multiply(person_days, crew.paid_hours_per_day),
        person_days=person_days,
        shares=hours_by_wall(work),
        how=_crew_how(crew, (work, daily), fixed, days),
        hour_cost=cost,
        hour_cost_how=cost_how,
    )


def _crew_how(
    crew: Crew,
    hours: tuple[Sequence[TaskHours], Sequence[TaskHours]],
    fixed: Sequence[FixedHours],
    days: Decimal,
) -> tuple[str, ...]:
    """A crew's hours (of tasks, and with each day), what a day holds, and the days, in words."""
    work, daily = hours
    capacity, paid_day = worked_hours(crew), plain(crew.paid_hours_per_day)
    working, each_day = _sum_of(work), _sum_of(daily)
    begun = f" + {plain(each_day)} h for the days begun" if daily else ""
    people = "1 person" if crew.size == 1 else f"{crew.size} people"
    one_day = f"{people} x {paid_day} paid h x {plain(crew.worked_share)} worked"
    needed = f"tasks and once per job {plain(working)} h{begun} = {plain(working + each_day)} h"
    holds = "holds" if days == 1 else "hold"
    held = f"{counted(days, 'day')} {holds} {plain(capacity * Fraction(days))} h"
    fewest = half_days(crew, fixed, working)
    waits = f"from its first work to its last in the order of work: {counted(days, 'day')}"
    paid = plain(Fraction(days) * crew.size * Fraction(crew.paid_hours_per_day))
    return (
        f"a day of the crew: {one_day} = {plain(capacity)} h",
        f"{needed}; {held}",
        *((waits,) if days > fewest else ()),
        f"paid: {counted(days, 'day')} x {paid_day} h x {people} = {paid} h",
    )


def _hour_cost(crew: Crew) -> tuple[Decimal | None, str | None]:
    """Cost of a paid hour from wage and burden, to six places, half up."""
    if crew.wage is None:
        return None, None
    exact, cost = hour_cost(crew.wage, crew.burden)
    wage, burden = format(crew.wage, "f"), plain(crew.burden)
    return cost, f"wage {wage} x (1 + burden {burden}) {result(exact, cost)} per h"
