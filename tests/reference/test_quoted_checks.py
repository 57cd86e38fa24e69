"""Outside figures of statics, lifting and code limits, asked of the service itself."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.given.quote_requests import Json, caution_codes, caution_of, quoted
from tests.given.reference_files import PRICES
from tests.given.screened import set_request, set_wall, value_of
from tests.reference.conftest import rows_of

GRAVITY = rows_of("gravity")
LEANING = rows_of("earth_pressure")["leaning"]["rows"]
SLOPES = {0: "level", 14: "4:1", 18: "3:1", 27: "2:1"}
SETBACKS = {0.75: "three_quarter", 1: "one"}


def soils(behind: str, under: str) -> Json:
    """Soil behind and under a wall."""
    return {"retained": behind, "foundation": under, "fill": behind}


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("row", LEANING, ids=str)
def test_quote_slides_by_the_table_of_leaning_walls(
    served: TestClient, row: Mapping[str, float]
) -> None:
    """Four courses of 8 in weigh 320 lb/ft on ground of 30 deg; the level thrust of 120 lb/ft3 over
    2.667 ft is 426.67 lb/ft times the table's level coefficient."""
    behind, slope = f"deg_{row['friction']}", SLOPES[round(row["slope"])]
    wall = set_wall("32 in", back_slope=slope)
    request = set_request(wall, soils=soils(behind, "deg_30"), section="flat")
    answer = quoted(served, {**request, "wall_system": f"lean_{row['batter']:.0f}"})
    thrust = 120 * (8 / 3) ** 2 / 2 * row["horizontal"]
    expected = 320 * math.tan(math.radians(30)) / thrust
    assert value_of(answer, "base_sliding") == pytest.approx(expected, rel=2e-4, abs=6e-5)


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("row", GRAVITY["tallest"]["rows"], ids=str)
def test_quote_gives_the_tallest_stack_of_the_set(
    served: TestClient, row: Mapping[str, Any]
) -> None:
    """The most courses that keep sliding and overturning at 1.5, on ground of at most 30 deg."""
    under = f"phi{min(row['friction'], 30)}"
    request = set_request(set_wall("6 ft"), soils=soils(f"phi{row['friction']}", under))
    answer = quoted(served, {**request, "wall_system": SETBACKS[row["setback_in"]]})
    (wall,) = answer["screening"]["walls"]
    assert wall["tallest_gravity_courses"] == row["courses"]


def test_quote_factors_loads_and_resistances_as_published(served: TestClient) -> None:
    """FHWA-NHI-10-024, Tables 4-2 and 4-5, on case G1: soil 1.50, weight 1.00 or 1.35, sliding 1.0,
    bearing 0.65. Sliding 320 tan 30 / (1.5 x 107.681); bearing with N-gamma 22.40 on the width
    that presses, spread by the pad of 0.5 ft, the worse of both weights."""
    request = set_request(set_wall("32 in"), screening={"basis": "fhwa"})
    answer = quoted(served, request)
    sliding = 320 * math.tan(math.radians(30)) / (1.5 * 107.681)
    assert value_of(answer, "base_sliding") == pytest.approx(sliding, rel=1e-3)
    ratios = []
    for weight in (320 * 1.00, 320 * 1.35):
        lever = 0.59375 - 1.5 * 107.681 * (8 / 3) / 3 / weight
        width = 2 * lever + 0.5
        ratios.append(0.65 * 120 * width * 22.40 / 2 / (weight / width))
    assert value_of(answer, "bearing") == pytest.approx(min(ratios), rel=2e-3)


def test_quote_holds_a_unit_against_the_lifting_limit(served: TestClient) -> None:
    """A unit of 82 lb as it is laid, by DHHS (NIOSH) 94-110, once a minute for more than 2 h (0.75
    of Table 5, where an hour has 0.94 and 19.58 lb): the limit is 15.62 lb, the index 5.25."""
    wall = set_wall("32 in")
    answer = quoted(
        served,
        {"units": "us", "wall_system": "heavy_unit", "section": "set_section", "walls": [wall]}
        | {"prices": PRICES},
    )
    text = caution_of(answer, "machine-unit")["text"]
    assert "82 lb" in text
    assert "15.6" in text
    assert "lifting index 5.25" in text


def limits(served: TestClient, exposed: str, **more: object) -> list[str]:
    """Caution codes of a wall of 40 ft on level ground."""
    entries = [
        {"station": at, "exposed": exposed, "front_grade": "0 ft", **more} for at in ("0 ft", "end")
    ]
    plan = [{"kind": "straight", "length": "40 ft"}]
    wall = {"plan": plan, "profile": entries, "surcharge": "0 psf"}
    ground = {"graded_in_front": "5 ft", "graded_behind": "10 ft"} if more else {}
    request = {"units": "us", "wall_system": "set_unit", "section": "set_section"}
    earth = {"soils": {"retained": "set_soil"}} if more else {}
    return caution_codes(
        quoted(served, {**request, **earth, "walls": [{**wall, **ground}], "prices": PRICES})
    )


@pytest.mark.parametrize(
    ("code", "short", "reached"),
    [
        # IRC 2018, R312.1.1: a drop of more than 30 in
        ("guard-height", "30 in", "30.25 in"),
        # IRC 2009, R105.2: 34 in exposed are 40 in of courses and 46 in with the pad, 34.25 in 54
        ("permit-height", "34 in", "34.25 in"),
        # from the underside of the lowest unit, over 4 ft: 42 in are 48, 42.25 in 56
        ("engineer-height", "42 in", "42.25 in"),
        # 29 CFR 1926.501(b): 6 ft
        ("workers-near-edge", "71.75 in", "72 in"),
        # IBC 1807.2.2: more than 6 ft, 66 in exposed are 72 in, 66.25 in 80
        ("seismic-backfill", "66 in", "66.25 in"),
    ],
)
def test_quote_cautions_at_the_published_height(
    served: TestClient, code: str, short: str, reached: str
) -> None:
    """Just short of its limit nothing is said, at it or just past it, it is."""
    assert code not in limits(served, short)
    assert code in limits(served, reached)


@pytest.mark.parametrize(
    ("code", "short", "reached"),
    [
        # the trench goes 14 in under the front grade: 46 in of ground make 60 in
        ("cut-slope", "45.9 in", "46 in"),
        ("trench-egress", "33.9 in", "34 in"),
    ],
)
def test_quote_cautions_at_the_published_depth(
    served: TestClient, code: str, short: str, reached: str
) -> None:
    """29 CFR 1926.652(a)(1) and 651(c)(2): from 5 ft and from 4 ft of depth on."""
    assert code not in limits(served, "48 in", existing_grade=short)
    assert code in limits(served, "48 in", existing_grade=reached)
