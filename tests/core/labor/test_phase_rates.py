"""The order of work by the phases that production rates give."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from service.core.job.machine import Machine, Owned
from service.core.job.rates import MachineTask, ProductionTask
from service.core.labor.hours import TaskHours, TimedWork
from service.core.labor.sequencing.phase_rates import machine_uses, task_phases
from service.core.measure import UNITS
from service.core.three_point import one_figure
from tests.given.money import once, rates
from tests.given.phases import hours, ordered

RATES = replace(
    rates(fixed=[once("3"), replace(once("2", "clear_away"), phase="clean_up")]),
    tasks=(
        ProductionTask(
            id="set_caps",
            title="Set caps",
            crew="crew",
            measured_by="cap_units",
            hours_per_unit=one_figure(Decimal("0.1")),
            unit=UNITS["each"],
            phase="cap",
        ),
    ),
    machines={
        "skid": Machine(
            id="skid", title="Skid steer", cost=Owned(item="skid_hour"), hours_per_day=Decimal(6)
        )
    },
    machine_tasks=(
        MachineTask(
            id="dig",
            title="Dig",
            machine="skid",
            measured_by="cut_volume",
            hours_per_unit=one_figure(Decimal(1)),
            unit=UNITS["yd3"],
            phase="rough_cut",
        ),
    ),
)


def dug(task: str, count: str) -> TaskHours:
    """Machine-hours on one wall."""
    return TaskHours(
        task=task,
        title=task,
        worker="machine",
        who="skid",
        quantity=1.0,
        dimension="volume",
        hours=Decimal(count),
        hours_low=Decimal(count),
        hours_high=Decimal(count),
        shares=(("wall-1", 1.0),),
        told=tuple,
    )


def test_task_phases_take_every_task_that_names_one() -> None:
    """Tasks of crews and machines, hours once per job, and work that was timed elsewhere; fixed
    hours without a phase are left to the order of work."""
    assert task_phases(RATES, {"lay_sod": "topsoil_and_sod"}) == {
        "set_caps": "cap",
        "dig": "rough_cut",
        "clear_away": "clean_up",
        "lay_sod": "topsoil_and_sod",
    }


def test_machine_uses_carry_hours_to_their_phase() -> None:
    """12 h of digging at 6 h a day hold the rough cut for two days, 3 h of grading come on day 4
    after a day of caps: the machine is needed on two days, and on the fourth."""
    phases = task_phases(RATES, {"spread": "grade"})
    machine_tasks = (dug("dig", "12"), dug("spread", "3"))
    work = TimedWork(tasks=(hours("set_caps", "16"),), machine_tasks=machine_tasks)
    uses = machine_uses(work, RATES, phases)
    assert [(use.title, use.phase, use.hours) for use in uses] == [
        ("Skid steer", "rough_cut", Decimal(12)),
        ("Skid steer", "grade", Decimal(3)),
    ]
    found = ordered(hours("set_caps", "16"), phases=phases, machines=uses)
    assert [(each.phase, each.start_day, each.finish_day) for each in found.phases] == [
        ("rough_cut", 1, 2),
        ("cap", 3, 3),
        ("grade", 4, 4),
    ]
    (skid,) = found.machines
    assert (skid.machine, skid.needed) == ("skid", ((1, 2), (4, 4)))
