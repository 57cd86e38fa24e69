"""Published and constructed sets as a caller posts them to the service."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from shapely.geometry import Polygon, box
from starlette.testclient import TestClient

from service.catalog import load_catalog
from tests.given.catalog_files import write_folder
from tests.given.quote_requests import Json
from tests.given.reference_tables import Row
from tests.given.screened import (
    FACTORS,
    FILES,
    GRID,
    HOLD,
    IN_PLACE,
    LAID,
    PRICES,
    SECTION,
    SOIL,
    SYSTEM,
    check_of,
    set_request,
    set_wall,
    value_of,
)
from tests.given.served import client_over
from tests.given.wedge_search import FAR, Searched

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

HERE = Path(__file__)
GRAVITY = tomllib.loads(HERE.with_name("gravity.toml").read_text(encoding="utf-8"))
LAYERS = tomllib.loads(HERE.with_name("reinforced_soil.toml").read_text(encoding="utf-8"))
E4 = GRAVITY["example_e4"]
R1 = LAYERS["layers"]
UPRIGHT = """\
id = "upright"
version = "1"
title = "A place without slopes by class"
based_on = "plain"
[source]
kind = "invented"
[soil_class]
deep_cut = "90 ft"
disturbed = "A"
[soil_class.source]
kind = "invented"
"""
# Sheets that ask for the layers of the sets: one that holds the pull of layers 16 in apart and not
# of layers 24 in apart, one that holds whatever pulls; soil and units of example E4.
MORE = {
    "materials/weak.toml": GRID.replace("3500", "900").format(id="weak", more=FACTORS + HOLD),
    "materials/strong.toml": GRID.replace("3500", "30000").format(id="strong", more=FACTORS + HOLD),
    "sections/weak.toml": SECTION.format(
        id="weak", buried="0 in", pad="", more=LAID.format("weak")
    ),
    # cut upright behind the layers, as the example has its retained soil right behind them
    "sections/strong.toml": SECTION.replace('"1:1"\n{more}', '"0:1"\n{more}').format(
        id="strong", buried="0 in", pad="", more=LAID.format("strong")
    ),
    **{
        f"soils/e4_{friction}.toml": SOIL.replace("108 pcf", "112.5 pcf")
        .replace("86.4 pcf", "90 pcf")
        .replace("120 pcf", "125 pcf")
        .format(id=f"e4_{friction}", friction=friction)
        for friction in (30, 40)
    },
    # where the slope of a cut is left to the section, however deep it is
    "jurisdictions/upright.toml": UPRIGHT,
    "wall_systems/e4.toml": SYSTEM.replace('height = "8 in"', 'height = "7.692 in"').format(
        id="e4", setback="0 in", more=IN_PLACE
    ),
}
ITEMS = {name: {"unit_cost": "385.00", "per": "pack"} for name in ("weak", "strong")}
ALL_PRICES = {**PRICES, "items": {**PRICES["items"], **ITEMS}}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A service over the shipped catalog and the files of the sets."""
    folder = write_folder(tmp_path_factory.mktemp("posted"), {**FILES, **MORE})
    with client_over(load_catalog([folder])) as client:
        yield client


def posted(client: TestClient, *walls: Json, **more: object) -> Json:
    """The answer to a posted request of the sets."""
    request = set_request(*walls, **{"prices": ALL_PRICES, **more})
    answer = client.post("/v1/quotes", json=request)
    assert answer.status_code == 200, answer.text
    found: Json = answer.json()
    return found


@pytest.mark.parametrize("row", GRAVITY["stacks"]["rows"], ids=lambda row: row["case"])
def test_posted_stacks_give_the_constructed_set(client: TestClient, row: Row) -> None:
    """Sliding and overturning of each case, on ground of 30 deg."""
    retained = f"phi{row['friction']}"
    slope = {"back_slope": "3:1"} if row["slope"] else {}
    wall = set_wall(f"{row['courses'] * 8} in", surcharge=f"{row['psf']} psf", **slope)
    found = posted(
        client,
        wall,
        wall_system="one" if row["setback_in"] == 1 else "three_quarter",
        soils={"retained": retained, "foundation": "phi30", "fill": retained},
    )
    near = GRAVITY["stacks"]["tolerance"]
    assert value_of(found, "base_sliding") == pytest.approx(row["sliding"], abs=near)
    assert value_of(found, "overturning") == pytest.approx(row["overturning"], abs=near)


@pytest.mark.parametrize("row", GRAVITY["hinge_height"]["rows"], ids=str)
def test_posted_stack_has_the_hinge_height_of_the_set(client: TestClient, row: Row) -> None:
    """Over 4 ft of units: 2.667 at 3/4 in for 8 in, 2 at 1 in."""
    system = "one" if row["setback_in"] == 1 else "three_quarter"
    found = posted(client, set_wall("4 ft"), wall_system=system)
    expected = row["ft"] / 4
    assert value_of(found, "hinge_height") == pytest.approx(expected, abs=1e-3)


def test_posted_layers_give_set_r1(client: TestClient) -> None:
    """Six layers 16 in apart, 7 ft long by the top one, whose pullout governs."""
    found = posted(
        client,
        set_wall("8 ft"),
        wall_system="one",
        section="weak",
        screening={"basis": "association", "reinforcement": "all"},
    )
    layers = found["screening"]["walls"][0]["layers"]
    assert [layer["course"] for layer in layers] == [1, 3, 5, 7, 9, 11]
    longest = math.ceil(2 * max(row["shortest"] for row in R1["rows"])) / 2  # in steps of 6 in
    assert {float(layer["length"]["value"]) for layer in layers} == {longest}
    pullout = value_of(found, "pullout")
    assert pullout == pytest.approx(R1["rows"][-1]["ratio"], abs=R1["tolerance_ratio"])
    pulled = 900 / (1.6 * 1.1 * 1.1) / value_of(found, "layer_tension")
    assert pulled == pytest.approx(R1["rows"][0]["tension"], rel=1e-4)


def test_posted_mass_gives_example_e4(client: TestClient) -> None:
    """25.64 ft of 125 pcf under 250 psf with layers of 18 ft, by the shipped factors."""
    wall = set_wall(f"{E4['ft']} ft", surcharge="250 psf", length="20 ft")
    found = posted(
        client,
        wall,
        wall_system="e4",
        section="strong",
        soils={"retained": "e4_30", "foundation": "e4_30", "fill": "e4_40"},
        jurisdiction="upright",
        screening={"basis": "fhwa", "reinforcement": "all"},
    )
    layers = found["screening"]["walls"][0]["layers"]
    assert {layer["length"]["value"] for layer in layers} == {"18"}
    sliding, eccentricity = E4["sliding"][2], E4["eccentricity_ft"][1]
    slid = value_of(found, "base_sliding")
    assert slid == pytest.approx(sliding["ratio"], abs=E4["tolerance"])
    off = value_of(found, "eccentricity")  # rounded up to four decimals
    share, near = eccentricity["ft"] / E4["length_ft"], E4["tolerance"] / E4["length_ft"]
    assert share - near <= off <= share + near + 1e-4
    assert check_of(found, "bearing")["build"] == "reinforced"


def test_posted_joint_with_the_units_counts_the_weight_above(client: TestClient) -> None:
    """1,000 lb/ft + 880 lb/ft x tan 35 deg at the lowest of layers 24 in apart, on which the soil
    pulls with 120 x 0.24323 x 20 in x 86 in: strength and most by tests (ASTM D6638)."""
    found = posted(
        client,
        set_wall("8 ft"),
        wall_system="one",
        section="tested",
        screening={"basis": "association", "reinforcement": "all"},
    )
    pull = 120 * R1["horizontal"] * (20 / 12) * (86 / 12)
    expected = (1000 + 880 * math.tan(math.radians(35))) / pull
    assert value_of(found, "connection") == pytest.approx(expected, abs=1e-3)


def test_posted_joint_between_courses_is_the_weakest(client: TestClient) -> None:
    """Stack G2: over the lowest course 800 lb/ft + 400 lb/ft x tan 30 deg hold the push of 40 in,
    242.281 x (40 / 48)²; every joint above holds more (tests by ASTM D6916)."""
    found = posted(client, set_wall("4 ft"), wall_system="sheared")
    held, push = 800 + 400 * math.tan(math.radians(30)), 242.281 * (40 / 48) ** 2
    assert value_of(found, "interface_shear") == pytest.approx(held / push, abs=1e-3)


def tiers_request(offset: str, basis: str, height: str, friction: int) -> Json:
    """A wall on the ground behind another of the same height, its face so far behind."""
    lower, upper = (set_wall(height, name=name) for name in ("lower", "upper"))
    for entry in upper["profile"]:
        tall = float(height.split(maxsplit=1)[0])
        entry.update(
            {"top": f"{2 * tall} in", "front_grade": height, "back_grade": f"{2 * tall} in"}
        )
    soil = f"phi{friction}"
    return set_request(
        lower,
        upper,
        tiers=[{"lower": "lower", "upper": "upper", "offset": offset}],
        screening={"basis": basis},
        soils={"retained": soil, "foundation": soil, "fill": soil},
    )


def tiers(
    client: TestClient, offset: str, basis: str, height: str = "32 in", friction: int = 30
) -> Json:
    """The answer to such a request."""
    response = client.post("/v1/quotes", json=tiers_request(offset, basis, height, friction))
    assert response.status_code == 200, response.text
    return dict(response.json())


@pytest.mark.parametrize("basis", ["association", "fhwa"])
@pytest.mark.parametrize(
    ("height", "offset", "status"),
    [
        ("24 in", "48 in", "pass"),
        ("24 in", "47.9 in", "pass_as_assumed"),  # 48 in together, as high as needs no permit
        ("24 in", "16 in", "fail"),  # the lower one fails under the upper one
        ("32 in", "63 in", "fail"),  # 64 in together
    ],
)
def test_posted_tiers_are_two_walls_from_twice_the_taller(
    client: TestClient, basis: str, height: str, offset: str, status: str
) -> None:
    """Offset over what the taller one shows: two by the rule of thumb, under both bases; nearer
    they are one wall to the place, whose permit begins over 4 ft."""
    found = tiers(client, offset, basis, height, friction=36)
    check = check_of(found, "tier_independence", "lower")
    assert float(check["value"]) == pytest.approx(
        float(offset.split(maxsplit=1)[0]) / float(height.split(maxsplit=1)[0]), abs=1e-3
    )
    assert check["required"] == "2"
    assert check["status"] == status


@pytest.mark.parametrize(("offset", "refused"), [("14.2 in", True), ("14.25 in", False)])
def test_posted_tier_on_the_lower_wall_is_refused(
    client: TestClient, offset: str, refused: bool
) -> None:
    """32 in of wall: three setbacks of 3/4 in and a unit of 12 in."""
    request = tiers_request(offset, "association", "32 in", friction=36)
    response = client.post("/v1/quotes", json=request)
    assert response.status_code == (422 if refused else 200)
    if refused:
        (error,) = response.json()["errors"]
        assert (error["code"], error["pointer"]) == ("tier-on-tier", "/tiers/0/offset")


@pytest.mark.parametrize("offset_in", [20, 30, 48])
def test_posted_upper_tier_loads_the_lower_one(client: TestClient, offset_in: int) -> None:
    """Stack G1 above stack G1: by search over the courses as built, the push on the lower one; the
    upper one as alone, 1.716."""
    found = tiers(client, f"{offset_in} in", "association")
    batter, height, face = 0.75 / 8, 32 / 12, (offset_in - 12) / 12
    bodies = [
        (Polygon([(0, 0), (height * batter, height), (face, height), (face, 0)]), 120.0),
        (box(face, -1, FAR, height), 120.0),
    ]
    for joint in range(4):  # units and soil weigh the same
        at = face + joint * 0.75 / 12
        bodies.append((box(at, height + joint * 8 / 12, FAR, height + (joint + 1) * 8 / 12), 120.0))
    push = Searched(bodies, [], 30.0, 20.0, batter).push()
    expected = 320 * math.tan(math.radians(30)) / push
    assert value_of(found, "base_sliding", "lower") == pytest.approx(expected, rel=1e-3)
    assert value_of(found, "base_sliding", "upper") == pytest.approx(1.716, abs=1e-3)
