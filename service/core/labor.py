"""Production rates on measured quantities: hours per task, days per crew."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from service.core import crew_time, rounding
from service.core.errors import Fault, QuoteFaultsError
from service.core.measure import UnitSet, in_unit, number
from service.core.money import plain, total_of
from service.core.rates import ProductionTask, Rates, measured_dimension
from service.core.results import Labor, Quantities, TaskHours


@dataclass(frozen=True, slots=True, kw_only=True)
class _Factor:
    """A choice made for a condition, with its factor on hours."""

    condition: str
    choice: str
    factor: Decimal


def schedule(
    rates: Rates, conditions: Mapping[str, str], quantities: Quantities, units: UnitSet
) -> Labor:
    """Hours of every task and days of every crew, over the whole quote.

    Task hours = measured net quantity x hours per unit x the factors of its conditions (the
    neutral choice where `conditions` names none), half up to 0.01 h; a task of quantity 0 is left
    out. Fixed hours come once per job, or with each day begun. A crew's days are the fewest half
    days in which people x paid hours x worked share cover all of that. Raises QuoteFaultsError
    for conditions the rates don't know, and where the daily hours fill the whole day.
    """
    _refuse(_condition_faults(rates, conditions))
    factors = _factors(rates, conditions)
    work = [
        *_measured_hours(rates, factors, quantities, units),
        *(crew_time.once_hours(fixed) for fixed in rates.fixed if fixed.per == "job"),
    ]
    _refuse(crew_time.day_faults(rates, work))
    times = [
        crew_time.time_of(crew, tuple(task for task in work if task.crew == crew.id), rates.fixed)
        for crew in rates.crews
    ]
    tasks = (*work, *(task for _, daily in times for task in daily))
    crews = tuple(crew for crew, _ in times if crew.days)
    return Labor(
        tasks=tasks,
        crews=crews,
        labor_hours=total_of(task.hours for task in tasks),
        crew_days=total_of(crew.days for crew in crews),
        wage_currency=rates.currency,
    )


def _refuse(faults: Sequence[Fault]) -> None:
    """Stop where there is a fault."""
    if faults:
        raise QuoteFaultsError(faults)


def _condition_faults(rates: Rates, conditions: Mapping[str, str]) -> tuple[Fault, ...]:
    """Conditions and choices that the rates don't have."""
    return tuple(
        _unknown("condition", name, name, rates.conditions)
        if name not in rates.conditions
        else _unknown("condition-choice", name, choice, rates.conditions[name].choices)
        for name, choice in conditions.items()
        if name not in rates.conditions or choice not in rates.conditions[name].choices
    )


def _factors(rates: Rates, conditions: Mapping[str, str]) -> dict[str, _Factor]:
    """The factor of every condition of the rates, neutral where no choice was made."""
    chosen = {
        name: conditions.get(name, condition.neutral)
        for name, condition in rates.conditions.items()
    }
    return {
        name: _Factor(condition=name, choice=choice, factor=rates.conditions[name].choices[choice])
        for name, choice in chosen.items()
    }


def _unknown(what: str, name: str, found: str, known: Iterable[str]) -> Fault:
    """A condition, or a choice of one, that the rates don't have."""
    nearest = difflib.get_close_matches(found, sorted(known), n=1, cutoff=0.0)
    words = "condition" if what == "condition" else f"choice of condition {name!r}"
    return Fault(
        code=f"unknown-{what}",
        at=("conditions", name),
        message=f"the rates have no {words} {found!r}",
        hint=nearest[0] if nearest else None,
    )


def _measured_hours(
    rates: Rates, factors: Mapping[str, _Factor], quantities: Quantities, units: UnitSet
) -> Iterator[TaskHours]:
    """Hours of the tasks that there is something to do for, in the order of the rates."""
    for task in rates.tasks:
        chosen = [factors[name] for name in task.conditions]
        hours = _task_hours(task, chosen, quantities, units)
        if hours:
            yield hours


def _task_hours(
    task: ProductionTask, factors: Sequence[_Factor], quantities: Quantities, units: UnitSet
) -> TaskHours | None:
    """Hours of one measured task; None where there is nothing to do.

    The quantity is the figure that is shown (nine digits, in the unit of the rate), so that the
    hours can be re-added by hand and no float noise decides a half.
    """
    once = task.measured_by == "job"  # of no wall: its hours ride along, like fixed ones
    shares = () if once else tuple(sorted(quantities.measured.get(task.measured_by, ())))
    quantity = 1.0 if once else math.fsum(net for _, net in shares)
    shown = number(in_unit(quantity, task.unit.symbol))
    if not Decimal(shown):
        return None
    exact = Fraction(Decimal(shown)) * Fraction(task.hours_per_unit)
    for factor in factors:
        exact *= Fraction(factor.factor)
    hours = rounding.hours(exact)
    return TaskHours(
        task=task.id,
        title=task.title,
        crew=task.crew,
        quantity=quantity,
        dimension=measured_dimension(task.measured_by),
        hours=hours,
        shares=shares,
        how=_task_how(task, factors, quantity, units, (exact, hours)),
    )


def _task_how(
    task: ProductionTask,
    factors: Sequence[_Factor],
    quantity: float,
    units: UnitSet,
    result: tuple[Fraction, Decimal],
) -> tuple[str, ...]:
    """The arithmetic in words, with the conversion where the answer shows another unit."""
    dimension, symbol = measured_dimension(task.measured_by), task.unit.symbol
    exact, hours = result
    in_rate_unit = units.show(quantity, dimension, symbol)
    chosen = "".join(f" x {plain(f.factor)} ({f.condition}: {f.choice})" for f in factors)
    product = (
        f"{in_rate_unit} x {plain(task.hours_per_unit)} h per {symbol}{chosen} = {plain(exact)} h"
    )
    rounded = "" if Fraction(hours) == exact else f", rounded to {plain(hours)} h"
    measured = task.measured_by.replace("_", " ")
    converted = (
        (f"{units.show(quantity, dimension)} = {in_rate_unit}",)
        if units.unit_for(dimension) != symbol
        else ()
    )
    return (f"measured by {measured}", *converted, product + rounded)
