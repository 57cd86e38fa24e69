"""What stands in production rates and site work: crews, machines, tasks, conditions."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "range-falls",
        "A range is not in order",
        "Low is at most likely, and likely at most high.",
    ),
    ProblemKind(
        "rate-twice",
        "A rate is stated twice",
        "A machine task has hours, output or cycle.",
    ),
    ProblemKind(
        "rate-missing",
        "Nothing times a task",
        "A machine task has hours, output or cycle; without them its machine compacts a volume.",
    ),
    ProblemKind(
        "cycle-not-volume",
        "A cycle carries something that is no volume",
        "Loads of a cycle are volumes, so what the task is measured by is one.",
    ),
    ProblemKind(
        "efficiency-missing",
        "The worked part of an hour is missing",
        "Output and cycle are those of an hour that is worked in full: efficiency says how much "
        "of it is.",
    ),
    ProblemKind(
        "efficiency-unused",
        "An efficiency has nothing to act on",
        "Efficiency belongs to output or cycle; stated hours include it.",
    ),
    ProblemKind(
        "machine-cost-unclear",
        "A machine is neither owned nor hired, or both",
        "A machine has either an [owned] or a [hired] table.",
    ),
    ProblemKind(
        "machine-unknown",
        "A machine is not known",
        "The hint lists the machines.",
    ),
    ProblemKind(
        "task-unknown",
        "A task is not known",
        "What takes a task's place, and what an own figure is for, is a task of the rates. Of own "
        "figures the hint gives the nearest one.",
    ),
    ProblemKind(
        "otherwise-circular",
        "Tasks take each other's place in a circle",
        "The message gives the way that leads back.",
    ),
    ProblemKind(
        "by-weight-unused",
        "A table by weight stands where no unit of one kind is counted",
        "Standard, corner and cap units have a weight each, and so have units of the base course.",
    ),
    ProblemKind(
        "weights-not-rising",
        "Rows of a table by weight don't rise",
        "The first row that a unit doesn't outweigh holds, so lighter ones stand first.",
    ),
    ProblemKind(
        "name-unknown",
        "A machine or a crew is not known",
        "Costs that machines are chosen by are those of machines and crews of the same rates.",
    ),
    ProblemKind(
        "choose-by-incomplete",
        "Costs that machines are chosen by leave one out",
        "A machine or a crew without a cost would count nothing, and always be chosen. Name each, "
        'with "0" where it costs nothing.',
    ),
    ProblemKind(
        "crew-unknown",
        "A crew is not known",
        "The hint lists the crews of the rates.",
    ),
    ProblemKind(
        "condition-unknown",
        "A task names a condition that the rates don't have",
        "The hint lists the conditions of the rates.",
    ),
    ProblemKind(
        "condition-twice",
        "A task names a condition twice",
        "A condition changes a task's hours once.",
    ),
    ProblemKind(
        "derived-twice",
        "A choice follows from several things",
        "The choice of a condition follows from the way, the soil, the plan or the height of "
        "courses: from one of them, and one condition of a file from height.",
    ),
    ProblemKind(
        "heights-not-rising",
        "Rows by height are not in order",
        "Each `up_to` is more than the one before, and only the last row leaves it out.",
    ),
    ProblemKind(
        "heap-without-volume",
        "A task heaps topsoil that is no volume",
        "What a task heaps is its quantity: a task with heaps_topsoil is measured by volume.",
    ),
    ProblemKind(
        "sod-without-area",
        "A task takes sod off something that is no area",
        "Sod has a thickness and an area: a task with [sod] is measured by area.",
    ),
    ProblemKind(
        "choice-unknown",
        "A condition has no such choice",
        "The neutral choice of a condition, and one under which a machine works, is one of its "
        "choices; the hint lists them.",
    ),
    ProblemKind(
        "neutral-not-1",
        "The neutral choice changes hours",
        "Hours are stated for the neutral choice, so its factor is 1.",
    ),
    ProblemKind(
        "worked-hour-unclear",
        "It is not clear how much of an hour is worked",
        "A crew has either worked_share or worked_minutes_per_hour.",
    ),
    ProblemKind(
        "unit-mismatch",
        "A unit doesn't fit what a task is measured by",
        "The message says what the task is measured by; the hint lists units that fit.",
    ),
    ProblemKind(
        "task-empty",
        "A task of site work has nothing in it",
        "A task needs labor, a machine, materials or something that is tipped.",
    ),
)
