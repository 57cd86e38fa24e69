"""Crews, machines and the order of work."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "walls-wait-for-each-other",
        "Walls stand before each other in a circle",
        "The trench of an upper wall is opened when the lower one is backfilled, so no wall can "
        "be below itself. Name each lower wall once below its upper one.",
    ),
    ProblemKind(
        "machine-too-wide",
        "A machine is wider than the way",
        "The narrowest passage doesn't let the machine through, and the rates name no task that "
        "takes its place. Name one in `otherwise`, or state a smaller machine.",
    ),
    ProblemKind(
        "machine-stopped-by-stairs",
        "A machine can't climb stairs",
        "There are stairs on the way, and the rates name no task that takes the machine's place.",
    ),
    ProblemKind(
        "machine-too-heavy",
        "A machine is heavier than the way carries",
        "The machine weighs more than the load limit of the way, and the rates name no task "
        "that takes its place.",
    ),
    ProblemKind(
        "machine-overloaded",
        "A unit is heavier than the machine may lift",
        "The heaviest unit is over the machine's rated load, and the rates name no task that "
        "takes its place.",
    ),
    ProblemKind(
        "machine-ruled-out",
        "A condition rules a machine out",
        "The rates do this by machine only under another choice of the condition, and name no "
        "task that takes its place.",
    ),
    ProblemKind(
        "soil-not-compacted",
        "A machine doesn't compact this soil",
        "A plate is for granular soil; clay takes a rammer. The rates name no other machine in "
        "its place.",
    ),
    ProblemKind(
        "site-work-machine-missing",
        "A task of site work needs a machine that the rates don't have",
        "Add the machine to the rates, name other rates, or give the task's file hours by hand.",
    ),
    ProblemKind(
        "crew-day-too-short",
        "The fixed hours fill the crew's day",
        "The hours that each day takes leave no time for work. Look at the rates' fixed hours.",
    ),
    ProblemKind(
        "machine-off",
        "A machine is not to be used, and nothing takes its place",
        "The request names it in `machines_off`, and the rates name no task that takes its place, "
        "or site work has no hours by hand. Leave it in, or name other rates.",
    ),
    ProblemKind(
        "machines-too-many",
        "Too many machines to choose from",
        "Machines are chosen by comparing all sets of those that could be used on this job or "
        "left out. Name some that are not to be used in `machines_off`.",
    ),
    ProblemKind(
        "machine-not-chosen",
        "A machine is not among those chosen for the job",
        "The rates choose machines for the whole job by `choose_by`, and the job costs less by it "
        "without this one. `labor.replaced` says so of tasks that are done in another way; it is "
        "no fault.",
    ),
    ProblemKind(
        "unknown-condition",
        "The rates don't know this condition",
        "Conditions are those of the production rates that the request names; the hint gives "
        "the nearest one. GET /v1/production-rates/{id} lists them with their choices.",
    ),
    ProblemKind(
        "unknown-condition-choice",
        "A condition has no such choice",
        "The hint gives the nearest choice of this condition. GET /v1/production-rates/{id} "
        "lists all of them.",
    ),
)
