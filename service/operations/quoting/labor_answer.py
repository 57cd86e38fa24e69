"""Labor and machines as the answer prints them."""

from __future__ import annotations

from msgspec import UNSET

from service.core.labor.hours import (
    CrewTime,
    Labor,
    MachineChoice,
    MachineTime,
    Replaced,
    TaskHours,
)
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
        tasks=tuple(task_answer(task, units) for task in labor.tasks),
        crews=tuple(map(crew_answer, labor.crews)),
        labor_hours=plain(labor.labor_hours),
        labor_hours_low=plain(labor.labor_hours_low),
        labor_hours_high=plain(labor.labor_hours_high),
        crew_days=plain(labor.crew_days),
        equipment=tuple(map(machine_answer, labor.equipment)),
        replaced=tuple(map(replaced_answer, labor.replaced)),
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


def replaced_answer(found: Replaced) -> ReplacedAnswer:
    """A task that another one replaces, as it is answered."""
    return ReplacedAnswer(
        task=found.task,
        machine=found.machine,
        code=found.code,
        why=for_reading(found.why),
        by=found.by,
    )


def task_answer(task: TaskHours, units: UnitSet) -> TaskAnswer:
    """Hours of a task, as they are answered."""
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


def crew_answer(crew: CrewTime) -> CrewAnswer:
    """Time of a crew, as it is answered."""
    return CrewAnswer(
        crew=crew.crew,
        title=crew.title,
        hours=plain(crew.hours),
        days=plain(crew.days),
        paid_hours=plain(crew.paid_hours),
        how=crew.how,
    )


def machine_answer(time: MachineTime) -> EquipmentAnswer:
    """Time of a machine, as it is answered."""
    return EquipmentAnswer(
        machine=time.machine.id,
        title=time.machine.title,
        hours=plain(time.hours),
        hours_low=plain(time.hours_low),
        hours_high=plain(time.hours_high),
        days=time.days,
        how=time.how,
    )
