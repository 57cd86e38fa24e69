"""The boundary of a surveyed area: corners by point number or by coordinates.

Corners are taken in order and joined by straight sides, the last to the first. Places are pairs
of easting and northing in meters.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

import shapely

from service.core.errors import Fault, Path, QuoteFaultsError
from service.core.ground.place import find_place
from service.core.job.graded import SurveyPlace
from service.core.job.survey_points import EastingNorthing
from service.core.rounding import CLOSE_M

FEWEST_CORNERS = 3


def lay_out_boundary(
    corners: Sequence[SurveyPlace], known: Mapping[str, EastingNorthing], at: Path
) -> list[EastingNorthing]:
    """The corners' places; a last corner that closes the ring is left out. `known` holds the
    survey's points by number.

    Raises QuoteFaultsError below `at`: `survey-point-unknown`, `boundary-corner-twice`,
    `boundary-too-few-corners`, `boundary-crosses-itself`.
    """
    places: list[EastingNorthing] = []
    faults: list[Fault] = []
    for index, corner in enumerate(corners):
        try:
            places.append(find_place(corner, known, (*at, index)))
        except QuoteFaultsError as error:
            faults += error.faults
    if not faults:
        if len(places) > 1 and _close(places[0], places[-1]):
            places.pop()
        faults += _corner_faults(places, at)
        faults += _crossing_faults(places, at) if not faults else ()
    if faults:
        raise QuoteFaultsError(faults)
    return places


def ring_area_m2(places: Sequence[EastingNorthing]) -> float:
    """Area inside a ring: positive counter-clockwise."""
    east, north = places[0]
    local = [(x - east, y - north) for x, y in places]
    return math.fsum(a * d - b * c for (a, b), (c, d) in pairwise((*local, local[0]))) / 2


def _close(a: EastingNorthing, b: EastingNorthing) -> bool:
    return math.dist(a, b) < CLOSE_M


def _corner_faults(places: Sequence[EastingNorthing], at: Path) -> Iterator[Fault]:
    if len(places) < FEWEST_CORNERS:
        yield Fault(
            code="boundary-too-few-corners",
            at=at,
            message=f"the boundary has {len(places)} corners, it needs at least {FEWEST_CORNERS}",
            hint="corners in order around the area; the first need not be repeated",
        )
        return
    for index, (a, b) in enumerate(pairwise(places), start=1):
        if _close(a, b):
            yield Fault(
                code="boundary-corner-twice",
                at=(*at, index),
                message=f"corners {index} and {index + 1} of the boundary lie at one place",
                hint="leave one of them out",
            )


def _crossing_faults(places: Sequence[EastingNorthing], at: Path) -> Iterator[Fault]:
    if shapely.Polygon(places).is_valid and abs(ring_area_m2(places)) >= CLOSE_M**2:
        return
    count = len(places)
    sides = [shapely.LineString([places[i], places[(i + 1) % count]]) for i in range(count)]
    met = shapely.STRtree(sides).query(sides, predicate="intersects").T.tolist()
    apart = sorted((a, b) for a, b in met if a < b and b - a not in {1, count - 1})
    first, second = apart[0] if apart else (0, None)
    how = (
        "turns back on itself"
        if second is None
        else (
            f"crosses itself: the side from corner {first + 1} to {first + 2} meets the side from "
            f"corner {second + 1} to {(second + 1) % count + 1}"
        )
    )
    yield Fault(
        code="boundary-crosses-itself",
        at=(*at, first),
        message=f"the boundary {how}",
        hint="corners in the order in which one walks around the area",
    )
