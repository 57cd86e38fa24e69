"""Machine tasks that no machine does, that nothing times, or whose replacements lead nowhere."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from pydantic import ValidationInfo

from service.catalog.documents.entry import BrokenRule
from service.catalog.documents.machine import MachineTable
from service.catalog.documents.task import MachineTaskTable
from service.core.job.measured import measured_dimension
from service.fields import refused


def machine_faults(rows: Iterable[MachineTaskTable], info: ValidationInfo) -> Iterator[BrokenRule]:
    """Machines that aren't there, and tasks that nothing times."""
    machines: Mapping[str, MachineTable] | None = info.data.get("machines")
    if machines is None:
        return
    hint = f"known: {', '.join(machines)}" if machines else "a [machines.<id>] table"
    for place, row in enumerate(rows):
        machine = machines.get(row.machine)
        if machine is None:
            message = f'no machine is called "{row.machine}"'
            yield (place, "machine"), refused("machine-unknown", message, hint)
        elif row.hours is None and row.output is None and row.cycle is None:
            yield from _untimed(place, row, machine)


def _untimed(place: int, row: MachineTaskTable, machine: MachineTable) -> Iterator[BrokenRule]:
    """A task without a rate is timed by the compaction of its machine, which moves a volume."""
    if machine.compaction is None or measured_dimension(row.measured_by) != "volume":
        yield (
            (place, "hours"),
            refused(
                "rate-missing",
                "nothing times this task",
                "hours, output or cycle; or a machine with [compaction] and a volume to compact",
            ),
        )


def otherwise_faults(
    rows: tuple[MachineTaskTable, ...], crew_tasks: list[str]
) -> Iterator[BrokenRule]:
    """What takes a task's place is another task, and no way of them leads back."""
    after = {row.id: row.otherwise for row in rows}
    for place, row in enumerate(rows):
        if row.otherwise is None:
            continue
        if row.otherwise not in after and row.otherwise not in crew_tasks:
            message = f'no task is called "{row.otherwise}"'
            yield (place, "otherwise"), refused("task-unknown", message)
            continue
        passed, step = [row.id], row.otherwise
        while step in after and step not in passed:
            passed.append(step)
            step = after[step] or ""
        if step in passed:
            way = " -> ".join((*passed, step))
            yield (place, "otherwise"), refused("otherwise-circular", f"leads back: {way}")
