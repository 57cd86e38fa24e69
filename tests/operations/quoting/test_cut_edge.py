"""Where the soil behind another fill begins: at the cut that is really dug."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import Polygon

from tests.given.quote_requests import Json, answered
from tests.given.screened import set_request, set_wall, sets_catalog, value_of
from tests.given.wedge_search import FAR, Searched

SOILS = {"retained": "phi26", "foundation": "phi30", "fill": "phi36"}
BATTER = 0.75 / 8
FIELD = "/walls/0/profile/0/existing_grade"


def screened(*walls: Json, section: str = "steep_cut", **more: object) -> Json:
    """Fill of 36 deg before ground of 26 deg, class C; the section digs at 1/4:1."""
    request = set_request(*walls, soils=SOILS, section=section, **more)
    return answered(request, sets_catalog())


def on_ground(wall: Json, grade: str, slope: str = "level") -> Json:
    """The wall with ground that was measured."""
    first, *rest = wall["profile"]
    first = {**first, "existing_grade": grade}
    return {**wall, "profile": [first, *rest], "existing_slope": slope, "graded_in_front": "0 ft"}


def sliding(courses: int, run: float) -> float:
    """Sliding on 30 deg by the search, the edge 12 in behind the units at so much in 1."""
    height = courses * 8 / 12
    soil = [(0, 0), (height * BATTER, height), (FAR, height), (FAR, -1), (0, -1)]
    edge = (1.0, 1 / run)
    search = Searched([(Polygon(soil), 120.0)], [], 36, 24, BATTER, edge=edge, edge_deg=26)
    return 120 * height * math.tan(math.radians(30)) / search.push()


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("measured", [True, False])
@pytest.mark.parametrize(("courses", "run"), [(6, 0.25), (8, 1.5)])
def test_edge_of_two_soils_is_the_slope_that_is_dug(
    courses: int, run: float, measured: bool
) -> None:
    """A cut of 4.5 ft at the section's 1/4:1, one of 5.8 ft at the 1.5:1 of class C, in measured
    ground as in finished."""
    wall = set_wall(f"{courses * 8} in")
    answer = screened(on_ground(wall, f"{courses * 8} in") if measured else wall)
    assert value_of(answer, "base_sliding") == pytest.approx(sliding(courses, run), rel=1e-3)
    assert sliding(courses, 0.25) < sliding(courses, 1.5) * 0.98


def test_edge_under_finished_ground_is_an_assumption() -> None:
    """It says slope and place of the cut where no existing ground is stated, and nothing where
    some is, or where one soil lies all round."""
    wall = set_wall("48 in")
    told = [
        [each for each in answer["assumptions"] if "finished ground" in each.get("value", "")]
        for answer in (
            screened(wall),
            screened(on_ground(wall, "48 in")),
            answered(set_request(wall), sets_catalog()),
        )
    ]
    assert told[1:] == [[], []]
    (found,) = told[0]
    assert found["field"] == FIELD
    assert found["value"] == "a cut into finished ground, 0.25:1 from 1 ft behind the units"


def deepest(answer: Json, wall: int = 0) -> float:
    """The deepest cut of a wall, ft."""
    return float(answer["earthwork"]["walls"][wall]["deepest_cut"]["value"])


def test_edge_behind_tiers_is_that_of_their_one_cut() -> None:
    """Two walls on a bank of 4:1, each cut alone under 5 ft and both together over: as if the
    section dug at 1.5:1."""
    lower = on_ground(set_wall("40 in"), "30 in", "4:1")
    upper = on_ground(set_wall("32 in"), "48 in", "4:1")
    raised = {"front_grade": "40 in", "top": "72 in", "back_grade": "72 in"}
    upper["profile"] = [{**entry, **raised} for entry in upper["profile"]]
    tiers = [{"lower": "low", "upper": "up", "offset": "6 ft"}]
    walls = ({**lower, "name": "low"}, {**upper, "name": "up"})
    mine, flat = (screened(*walls, tiers=tiers, section=each) for each in ("steep_cut", "flat_cut"))
    assert max(deepest(screened(wall)) for wall in walls) < 5 <= deepest(mine)
    assert mine["checks"] == flat["checks"]


def test_edge_behind_layers_is_that_of_their_cut() -> None:
    """On a bank layers let the cut grow over 5 ft: they are held against 1.5:1, the plain stack
    against 1/4:1."""
    wall, layers = on_ground(set_wall("48 in"), "42 in", "4:1"), {"reinforcement": "all"}
    mine, flat = (
        screened(wall, section=each, screening=layers) for each in ("steep_cut", "flat_cut")
    )
    plain = screened(wall)
    assert deepest(plain) < 5 <= deepest(mine)
    assert mine["checks"] == flat["checks"]
    flatter = screened(wall, section="flat_cut")
    assert value_of(plain, "base_sliding") < value_of(flatter, "base_sliding")
