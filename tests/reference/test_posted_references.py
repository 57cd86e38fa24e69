"""Published and constructed sets as a caller posts them to the service."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
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

HERE = Path(__file__)
GRAVITY = tomllib.loads(HERE.with_name("gravity.toml").read_text(encoding="utf-8"))
LAYERS = tomllib.loads(HERE.with_name("reinforced_soil.toml").read_text(encoding="utf-8"))
E4 = GRAVITY["example_e4"]
R1 = LAYERS["layers"]
# Sheets that ask for the layers of the sets: one that holds the pull of layers 16 in apart and not
# of layers 24 in apart, one that holds whatever pulls; soil and units of example E4.
MORE = {
    "materials/weak.toml": GRID.replace("3500", "900").format(id="weak", more=FACTORS + HOLD),
    "materials/strong.toml": GRID.replace("3500", "30000").format(id="strong", more=FACTORS + HOLD),
    "sections/weak.toml": SECTION.format(
        id="weak", buried="0 in", pad="", more=LAID.format("weak")
    ),
    "sections/strong.toml": SECTION.format(
        id="strong", buried="0 in", pad="", more=LAID.format("strong")
    ),
    **{
        f"soils/e4_{friction}.toml": SOIL.replace("108 pcf", "112.5 pcf")
        .replace("86.4 pcf", "90 pcf")
        .replace("120 pcf", "125 pcf")
        .format(id=f"e4_{friction}", friction=friction)
        for friction in (30, 40)
    },
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
    assert {layer["length"]["value"] for layer in layers} == {"7"}
    assert max(row["shortest"] for row in R1["rows"]) > 6.5  # in steps of 6 in the next is 7 ft
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


def tiers(client: TestClient, offset: str, basis: str) -> Json:
    """32 in of wall over stack G1, its face so far behind."""
    walls = [set_wall("32 in", name=name) for name in ("lower", "upper")]
    tier = {"lower": "lower", "upper": "upper", "offset": offset}
    return posted(client, *walls, tiers=[tier], screening={"basis": basis})


@pytest.mark.parametrize(("basis", "required"), [("association", "2"), ("fhwa", "1.732")])
def test_posted_tiers_are_apart_by_the_share_of_the_source(
    client: TestClient, basis: str, required: str
) -> None:
    """4 ft behind 32 in: 1.5 heights of the lower wall; two by the rule of thumb, tan(90 - 30) by
    FHWA-NHI-10-024, section 6.2.1."""
    check = check_of(tiers(client, "4 ft", basis), "tier_independence", "lower")
    assert float(check["value"]) == pytest.approx(1.5, abs=1e-4)
    assert check["required"] == required
    assert check["status"] == "fail"


@pytest.mark.parametrize(("offset", "one"), [("3.2 in", True), ("3.3 in", False)])
def test_posted_tiers_are_one_wall_within_a_twentieth(
    client: TestClient, offset: str, one: bool
) -> None:
    """A twentieth of both heights is 3.2 in: FHWA-NHI-10-024, section 6.2.1."""
    check = check_of(tiers(client, offset, "fhwa"), "tier_independence", "lower")
    assert any("one wall" in line for line in check["how"]) == one


def test_posted_upper_tier_loads_the_lower_one(client: TestClient) -> None:
    """32 in of soil, 320 psf, push on stack G1 as a load does: 107.681 lb/ft of soil, and
    107.681 x 2 x 320 / (120 x 32 in)."""
    found = tiers(client, "4 ft", "association")
    push = 107.681 * (1 + 2 * 320 / (120 * 32 / 12))
    expected = 320 * math.tan(math.radians(30)) / push
    assert value_of(found, "base_sliding", "lower") == pytest.approx(expected, abs=1e-3)
    assert value_of(found, "base_sliding", "upper") == pytest.approx(1.716, abs=1e-3)
