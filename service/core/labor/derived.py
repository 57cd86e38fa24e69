"""Choices of conditions that follow from what is known of the job: rule 18.12.

A choice that the request states wins. What follows is an assumption that says from what.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import assert_never

from service.core.job.fact import Assumption
from service.core.job.factor import ByAccess, ByHeight, ByPlan, BySeen, BySoil
from service.core.job.job import Job
from service.core.job.rates import Condition, Rates
from service.core.job.spec import Curve
from service.core.labor.condition import neutral_assumption
from service.core.labor.fit import NOTHING_LEFT_OUT, Misfit, SiteLimits, misfit
from service.core.labor.lifted import ByChoice, Lifted, lift_courses
from service.core.layout.layout import WallLayout
from service.core.money import counted
from service.core.rounding import CLOSE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class SettledConditions:
    """The choice of each condition that is stated or follows; `lifted` are the units by the height
    of their course, where that decides. `assumptions` are those on conditions that nobody
    stated; `by_machines` are the conditions that follow from the machines that come."""

    choices: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    lifted: Lifted | None = None
    assumptions: tuple[Assumption, ...] = ()
    by_machines: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Followed:
    """A choice, and what it follows from, in words."""

    choice: str
    why: str


def lift_units(job: Job, layouts: Sequence[WallLayout]) -> Mapping[str, Lifted]:
    """The units by the height of their course, by the condition that goes by it and that nobody
    stated."""
    conditions = job.rates.conditions if job.rates else {}
    return {
        name: lift_courses(name, condition.derivation, layouts)
        for name, condition in conditions.items()
        if isinstance(condition.derivation, ByHeight) and name not in job.conditions
    }


def settle_conditions(
    job: Job,
    layouts: Sequence[WallLayout],
    lifts: Mapping[str, Lifted],
    left_out: Mapping[str, Misfit] = NOTHING_LEFT_OUT,
) -> SettledConditions:
    """The conditions of a job: as stated, else as they follow from it, from its `lifts` and from
    the machines that are left; those of which nothing is known are left out, and neutral."""
    rates = job.rates
    if rates is None:
        return SettledConditions()
    choices, assumptions = dict(job.conditions), []
    lifted: Lifted | None = None
    for name, condition in rates.conditions.items():
        if name in job.conditions:
            continue
        if name in lifts:
            lifted = lifts[name]
            assumptions.append(_assumption(condition, _of_courses(lifted.in_courses)))
        else:
            found = _follow(condition, job, rates, (layouts, left_out))
            choices |= {name: found.choice} if found is not None else {}
            assumptions.append(_assumption(condition, found))
    return SettledConditions(
        choices=MappingProxyType(choices),
        lifted=lifted,
        assumptions=tuple(assumptions),
        by_machines=_by_machines(job, rates),
    )


def deciding_machines(rates: Rates | None) -> frozenset[str]:
    """The machines by which conditions are settled, whether they come or are left out."""
    rules = (condition.derivation for condition in rates.conditions.values()) if rates else ()
    return frozenset(
        machine for rule in rules if isinstance(rule, ByAccess) for machine in rule.machines
    )


def _by_machines(job: Job, rates: Rates) -> frozenset[str]:
    """Conditions that nobody stated and that the machines on a stated way decide."""
    return frozenset(
        name
        for name, condition in rates.conditions.items()
        if isinstance(condition.derivation, ByAccess) and job.access and name not in job.conditions
    )


def _assumption(condition: Condition, found: _Followed | None) -> Assumption:
    if found is None:
        return neutral_assumption(condition)
    why = f"derived from {found.why}"
    return Assumption(field=f"/conditions/{condition.id}", value=found.choice, why=why)


def _of_courses(by_choice: ByChoice) -> _Followed:
    units = {choice: math.fsum(net for _, net in shares) for choice, shares in by_choice}
    words = ", ".join(f"{counted(int(n), 'unit')} {choice}" for choice, n in units.items())
    why = f"the underside of each course over front grade: {words}"
    return _Followed(choice=", ".join(units), why=why)


def _follow(
    condition: Condition,
    job: Job,
    rates: Rates,
    known: tuple[Sequence[WallLayout], Mapping[str, Misfit]],
) -> _Followed | None:
    """The choice that follows from what is known of the job; None where that is nothing."""
    rule, (layouts, left_out) = condition.derivation, known
    match rule:
        case None | ByHeight():
            return None
        case ByAccess():
            return _by_access(rule, job, rates, left_out)
        case ByPlan():
            return _by_plan(condition, rule, job, layouts)
        case BySeen():
            return _by_seen(condition, rule, job)
        case BySoil():
            return _by_soil(condition, job)
        case other:
            assert_never(other)


def _by_access(
    rule: ByAccess, job: Job, rates: Rates, left_out: Mapping[str, Misfit]
) -> _Followed | None:
    """A machine that moves material comes, or none does and people move it."""
    if job.access is None:
        return None
    stopped, limits = [], SiteLimits(access=job.access, left_out=left_out)
    for name in rule.machines:
        machine = rates.machines[name]
        reason = misfit(machine, None, limits, job.units)
        if reason is None:
            return _Followed(choice=rule.machine, why=f"the way: {machine.title} passes")
        stopped.append(reason.why)
    passage = job.access.narrowest_m
    narrow = passage is not None and passage < rule.wheeled_m - CLOSE_M
    carried = job.access.stairs > 0 or narrow
    wheels = "nor does a wheelbarrow pass" if carried else "a wheelbarrow passes"
    return _Followed(
        choice=rule.carried if carried else rule.wheeled,
        why=f"the way: no machine that moves material comes ({'; '.join(stopped)}), {wheels}",
    )


def _by_plan(
    condition: Condition, rule: ByPlan, job: Job, layouts: Sequence[WallLayout]
) -> _Followed:
    """Curves and corners of all walls; of two choices the one with the larger factor."""
    length = math.fsum(layout.length_m for layout in layouts)
    parts = [part for layout in layouts for part in layout.spec.plan]
    curved = math.fsum(part.length_m for part in parts if isinstance(part, Curve))
    corners = sum(len(layout.plan.corners) for layout in layouts)
    found: list[str] = []
    if curved + CLOSE_M >= float(rule.curved_share) * length:
        found.append(rule.curved)
    if corners * rule.corner_each_m + CLOSE_M >= length:
        found.append(rule.cornered)
    show = job.units.show
    return _Followed(
        choice=max(found, key=lambda choice: condition.choices[choice], default=condition.neutral),
        why=f"the plan: {show(curved, 'length')} of {show(length, 'length')} in curves, "
        f"{counted(corners, 'corner')}",
    )


def _by_seen(condition: Condition, rule: BySeen, job: Job) -> _Followed | None:
    """What was seen; nothing follows from nothing."""
    seen = {*(job.water.seen if job.water else ()), *(job.site.seen if job.site else ())}
    found = {
        choice: [sign for sign in signs if sign in seen] for choice, signs in rule.signs.items()
    }
    choices = [choice for choice, signs in found.items() if signs]
    if not choices:
        return None
    choice = max(choices, key=lambda each: condition.choices[each])
    words = ", ".join(sign.replace("_", " ") for sign in found[choice])
    return _Followed(choice=choice, why=f"what was seen: {words}")


def _by_soil(condition: Condition, job: Job) -> _Followed | None:
    """How the soil behind the walls digs, as its file says; that is the soil that is cut."""
    soil = job.soils.retained
    if soil is None:
        return None
    if soil.digs is not None and soil.digs in condition.choices:
        return _Followed(choice=soil.digs, why=f"the soil that is cut: {soil.title}")
    says = "doesn't say how it digs" if soil.digs is None else f"says {soil.digs}, no choice here"
    why = f"the soil that is cut: the file of {soil.title} {says}"
    return _Followed(choice=condition.neutral, why=why)
