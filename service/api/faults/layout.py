"""What the walls ask for can't be laid out as asked."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "plan-empty",
        "A plan has no parts",
        "A plan needs at least one straight or curve.",
    ),
    ProblemKind(
        "corner-at-end",
        "A corner stands at an end of a plan",
        "A corner turns from one part to the next, so a plan begins and ends with a straight or "
        "a curve.",
    ),
    ProblemKind(
        "corners-in-a-row",
        "Two corners follow each other",
        "Between two corners there is a straight or a curve; add their angles or give the part "
        "between them.",
    ),
    ProblemKind(
        "leg-used-up",
        "A leg is too short for its height",
        "Each course sits back from the one below, and beside a corner that shortens a leg. "
        "Here nothing is left of it before the top. Make the leg longer or the wall lower.",
    ),
    ProblemKind(
        "offset-does-not-meet",
        "The lines behind the face don't meet",
        "Two parts meet in such a way that lines moved toward the soil have no common point, so "
        "pad, stone and upper courses can't be laid out there. Change the angle or the radius.",
    ),
    ProblemKind(
        "layout-too-large",
        "The walls step too often for one request",
        "Every step of base or top is laid out on its own, and one request may have some "
        "thousands of them. Leave out profile entries that say nothing new, or send the walls "
        "apart.",
    ),
    ProblemKind(
        "profile-too-short",
        "A profile has too few stations",
        "A profile needs at least its first and last station: 0 and the end of the plan.",
    ),
    ProblemKind(
        "station-unknown-part",
        "A station names a part the plan does not have",
        'With {"after": n} the parts of the plan are counted from 1.',
    ),
    ProblemKind(
        "top-below-front-grade",
        "A top lies below the ground in front",
        "The requested top must not lie below the front grade of the same station.",
    ),
    ProblemKind(
        "wall-too-high",
        "A wall is higher than the service lays out",
        "The message gives the bound.",
    ),
    ProblemKind(
        "no-course",
        "A wall has no course",
        "No unit stands anywhere: top and ground are too close.",
    ),
    ProblemKind(
        "front-slope-unsupported",
        "The section does not allow this slope in front",
        "The typical section says how deep a wall stands by the slope in front of it, and has "
        "no row for one this steep. Choose another section or a flatter slope.",
    ),
    ProblemKind(
        "stations-out-of-order",
        "Stations go back",
        "Profile entries stand in the order of their stations, from the start of the plan to "
        "its end. Sort them, or look for a station that was mistyped.",
    ),
    ProblemKind(
        "end-station-doubled",
        "Two profile entries stand at an end of a wall",
        "Two entries at one station make a jump, and a jump needs wall on both sides. At the "
        "first and the last station one entry stands.",
    ),
    ProblemKind(
        "station-given-three-times",
        "Three profile entries stand at one station",
        "Two entries at one station make a jump: the level before it and the level after it. A "
        "third one has no meaning.",
    ),
    ProblemKind(
        "first-station-not-zero",
        "The first station is not 0",
        "A profile begins where the plan begins: its first station is 0.",
    ),
    ProblemKind(
        "last-station-off",
        "The last station is not the end of the plan",
        "A profile ends where the plan ends: its last station is the plan's length, which the "
        'message gives, or "end". Up to an inch beside it is taken for the end. If the length '
        "is wrong, look at the plan's parts.",
    ),
)
