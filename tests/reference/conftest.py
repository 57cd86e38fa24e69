"""A client that asks the service itself for the outside figures, over a catalog of their sizes."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.catalog import load_catalog
from tests.given.catalog_files import write_folder
from tests.given.reference_files import STONE, section_file, soil_file, unit_file
from tests.given.screened import FILES as SET_FILES
from tests.given.served import client_over

HERE = Path(__file__).parent


def rows_of(name: str) -> dict[str, Any]:
    """The rows of a file beside this one."""
    return tomllib.loads((HERE / f"{name}.toml").read_text(encoding="utf-8"))


def geometry_files() -> Iterator[tuple[str, str]]:
    """A system and a section for each wall of geometry.toml, numbered by its place."""
    for place, row in enumerate(rows_of("geometry")["row"]):
        inputs: Mapping[str, Any] = row["inputs"]
        if row["check"] == "wall":
            name = f"row_{place}"
            height = f"{inputs.get('unit_height', 8)} in"
            yield (
                f"wall_systems/{name}.toml",
                unit_file(name, f"{inputs.get('setback', 1)} in", height),
            )
            burial, ends = f"{inputs['burial']} in", f"{inputs.get('end_extension', 0)} in"
            yield f"sections/{name}.toml", section_file(name, burial, ends=ends)


def leaning_files() -> Iterator[tuple[str, str]]:
    """A system for each batter and a soil of 120 pcf for each angle of earth_pressure.toml."""
    for row in rows_of("earth_pressure")["leaning"]["rows"]:
        setback = 8 * math.tan(math.radians(row["batter"]))
        name = f"lean_{row['batter']:.0f}"
        yield f"wall_systems/{name}.toml", unit_file(name, f"{setback:.6f} in")
        soil = f"deg_{row['friction']}"
        yield f"soils/{soil}.toml", soil_file(soil, friction=row["friction"])


OTHER_FILES = {
    "materials/ref_stone.toml": STONE,
    "wall_systems/set_unit.toml": unit_file("set_unit", "0.75 in"),
    "wall_systems/inch_unit.toml": unit_file("inch_unit", "0 in", "1 in", void_ft3="0.01"),
    "wall_systems/half_foot_unit.toml": unit_file("half_foot_unit", "0 in", "6 in"),
    "wall_systems/heavy_unit.toml": unit_file("heavy_unit", "0.75 in", weight="82 lb"),
    "sections/set_section.toml": section_file("set_section", "6 in"),
    # next to no pad, 2 ft of level floor, cut by the soil's class
    "sections/thin_pad.toml": section_file(
        "thin_pad", pad="0.001 in", front="0 in", rear="12 in", slope=None
    ),
    "soils/set_soil.toml": soil_file("set_soil"),
    "soils/dense_clay.toml": soil_file("dense_clay", swell="0.30", shrink="0"),
    "soils/gravel_fill.toml": soil_file("gravel_fill", swell="0.15", shrink="0.05"),
    # 1.59 ton a loose cubic yard are 117.78 pcf
    "soils/wet_sand.toml": soil_file("wet_sand", swell="0", shrink="0", bank=117.7778),
    **{f"soils/class_{of}.toml": soil_file(f"class_{of}", class_=of.upper()) for of in "abc"},
}


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A client of the application over the shipped catalog and the files above."""
    files: dict[str, str | bytes] = {
        **SET_FILES,
        **dict(geometry_files()),
        **dict(leaning_files()),
        **OTHER_FILES,
    }
    catalog = load_catalog([write_folder(tmp_path_factory.mktemp("outside"), files)])
    with client_over(catalog) as client:
        yield client
