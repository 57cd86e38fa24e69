"""The faults of machines and of production rates that state them."""

from __future__ import annotations

from service.api.fault_kinds import FaultKind

MACHINES: tuple[FaultKind, ...] = (
    FaultKind(
        "machine-too-wide",
        "A machine is wider than the way",
        "The narrowest passage doesn't let the machine through, and the rates name no task that "
        "takes its place. Name one in `otherwise`, or state a smaller machine.",
    ),
    FaultKind(
        "machine-stopped-by-stairs",
        "A machine can't climb stairs",
        "There are stairs on the way, and the rates name no task that takes the machine's place.",
    ),
    FaultKind(
        "machine-too-heavy",
        "A machine is heavier than the way carries",
        "The machine weighs more than the load limit of the way, and the rates name no task that "
        "takes its place.",
    ),
    FaultKind(
        "machine-overloaded",
        "A unit is heavier than the machine may lift",
        "The heaviest unit is over the machine's rated load, and the rates name no task that takes "
        "its place.",
    ),
    FaultKind(
        "soil-not-compacted",
        "A machine doesn't compact this soil",
        "A plate is for granular soil; clay takes a rammer. The rates name no other machine in its "
        "place.",
    ),
    FaultKind(
        "range-falls",
        "A range is not in order",
        "Low is at most likely, and likely at most high.",
    ),
    FaultKind("rate-twice", "A rate is stated twice", "A machine task has hours, output or cycle."),
    FaultKind(
        "rate-missing",
        "Nothing times a task",
        "A machine task has hours, output or cycle; without them its machine compacts a volume.",
    ),
    FaultKind(
        "cycle-not-volume",
        "A cycle carries something that is no volume",
        "Loads of a cycle are volumes, so what the task is measured by is one.",
    ),
    FaultKind(
        "efficiency-missing",
        "The worked part of an hour is missing",
        "Output and cycle are those of an hour that is worked in full: efficiency says how much "
        "of it is.",
    ),
    FaultKind(
        "efficiency-unused",
        "An efficiency has nothing to act on",
        "Efficiency belongs to output or cycle; stated hours include it.",
    ),
    FaultKind(
        "machine-cost-unclear",
        "A machine is neither owned nor hired, or both",
        "A machine has either an [owned] or a [hired] table.",
    ),
    FaultKind("machine-unknown", "A machine is not known", "The hint lists the machines."),
    FaultKind(
        "task-unknown", "A task is not known", "What takes a task's place is a task of the rates."
    ),
    FaultKind(
        "otherwise-circular",
        "Tasks take each other's place in a circle",
        "The message gives the way that leads back.",
    ),
)
