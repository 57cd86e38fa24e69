"""Reinforcement in catalog files: sheets, connections, the item of a section, shear of courses."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from pydantic import ValidationError

from service.catalog import Catalog
from service.catalog.documents.material import MaterialDocument
from service.catalog.documents.wall_system import WallSystemDocument
from service.core.job.reinforcement import Layer, WallReinforcement
from service.core.labor.hours import Labor
from service.core.layout.layout import lay_out
from service.core.measure import METRIC, US
from service.core.takeoff.takeoff import take_off
from service.faults import faults_from
from tests.given.scheduled import schedule
from tests.given.walls import ft, inch, level_wall, line, to_ft, to_ft2

LB_FT = 0.45359237 * 9.80665 / 0.3048
HEADER = {"id": "sheet", "version": "1", "title": "Sheet", "source": {"kind": "invented"}}
SHEET = {"ultimate_strength": "51 kN/m", "roll_width": "2 m", "roll_length": "50 m"}
ROLL = {"per": "pack", "pack": "100 m2", "pack_word": "roll"}


def sheet(**keys: Any) -> MaterialDocument:  # noqa: ANN401  TOML tables
    """A sheet sold by the roll, with these keys in its table."""
    tables = {"group": "reinforcement", "sold": ROLL, "reinforcement": {**SHEET, **keys}}
    return MaterialDocument.model_validate({**HEADER, **tables})


def codes(error: ValidationError, document: type[Any]) -> list[tuple[str, tuple[str | int, ...]]]:
    """Code and path of every fault."""
    return [(fault.code, fault.at) for fault in faults_from(error, document)]


def test_material_to_core_reads_a_sheet() -> None:
    """51 kN/m, 2 x 50 m; what the maker doesn't state stays unknown, it is no 1."""
    found = sheet().to_core().reinforcement
    assert found is not None
    assert (found.ultimate_n_m, found.roll_width_m, found.roll_length_m) == (51000, 2, 50)
    assert (found.creep, found.durability, found.damage, found.interaction) == (None,) * 4
    assert found.connections == ()


def test_material_to_core_reads_connections() -> None:
    """600 lb/ft and tan 30 deg of the weight, at most 1,500 lb/ft, with one wall system."""
    row = {
        "wall_system": "blocks",
        "strength": "600 lb/ft",
        "friction_angle": "30 deg",
        "most": "1500 lb/ft",
    }
    found = sheet(connection=[row]).to_core().reinforcement
    assert found is not None
    (joint,) = found.connections
    assert joint.wall_system == "blocks"
    assert joint.strength_n_m == pytest.approx(600 * LB_FT)
    assert joint.friction_rad == pytest.approx(math.radians(30))
    assert joint.most_n_m == pytest.approx(1500 * LB_FT)


@pytest.mark.parametrize(
    ("keys", "code", "at"),
    [
        ({"ultimate_strength": "0 lb/ft"}, "measurement-out-of-range", ("ultimate_strength",)),
        ({"ultimate_strength": "3500 lb"}, "measurement-invalid", ("ultimate_strength",)),
        ({"creep_factor": "0.6"}, "factor-below-one", ("creep_factor",)),
        ({"interaction": "0"}, "interaction-zero", ("interaction",)),
        ({"roll_length": "45 m"}, "roll-area-disagrees", ()),
    ],
)
def test_material_refuses_a_sheet_that_cannot_be(
    keys: dict[str, str], code: str, at: tuple[str, ...]
) -> None:
    """No strength, a mass for a strength, a factor that raises it, another roll than is sold."""
    with pytest.raises(ValidationError) as caught:
        sheet(**keys)
    assert codes(caught.value, MaterialDocument) == [(code, ("reinforcement", *at))]


def test_material_refuses_a_system_twice_and_a_limit_out_of_reach() -> None:
    """One row a wall system; at most is not less than what holds without weight."""
    row = {"wall_system": "a", "strength": "9 kN/m", "friction_angle": "0 deg", "most": "9 kN/m"}
    with pytest.raises(ValidationError) as caught:
        sheet(connection=[row, row])
    at = ("reinforcement", "connection", 1, "wall_system")
    assert codes(caught.value, MaterialDocument) == [("id-twice", at)]
    with pytest.raises(ValidationError) as caught:
        sheet(connection=[{**row, "most": "8 kN/m"}])
    at = ("reinforcement", "connection", 0, "most")
    assert codes(caught.value, MaterialDocument) == [("most-below-strength", at)]


def test_wall_system_refuses_an_interface_limit_out_of_reach() -> None:
    """At most is not less than the shear strength without weight."""
    table = {"strength": "9 kN/m", "friction_angle": "30 deg", "most": "8 kN/m"}
    units = {"standard": {"item": "a", "face_length": "18 in", "height": "8 in", "depth": "1 ft"}}
    tables = {"units": units, "stacking": {"setback": "0 in"}, "interface": table}
    with pytest.raises(ValidationError) as caught:
        WallSystemDocument.model_validate({**HEADER, **tables})
    at = ("interface", "most")
    assert codes(caught.value, WallSystemDocument) == [("most-below-strength", at)]


def test_shipped_sheet_has_the_long_term_strength_of_the_reference(catalog: Catalog) -> None:
    """3500 / (1.6 x 1.10 x 1.10) = 1807.85 lb/ft; interaction 0.7; rolls of 6 x 150 ft."""
    found = catalog.materials["soil_grid"].core.reinforcement
    assert found is not None
    assert found.creep is not None
    assert found.durability is not None
    assert found.damage is not None
    long_term = found.ultimate_n_m / (found.creep * found.durability * found.damage)
    assert long_term / LB_FT == pytest.approx(1807.85, abs=0.01)
    assert found.interaction == 0.7
    assert to_ft(found.roll_width_m) == pytest.approx(6)
    assert to_ft(found.roll_length_m) == pytest.approx(150)


def test_shipped_sections_name_a_sheet_that_is_one(catalog: Catalog) -> None:
    """What a section lays is a material with the table; prices and weights are there."""
    named = [entry.core.reinforcement_item for entry in catalog.sections.values()]
    items = [item for item in named if item]
    assert items == ["soil_grid", "soil_grid_metric"]
    for item in items:
        assert catalog.materials[item].core.reinforcement is not None
        assert catalog.materials[item].core.kg_per_unit is not None
        assert item in catalog.price_lists["demo_2026"].core.items


def test_shipped_systems_state_their_shear_or_leave_it_out(catalog: Catalog) -> None:
    """One system has tests of the shear between courses; the others have none, and say none."""
    known = {name: entry.core.interface for name, entry in catalog.wall_systems.items()}
    assert [name for name, found in known.items() if found] == ["terrace_8in"]
    found = known["terrace_8in"]
    assert found is not None
    assert found.strength_n_m == pytest.approx(800 * LB_FT)
    assert found.most_n_m == pytest.approx(3000 * LB_FT)


def _labor(catalog: Catalog, *courses: int) -> tuple[Labor, float]:
    """Labor of 40 ft of shipped blocks, 4 ft high, with layers of 5 ft; rolls ordered."""
    system, section = catalog.wall_systems["terrace_8in"].core, catalog.sections["plain_gravity"]
    layout = lay_out(level_wall(), system, section.core, US)
    layers = tuple(
        Layer(from_m=0.0, to_m=layout.length_m, joint=layout.lowest + course - 1, length_m=ft(5))
        for course in courses
    )
    given = WallReinforcement(
        wall=layout.name, item="soil_grid", layers=layers, soil_between_m=inch(3)
    )
    materials = {item: entry.core for item, entry in catalog.materials.items()}
    found = take_off([layout], system, section.core, materials, US, [given])
    rates = catalog.production_rates["small_crew"].core
    rolls = float(line(found, "soil_grid").order) if courses else 0.0
    return schedule(rates, {}, found, US), rolls


def test_shipped_rates_time_the_laying_of_reinforcement(catalog: Catalog) -> None:
    """Two layers are 400 ft2: of 0.4, 0.6 and 1 h for 100 ft2 as the trade's three points say
    ((low + 4 likely + high) / 6), 2.53 h; no layers, no task."""
    labor, rolls = _labor(catalog, 2, 4)
    (task,) = (each for each in labor.tasks if each.task == "lay_reinforcement")
    assert to_ft2(task.quantity) == pytest.approx(400)
    expected = (Fraction("0.4") + 4 * Fraction("0.6") + 1) / 6 * 4
    assert float(task.hours) == pytest.approx(float(expected), abs=0.005)
    assert rolls == 1
    plain, _ = _labor(catalog)
    assert "lay_reinforcement" not in [each.task for each in plain.tasks]


def test_unit_sets_show_forces_per_length() -> None:
    """3,500 lb/ft are 51.0787 kN/m."""
    assert US.show(3500 * LB_FT, "force_per_length") == "3500 lb/ft"
    assert METRIC.show(3500 * LB_FT, "force_per_length") == "51.0787 kN/m"
