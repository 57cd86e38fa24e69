"""The faults of loads above a wall and of tiers, for people."""

from __future__ import annotations

from service.api.fault_kinds import FaultKind

LOADS: tuple[FaultKind, ...] = (
    FaultKind(
        "surcharge-twice",
        "The load behind a wall is given twice",
        "A wall takes either a surcharge as a figure, or the words of what stands above it.",
    ),
    FaultKind(
        "load-slope-missing",
        "A slope above a wall doesn't say how steep it is",
        'Give its slope beside its word: {"what": "slope", "from": "6 ft", "slope": "3:1"}.',
    ),
    FaultKind(
        "load-slope-unused",
        "Something above a wall has a slope that is not its own",
        "Only a slope has one. The ground right behind the wall has its own in back_slope; ground "
        "that rises farther back is an entry of its own.",
    ),
    FaultKind(
        "load-slope-falls",
        "A slope above a wall doesn't rise",
        "What is named here rises from where it begins. Ground that falls away is left out.",
    ),
    FaultKind(
        "tier-on-itself",
        "A wall is named as standing above itself",
        "A tier names two walls of the request, the lower one and the upper one.",
    ),
    FaultKind(
        "tier-twice",
        "Two tiers name the same two walls",
        "Each pair of walls stands once, with its offset from face to face at the base.",
    ),
    FaultKind(
        "tiers-in-a-circle",
        "Tiers go in a circle",
        "A wall can't stand above one that stands above it. Check which one is the lower.",
    ),
)
