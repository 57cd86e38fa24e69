"""Soil: existing ground, digging and hauling, graded areas and their surveys."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "grading-distance-needed",
        "Finished ground never meets the ground that is there",
        "Carried on at its slope, finished ground doesn't meet existing ground within 50 ft (15 "
        "m). Say how far it is graded: graded_in_front or graded_behind as a distance.",
    ),
    ProblemKind(
        "cut-never-meets-ground",
        "The cut never meets the ground",
        "The cut rises behind the wall at its slope and doesn't come out of the existing "
        "ground, which is as steep. A steeper cut needs shoring and an engineer; check the "
        "ground's slope.",
    ),
    ProblemKind(
        "soil-not-reusable",
        "The soil may not go back",
        "The retained soil is marked as unfit for fill. Name another soil as `fill`: it is "
        "imported whole, and the cut is hauled off.",
    ),
    ProblemKind(
        "existing-ground-twice",
        "The existing ground is given twice",
        "A wall's existing ground is given by existing_grade or by existing_section, one of "
        "them for the whole wall.",
    ),
    ProblemKind(
        "existing-grade-first",
        "The first profile entry lacks the existing grade",
        "Give existing_grade in the first profile entry; left out in a later one it stays.",
    ),
    ProblemKind(
        "existing-section-missing",
        "A profile entry lacks its existing section",
        "Existing sections are given in every profile entry of a wall, or in none.",
    ),
    ProblemKind(
        "existing-section-short",
        "Existing sections don't reach far enough",
        "Sections of neighboring profile entries need offsets in common: measure from in front "
        "of the wall to behind it.",
    ),
    ProblemKind(
        "existing-section-order",
        "The pairs of an existing section are out of order",
        "A section has at least two pairs of offset and elevation, from front to back, each "
        "offset larger than the one before.",
    ),
    ProblemKind(
        "grid-uneven",
        "The rows of a grid don't match",
        "Every row of existing and finished levels has as many levels as the first one, and "
        "there are as many rows of the one as of the other.",
    ),
    ProblemKind(
        "survey-point-unknown",
        "The survey has no such point",
        "Corners of a boundary and the place of a finished plane name points of the same "
        "survey, or give northing and easting.",
    ),
    ProblemKind(
        "survey-points-outside",
        "No ground between the survey points lies inside the boundary",
        "Boundary and points are in one grid. Look at the order of the columns, and at the unit.",
    ),
    ProblemKind(
        "boundary-too-few-corners",
        "The boundary has too few corners",
        "It takes three corners to enclose an area.",
    ),
    ProblemKind(
        "boundary-corner-twice",
        "Two corners of the boundary lie at one place",
        "Corners follow each other around the area; the first need not be repeated at the end.",
    ),
    ProblemKind(
        "boundary-crosses-itself",
        "The boundary crosses itself",
        "Corners stand in the order in which one walks around the area; no side meets another "
        "one but at its ends.",
    ),
    ProblemKind(
        "boundary-not-covered",
        "The boundary reaches outside the survey points",
        "Ground is known between points only. Measure along the boundary, or draw it inside.",
    ),
    ProblemKind(
        "unknown-wall",
        "There is no such wall",
        "The request has no wall with this name. Walls without one are wall-1, wall-2 and so on.",
    ),
    ProblemKind(
        "grading-stations-order",
        "The stations of an area don't fit its wall",
        "Stations run in the direction of the wall's plan, from its start to its end.",
    ),
    ProblemKind(
        "earth-counted-twice",
        "An area covers ground that the wall's own earthwork covers",
        "The message says how far from its plan line the wall's earthwork reaches: the area "
        "begins there or beyond.",
    ),
    ProblemKind(
        "finished-under-pad",
        "An area in front of a wall lies under its pad",
        "Ground that is taken away beside a wall leaves its pad without support. The message "
        "says how low it may lie; what may be dug beside a footing is for licensed practice to "
        "decide.",
    ),
)
