"""The faults a graded area can have: how it is given, its survey, its boundary, its place."""

from __future__ import annotations

from service.api.fault_kinds import FaultKind

GRADING: tuple[FaultKind, ...] = (
    FaultKind(
        "grading-unclear",
        "It is not clear how an area is given",
        "An area is given by a grid of levels, by survey points, or by its size with an average "
        "depth of cut or fill: one of them. Finished ground is given once.",
    ),
    FaultKind(
        "grid-uneven",
        "The rows of a grid don't match",
        "Every row of existing and finished levels has as many levels as the first one, and there "
        "are as many rows of the one as of the other.",
    ),
    FaultKind(
        "survey-line-invalid",
        "A line of the survey can't be read",
        "The message gives the line. A line is point number, two coordinates in the stated order, "
        "elevation and, if there is one, a description; figures are decimals without their unit.",
    ),
    FaultKind(
        "survey-order-contradicted",
        "The header names another order of columns",
        "The order is stated in the request. If the line of column names is right, state that one.",
    ),
    FaultKind(
        "survey-point-twice",
        "A survey point stands twice",
        "The message gives both lines. Each number stands once, and at each place one point.",
    ),
    FaultKind(
        "survey-too-few-points",
        "There are too few survey points",
        "Three points that are not in one line are the least that make a surface.",
    ),
    FaultKind(
        "survey-too-many-points",
        "There are too many survey points",
        "The message gives the bound. Split the area, or leave out points on even ground.",
    ),
    FaultKind(
        "survey-points-in-line",
        "All survey points lie in one line",
        "Ground is known between points only; it takes points to both sides of a line.",
    ),
    FaultKind(
        "survey-point-unknown",
        "The survey has no such point",
        "Corners of a boundary and the place of a finished plane name points of the same survey, "
        "or give northing and easting.",
    ),
    FaultKind(
        "survey-points-outside",
        "No ground between the survey points lies inside the boundary",
        "Boundary and points are in one grid. Look at the order of the columns, and at the unit.",
    ),
    FaultKind(
        "boundary-too-few-corners",
        "The boundary has too few corners",
        "It takes three corners to enclose an area.",
    ),
    FaultKind(
        "boundary-corner-twice",
        "Two corners of the boundary lie at one place",
        "Corners follow each other around the area; the first need not be repeated at the end.",
    ),
    FaultKind(
        "boundary-crosses-itself",
        "The boundary crosses itself",
        "Corners stand in the order in which one walks around the area; no side meets another one "
        "but at its ends.",
    ),
    FaultKind(
        "boundary-not-covered",
        "The boundary reaches outside the survey points",
        "Ground is known between points only. Measure along the boundary, or draw it inside.",
    ),
    FaultKind(
        "unknown-wall",
        "There is no such wall",
        "The request has no wall with this name. Walls without one are wall-1, wall-2 and so on.",
    ),
    FaultKind(
        "grading-stations-order",
        "The stations of an area don't fit its wall",
        "Stations run in the direction of the wall's plan, from its start to its end.",
    ),
    FaultKind(
        "earth-counted-twice",
        "An area covers ground that the wall's own earthwork covers",
        "The message says how far from its plan line the wall's earthwork reaches: the area begins "
        "there or beyond.",
    ),
    FaultKind(
        "finished-under-pad",
        "An area in front of a wall lies under its pad",
        "Ground that is taken away beside a wall leaves its pad without support. The message says "
        "how low it may lie; what may be dug beside a footing is for licensed practice to decide.",
    ),
)
