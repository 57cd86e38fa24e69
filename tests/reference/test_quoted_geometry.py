"""Outside figures of layout and takeoff, asked of the service itself: POST /v1/quotes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.given.quote_requests import Json, quantity_of, quoted
from tests.given.reference_files import PRICES
from tests.reference.conftest import rows_of

Inputs = Mapping[str, Any]
WALLS = [
    (place, row) for place, row in enumerate(rows_of("geometry")["row"]) if row["check"] == "wall"
]


def plan_of(inputs: Inputs) -> list[Json]:
    """A quarter circle, or a straight line."""
    if "radius" in inputs:
        radius = {"radius": f"{inputs['radius']} in", "angle": "90 deg"}
        return [{"kind": "curve", "side": inputs["side"], **radius}]
    return [{"kind": "straight", "length": f"{inputs.get('length_ft', 40)} ft"}]


def profile_of(inputs: Inputs) -> list[Json]:
    """One exposed height, a sloped top, or ground that rises in equal stretches."""
    exposed, finish = inputs["exposed"], inputs.get("exposed_at_end", inputs["exposed"])
    if "rises" not in inputs:
        stations = [("0 ft", exposed, 0), ("end", finish, 0)]
    else:
        stretch = inputs["length_ft"] // len(inputs["rises"])
        stations = [
            (f"{at * stretch} ft", exposed - rise, rise)
            for index, rise in enumerate(inputs["rises"])
            for at in (index, index + 1)
        ]
    return [
        {"station": at, "exposed": f"{height} in", "front_grade": f"{ground} in"}
        for at, height, ground in stations
    ]


def inches(measure: Json) -> float:
    """A length of an answer in inches."""
    assert measure["unit"] == "ft"
    return 12 * float(measure["value"])


def figures_of(answer: Json) -> dict[str, float]:
    """What the answer says of a wall, in the units of the names."""
    (wall,) = answer["walls"]
    runs = [run for course in wall["courses"] for run in course["runs"]]
    nets = {line["item"]: float(line["net"]["value"]) for line in answer["quantities"]}
    return {
        "courses": len(wall["courses"]),
        "height": inches(wall["max_wall_height"]),
        "buried": -inches(wall["courses"][0]["elevation"]),
        "units": sum(run["standard_units"] for run in runs),
        "face_length": sum(inches(run["face_length"]) for run in runs),
        "face_area_ft2": float(wall["face_area"]["value"]),
        "exposed_area_ft2": float(wall["exposed_area"]["value"]),
        "pay_face_area_ft2": float(wall["pay_face_area"]["value"]),
        "units_with_waste": float(quantity_of(answer, "block")["order"]["value"]),
        "pad_area_ft2": nets["pad_stone"] * 27 * 2,  # 6 in thick
        "pad_yd3": nets["pad_stone"],
        "drainage_yd3": nets["ref_stone"],
        "drainage_tons": float(quantity_of(answer, "ref_stone")["order"]["value"]),
        "core_fill_yd3": nets["core_stone"],
        "fabric_ft2": nets["fabric"],
    }


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(("place", "row"), WALLS, ids=[row["name"] for _, row in WALLS])
def test_quote_agrees_with_the_outside_value(
    served: TestClient, place: int, row: Mapping[str, Any]
) -> None:
    """Courses, units, faces, stone and fabric of each wall of geometry.toml."""
    inputs = row["inputs"]
    wall = {"plan": plan_of(inputs), "profile": profile_of(inputs)}
    if "rounding" in inputs:
        wall["top_rounding"] = inputs["rounding"]
    name = f"row_{place}"
    request = {"units": "us", "wall_system": name, "section": name, "prices": PRICES}
    found = figures_of(quoted(served, {**request, "walls": [wall]}))
    # answers have nine digits
    for key, expected in row["expected"].items():
        assert found[key] == pytest.approx(expected, abs=row["tolerance"], rel=1e-8), key


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("slope", "share"),
    [("level", 1 / 20), ("3:1", 1 / 10), ("2:1", 1 / 7)],
)
@pytest.mark.parametrize("section", ["plain_gravity", "buried_course", "deep_pad"])
def test_quote_buries_the_published_share_of_the_height(
    served: TestClient, section: str, slope: str, share: float
) -> None:
    """FHWA-NHI-10-024, Table 2-2: a wall of 15 ft goes 9 in deep in front of level ground, 18 in
    over 3:1 and 25.7 in over 2:1; units of 1 in bury the next whole inch."""
    profile = [{"station": at, "exposed": "15 ft", "front_grade": "0 ft"} for at in ("0 ft", "end")]
    wall = {"plan": plan_of({}), "profile": profile, "front_slope": slope}
    shipped = {name: {"unit_cost": "1", "per": per} for name, per in SHIPPED_ITEMS.items()}
    answer = quoted(
        served,
        {
            "units": "us",
            "wall_system": "inch_unit",
            "section": section,
            "walls": [wall],
            "prices": {"currency": "USD", "items": {**PRICES["items"], **shipped}},
        },
    )
    (found,) = answer["walls"]
    buried = -inches(found["courses"][0]["elevation"])
    assert 0 <= buried - 180 * share < 1 + 1e-6


def test_quote_buries_no_wall_less_than_six_inches(served: TestClient) -> None:
    """The association's least embedment, from memory: 2 ft exposed go 6 in deep, not 1.2 in."""
    profile = [{"station": at, "exposed": "2 ft", "front_grade": "0 ft"} for at in ("0 ft", "end")]
    shipped = {name: {"unit_cost": "1", "per": per} for name, per in SHIPPED_ITEMS.items()}
    answer = quoted(
        served,
        {
            "units": "us",
            "wall_system": "inch_unit",
            "section": "plain_gravity",
            "walls": [{"plan": plan_of({}), "profile": profile}],
            "prices": {"currency": "USD", "items": {**PRICES["items"], **shipped}},
        },
    )
    assert inches(answer["walls"][0]["courses"][0]["elevation"]) == pytest.approx(-6, abs=1e-6)


SHIPPED_ITEMS = {
    "base_stone": "ton",
    "drain_stone": "yd3",
    "drain_pipe": "pack",
    "outlet_pipe": "pack",
    "filter_fabric": "pack",
    "cap_adhesive": "each",
}
