"""Labor and machines as the answer prints them."""

from __future__ import annotations

from msgspec import UNSET

from service.core.labor.hours import CrewTime, Labor, MachineChoice, MachineTime, TaskHours
from service.core.measure import UnitSet
from service.operations.quoting.answer import (
    CrewAnswer,
    EquipmentAnswer,
    LaborAnswer,
    MachineChoiceAnswer,
    MachineSetAnswer,
    ReplacedAnswer,
    TaskAnswer,
)
from service.operations.quoting.measures import measure_of, plain
from service.operations.quoting.sentences import for_reading


def labor_answer(labor: Labor, units: UnitSet) -> LaborAnswer:
    """The labor of the answer."""
    return LaborAnswer(
        tasks=tuple(_task(task, units) for task in labor.tasks),
        crews=tuple(map(_crew, labor.crews)),
        labor_hours=plain(labor.labor_hours),
        labor_hours_low=plain(labor.labor_hours_low),
        labor_hours_high=plain(labor.labor_hours_high),
        crew_days=plain(labor.crew_days),
        equipment=tuple(map(_machine, labor.equipment)),
        replaced=tuple(
            ReplacedAnswer(
                task=r.task, machine=r.machine, code=r.code, why=for_reading(r.why), by=r.by
            )
            for r in labor.replaced
        ),
        choice=_choice(labor.choice) if labor.choice else UNSET,
    )


def _choice(choice: MachineChoice) -> MachineChoiceAnswer:
    chosen, other = choice.chosen, choice.runner_up
    return MachineChoiceAnswer(
        machines=chosen.machines,
        cost=plain(chosen.cost),
        how=choice.how,
        runner_up=UNSET
        if other is None
        else MachineSetAnswer(machines=other.machines, cost=plain(other.cost)),
    )


def _task(task: TaskHours, units: UnitSet) -> TaskAnswer:
    return TaskAnswer(
        task=task.task,
        title=task.title,
        crew=task.who,
        quantity=measure_of(task.quantity, task.dimension, units),
        hours=plain(task.hours),
        hours_low=plain(task.hours_low),
        hours_high=plain(task.hours_high),
        how=task.how,
    )


def _crew(crew: CrewTime) -> CrewAnswer:
    return CrewAnswer(
        crew=crew.crew,
        title=crew.title,
        hours=plain(crew.hours),
        days=plain(crew.days),
        paid_hours=plain(crew.paid_hours),
        how=crew.how,
    )


def _machine(time: MachineTime) -> EquipmentAnswer:
    return EquipmentAnswer(
        machine=time.machine.id,
        title=time.machine.title,
        hours=plain(time.hours),
        hours_low=plain(time.hours_low),
        hours_high=plain(time.hours_high),
        days=time.days,
        how=time.how,
    )
