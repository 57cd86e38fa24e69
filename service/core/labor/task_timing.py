"""Hours of the tasks of production rates at one job, whoever is chosen to do them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from service.core.job.factor import Factor
from service.core.job.measured import Measured, measured_dimension
from service.core.job.rates import MachineTask, ProductionTask, Rates
from service.core.labor.access import distance_factor
from service.core.labor.compaction import compaction_rate
from service.core.labor.condition import Part, choices_in_force, condition_factors, parts_of
from service.core.labor.fit import SiteLimits
from service.core.labor.hours import TaskHours, Worker
from service.core.labor.task_time import RatedTask, time_task
from service.core.labor.unit_rates import rate_by_weight
from service.core.measure import UNITS, Unit, UnitSet
from service.core.shares import Shares
from service.core.three_point import ThreePoint

# A task by its id, why pallets are broken, and the choices of its conditions.
_Timed = tuple[str, str | None, tuple[str, ...]]


class _Rate(NamedTuple):
    """Hours per unit, and where they come from."""

    hours_per_unit: ThreePoint
    unit: Unit
    basis: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskTiming:
    """What the hours of tasks are worked out from; each is worked out once for the same choices of
    its conditions. `follows` are the conditions whose choice follows from the machines that come.
    """

    rates: Rates
    factors: Mapping[str, Factor]
    measures: Mapping[Measured, Shares]
    limits: SiteLimits
    units: UnitSet
    follows: frozenset[str] = frozenset()
    _timed: dict[_Timed, TaskHours | None] = field(default_factory=dict)

    def under(self, conditions: Mapping[str, str]) -> TaskTiming:
        """The same work under other conditions; a task keeps the hours that it has if they don't
        change its own."""
        return replace(
            self,
            factors=condition_factors(self.rates, conditions, self.limits.lifted),
            limits=replace(self.limits, choices=choices_in_force(self.rates, conditions)),
        )

    def amount(self, measured: Measured) -> float:
        """How much there is of a measured quantity; the job is there once."""
        if measured == "job":
            return 1.0
        return math.fsum(net for _, net in self.measures[measured])

    def shares(self, measured: Measured) -> Shares:
        """Wall by wall, without what is of no wall: its hours ride along, like fixed ones."""
        return tuple(sorted((w, net) for w, net in self.measures[measured] if w))

    def crew_hours(self, task: ProductionTask, pallets: str | None = None) -> TaskHours | None:
        """Person-hours of a task, if there is anything to do; `pallets` says why they are broken,
        where they are."""
        if task.breaks_pallets and pallets is None:
            return None
        key = self._key(task, pallets if task.breaks_pallets else None)
        if key not in self._timed:
            hours, basis = rate_by_weight(task, self.limits.weights, self.units)
            rate = _Rate(hours, task.unit, pallets if task.breaks_pallets else basis)
            self._timed[key] = self._time(task, ("crew", task.crew), rate)
        return self._timed[key]

    def machine_hours(self, task: MachineTask) -> TaskHours | None:
        """Machine-hours of a task, if its machine can do it and there is anything to do."""
        key = self._key(task)
        if key not in self._timed:
            rate = self._machine_rate(task)
            worker: tuple[Worker, str] = ("machine", task.machine)
            self._timed[key] = self._time(task, worker, rate) if rate else None
        return self._timed[key]

    def _key(self, task: ProductionTask | MachineTask, pallets: str | None = None) -> _Timed:
        """What decides the hours of a task at this job."""
        return task.id, pallets, tuple(self.limits.choices[name] for name in task.conditions)

    def _time(
        self, task: ProductionTask | MachineTask, worker: tuple[Worker, str], rate: _Rate
    ) -> TaskHours | None:
        """Hours of a task, if there is anything to do."""
        factors, parts = self._factors(task)
        if task.per_distance_m is not None:
            carrying, access = self.rates.carrying, self.limits.access
            factors.append(distance_factor(access, carrying, task.per_distance_m, self.units))
        rated = RatedTask(
            task=task.id,
            title=task.title,
            worker=worker[0],
            who=worker[1],
            measured=task.measured_by.replace("_", " "),
            quantity=self.amount(task.measured_by),
            dimension=measured_dimension(task.measured_by),
            unit=rate.unit,
            rate=rate.hours_per_unit,
            factors=tuple(factors),
            basis=rate.basis,
            shares=self.shares(task.measured_by),
            parts=parts,
        )
        return time_task(rated, self.units)

    def _factors(self, task: ProductionTask | MachineTask) -> tuple[list[Factor], tuple[Part, ...]]:
        """Factors on all of a task, and its parts where the height of courses gives several."""
        names, lifted = task.conditions, self.limits.lifted
        counts = lifted.counts.get(task.measured_by) if lifted else None
        if not lifted or not counts or lifted.condition not in names:
            return [self.factors[name] for name in names], ()
        parts = parts_of(self.rates, lifted, counts)
        if len(parts) > 1:
            return [self.factors[name] for name in names if name != lifted.condition], parts
        factors = {**self.factors, lifted.condition: parts[0].factor}
        return [factors[name] for name in names], ()

    def _machine_rate(self, task: MachineTask) -> _Rate | None:
        """Hours per unit as stated, or per m3 by what the machine compacts of this soil."""
        if task.hours_per_unit is not None:
            return _Rate(task.hours_per_unit, task.unit, task.basis)
        machine = self.rates.machines[task.machine]
        compacted = compaction_rate(machine, self.limits.soil_kind, self.units)
        return _Rate(compacted[0], UNITS["m3"], compacted[1]) if compacted else None
