"""Outside figures of earthwork, asked of the service itself: POST /v1/quotes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.given.quote_requests import Json, quoted
from tests.given.reference_files import PRICES
from tests.reference.conftest import rows_of

pytestmark = pytest.mark.no_cover  # others run the same lines

EARTH = rows_of("earthwork")
GRIDS = [row for row in rows_of("grading")["row"] if row["check"] == "grid"]
# A 2:1 hillside that is level 3.33 ft behind the face, 2.667 ft up, as offsets from the plan line.
HILLSIDE = ((-7.0, 0.0), (-2.0, 0.0), (10 / 3, 8 / 3), (10.0, 8 / 3))


def request(wall: Json, soil: str, **more: object) -> Json:
    """A quote of one wall in one soil."""
    return {
        "units": "us",
        "wall_system": "set_unit",
        "section": "set_section",
        "soils": {"retained": soil},
        "walls": [wall],
        "prices": PRICES,
        **more,
    }


def wall_of(height_ft: float, ground: tuple[tuple[float, float], ...], **more: object) -> Json:
    """A wall of 40 ft between two structures, with the same ground before the work everywhere."""
    pairs = [{"offset": f"{x:.9f} ft", "elevation": f"{z:.9f} ft"} for x, z in ground]
    entries = [
        {"station": at, "top": f"{height_ft:.9f} ft", "front_grade": "0 ft"}
        for at in ("0 ft", "end")
    ]
    between = {"start": "against_structure", "finish": "against_structure"}
    return {
        "plan": [{"kind": "straight", "length": "40 ft"}],
        "profile": [{**entry, "existing_section": pairs} for entry in entries],
        "ends": between,
        **more,
    }


def hillside(soil: str, **more: object) -> Json:
    """The constructed cross-section, 8/3 ft high, in a soil."""
    return request(wall_of(8 / 3, HILLSIDE, graded_in_front="5 ft"), soil, **more)


def truck(volume_yd3: float, payload_ton: float = 1000) -> Json:
    """Rates of one hand and one truck."""
    hand = {"title": "Hand", "item": "hand", "size": 1, "paid_hours_per_day": "8"}
    box = {"title": "Truck", "volume": f"{volume_yd3} yd3", "payload": f"{payload_ton} ton"}
    return {"crews": {"one": {**hand, "worked_share": "1"}}, "trucks": {"box": box}}


def volume(answer: Json, key: str) -> float:
    """A volume of the earthwork in cubic yards."""
    found = answer["earthwork"][key]
    assert found["unit"] == "yd3"
    return float(found["value"])


def test_quote_digs_fills_and_hauls_the_constructed_section(served: TestClient) -> None:
    """By closed form and by polygons: 11.777778 ft2 of cut, 5.472222 of backfill; at 0.90 and 1.25
    10.551 yd3 leave in 3 loads of 5, where 11.677 would leave without the shrink factor."""
    answer = quoted(served, hillside("set_soil", rates=truck(5)))
    (row,) = EARTH["no_shrink"]["rows"]
    assert volume(answer, "cut") == pytest.approx(row["cut"], abs=5e-5)
    assert volume(answer, "backfill") == pytest.approx(row["backfill"], abs=5e-5)
    assert volume(answer, "haul_off") == pytest.approx(row["surplus"] * 1.25, abs=5e-4)
    assert volume(answer, "haul_off") < row["wrong_loose"] - 1
    assert answer["earthwork"]["haul_loads"] == 3


@pytest.mark.parametrize(
    ("soil", "loose", "compacted"), [("sand_gravel", 1.11, 0.95), ("loam", 1.25, 0.90)]
)
def test_quote_swells_and_shrinks_the_shipped_soils_as_published(
    served: TestClient, soil: str, loose: float, compacted: float
) -> None:
    """FM 5-434, Table 1-1, bank to loose and bank to compacted: what is put back takes backfill /
    0.95 or 0.90 of the cut, the rest leaves 1.11 or 1.25 times as large."""
    answer = quoted(served, hillside(soil))
    left = volume(answer, "cut") - volume(answer, "backfill") / compacted
    assert volume(answer, "haul_off") == pytest.approx(left * loose, rel=1e-6)
    assert volume(answer, "import") == 0


@pytest.mark.parametrize(
    ("soil", "compacted", "undisturbed"),
    [("loam", "28 deg", "25 deg"), ("silty_sand", "30 deg", "27 deg")],
)
def test_quote_says_which_strength_it_screens_with(
    served: TestClient, soil: str, compacted: str, undisturbed: str
) -> None:
    """A shoring manual of a state, Table 3-2, gives silt 25 and fine silty sand 27 deg as they lie,
    medium dense; the checks go by the soil as compacted."""
    assumptions = quoted(served, hillside(soil))["assumptions"]
    (found,) = (a for a in assumptions if a["field"] == "/soils/retained")
    assert found["value"] == compacted
    assert undisturbed in found["why"]


def test_quote_hauls_the_shipped_clay_away_as_published(served: TestClient) -> None:
    """FM 5-434, Table 1-1: clay is not put back, and a yard of it leaves as 1.43 yards; the loam
    that comes in its place shrinks to 0.90 of 1.25."""
    answer = quoted(served, hillside("clay", soils={"retained": "clay", "fill": "loam"}))
    assert volume(answer, "haul_off") == pytest.approx(volume(answer, "cut") * 1.43, rel=1e-6)
    expected = volume(answer, "backfill") / 0.90 * 1.25
    assert volume(answer, "import") == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("soil", "yd3"), [("class_a", 28.704), ("class_b", 33.333), ("class_c", 42.593)]
)
def test_quote_slopes_a_deep_cut_by_the_class_of_its_soil(
    served: TestClient, soil: str, yd3: float
) -> None:
    """29 CFR 1926 Subpart P, Table B-1: 3/4, 1 and 1 1/2 to 1, by the plain rules. 5 ft behind a
    wall of 40 ft, 2 ft of level floor, sloped at the rear alone: 2 x 5 + slope x 25 / 2 ft2."""
    step = ((-20.0, 0.0), (-0.001, 0.0), (0.0, 5.0), (40.0, 5.0))
    deep = request(wall_of(5, step), soil, wall_system="half_foot_unit", section="thin_pad")
    assert volume(quoted(served, deep), "cut") == pytest.approx(yd3, rel=3e-4)


def graded(area: Json, soil: str, **more: object) -> Json:
    """A wall without earthwork of its own, and an area beside it."""
    level = {"plan": [{"kind": "straight", "length": "10 ft"}]}
    entries = [{"station": at, "exposed": "2 ft", "front_grade": "0 ft"} for at in ("0 ft", "end")]
    return request({**level, "profile": entries}, soil, grading=[{"name": "area", **area}], **more)


@pytest.mark.parametrize("row", GRIDS, ids=[row["name"] for row in GRIDS])
def test_quote_grades_a_grid_as_worked_elsewhere(
    served: TestClient, row: Mapping[str, Any]
) -> None:
    """Cells of a grid against one level: a public surveying solution and cells with both signs."""
    inputs = row["inputs"]
    existing = [[f"{level} ft" for level in line] for line in inputs["existing"]]
    grid = {"spacing": f"{inputs['spacing']} ft", "existing": existing}
    area = {"grid": {**grid, "finished_level": f"{inputs['finished']} ft"}}
    (found,) = quoted(served, graded(area, "set_soil"))["earthwork"]["grading"]
    for key, expected in row["expected"].items():
        name, unit = key.removesuffix("_yd3"), 1 if key.endswith("_yd3") else 27
        assert unit * float(found[name]["value"]) == pytest.approx(expected, abs=1e-5), key


def test_quote_hauls_what_the_textbook_hauls(served: TestClient) -> None:
    """Estimating in Building Construction, example 9-2: 1,000 yd3 of dense clay that swells by 30 %
    are 1,300 loose, 186 trucks of 7."""
    area = {"area": "27000 ft2", "average_depth": "1 ft", "work": "cut"}
    answer = quoted(served, graded(area, "dense_clay", rates=truck(7)))
    row = EARTH["haul"]["rows"][0]
    assert volume(answer, "cut") == pytest.approx(row["bank_yd3"], rel=1e-8)
    assert volume(answer, "haul_off") == pytest.approx(row["loose_yd3"], rel=1e-8)
    assert answer["earthwork"]["haul_loads"] == row["loads"]


def test_quote_brings_what_the_textbook_brings(served: TestClient) -> None:
    """Example 9-3: 500 yd3 of compacted gravel are 526 in the bank; loosened by 15 % 605.3, which
    are 87 trucks of 7."""
    area = {"area": "13500 ft2", "average_depth": "1 ft", "work": "fill"}
    answer = quoted(served, graded(area, "gravel_fill", rates=truck(7)))
    row = EARTH["haul"]["rows"][1]
    assert volume(answer, "fill") == pytest.approx(row["compacted_yd3"], rel=1e-8)
    assert volume(answer, "import") == pytest.approx(row["loose_yd3"], abs=0.05)
    assert volume(answer, "import") / 1.15 == pytest.approx(row["bank_yd3"], abs=0.5)
    assert answer["earthwork"]["import_loads"] == row["loads"]


@pytest.mark.parametrize(("depth_in", "loads"), [(12.59, 1), (12.61, 2)])
def test_quote_loads_a_truck_to_its_payload(
    served: TestClient, depth_in: float, loads: int
) -> None:
    """Wet sand of 1.59 ton a yard: a truck for 20 ton takes 12.58 yd3, though its box holds 16."""
    area = {"area": "324 ft2", "average_depth": f"{depth_in * 0.999:.4f} in", "work": "cut"}
    answer = quoted(served, graded(area, "wet_sand", rates=truck(16, 20)))
    assert answer["earthwork"]["haul_loads"] == loads
