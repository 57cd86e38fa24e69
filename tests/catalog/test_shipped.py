"""The catalog that comes with the service: sound, sourced, priced, described."""

from __future__ import annotations

import json
import re
import tomllib
from decimal import Decimal
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from service.catalog import Catalog, document_schema
from service.catalog.kinds import KINDS
from service.catalog.schemas import schema_files, shipped_folder, write_schemas
from service.core.job.job import Job
from service.core.job.jurisdiction import TRIGGERS
from service.core.job.measured import MEASURED, measured_dimension
from service.core.job.spec import Ends
from service.core.measure import US
from service.core.quote import quote
from tests.given.walls import curve, entry, ft, legs, wall

pytestmark = pytest.mark.no_cover  # others run the same lines

FILES = sorted(path for kind in KINDS for path in (shipped_folder() / kind).glob("*.toml"))
README = (shipped_folder() / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", FILES, ids=[f"{path.parent.name}-{path.stem}" for path in FILES])
def test_shipped_files_fit_their_schema(path: Path) -> None:
    """Each file names its schema in its first line, and that schema takes it."""
    text = path.read_text(encoding="utf-8")
    first = re.match(r"#:schema (\S+)\n", text)
    assert first is not None
    schema = json.loads((path.parent / first[1]).read_text(encoding="utf-8"))
    assert first[1] == f"../schema/{KINDS[path.parent.name].name}.schema.json"
    Draft202012Validator(schema).validate(tomllib.loads(text, parse_float=Decimal))


def test_schema_files_are_up_to_date() -> None:
    """The committed schemas are those of the code, and no others."""
    folder = shipped_folder() / "schema"
    committed = {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()}
    assert committed == schema_files(), "mend with: python -m service catalog schema"


@pytest.mark.parametrize("kind", KINDS)
def test_document_schema_is_json_schema_2020_12(kind: str) -> None:
    """Each schema is sound, closed to unknown keys, and never speaks of null."""
    schema = document_schema(kind)
    Draft202012Validator.check_schema(schema)
    assert schema["additionalProperties"] is False
    assert '"null"' not in json.dumps(schema)


def test_write_schemas_writes_only_what_changed(tmp_path: Path) -> None:
    """A second run leaves the files alone."""
    assert len(write_schemas(tmp_path)) == len(KINDS)
    assert write_schemas(tmp_path) == ()


def test_shipped_catalog_has_every_kind(catalog: Catalog) -> None:
    """At least four wall systems, in both unit sets, with and without corner and cap, light and
    heavy; three sections and four soils; something of every kind."""
    systems = [entry.core for entry in catalog.wall_systems.values()]
    assert len(systems) >= 4
    assert {(system.corner is None, system.cap is None) for system in systems} >= {
        (True, True),
        (False, False),
        (True, False),
    }
    weights = [system.standard.weight_kg or 0 for system in systems]
    assert min(weights) < 15
    assert max(weights) > 35
    texts = [str(entry.document) for entry in catalog.wall_systems.values()]
    assert any(" mm'" in text for text in texts)
    assert any(" in'" in text for text in texts)
    assert len(catalog.sections) >= 3
    assert len(catalog.soils) >= 4
    assert all(catalog.counts.values())


def test_shipped_sections_are_the_trades(catalog: Catalog) -> None:
    """The plain pad is 6 in of stone and 24 in wide under a 12 in unit; the buried course has
    native soil beside it; soft ground gets 12 to 24 in of pad."""
    plain = catalog.sections["plain_gravity"].core
    pad = plain.leveling_pad
    assert pad.thickness_m == pytest.approx(0.1524)
    assert pad.front_extension_m + 0.3048 + pad.rear_extension_m == pytest.approx(0.6096)
    assert plain.drainage.starts_at == "pad"
    assert catalog.sections["buried_course"].core.drainage.starts_at == "buried_course"
    assert 0.3048 <= catalog.sections["deep_pad"].core.leveling_pad.thickness_m <= 0.6096
    assert "einforcement" in catalog.sections["deep_pad"].document["note"]


def test_shipped_cautions_cover_every_trigger(catalog: Catalog) -> None:
    """Nothing that can be cautioned about is left without words, and what a site must never miss
    is severe."""
    strict = catalog.jurisdictions["strict_example"].core.cautions
    assert {rule.trigger for rule in strict} == set(TRIGGERS)
    rules = catalog.jurisdictions["plain"].core.cautions
    severe = {rule.trigger for rule in rules if rule.severity == "high"}
    assert severe >= {"always", "ground_not_measured", "not_screened", "trench_depth"}
    assert len({rule.code for rule in rules}) == len(rules)


def test_shipped_cautions_hold_the_published_figures(catalog: Catalog) -> None:
    """4 ft to the bottom of the footing, 5 ft of trench, 30 in of drop, 70 degrees."""
    rules = {rule.code: rule for rule in catalog.jurisdictions["plain"].core.cautions}
    assert rules["permit-height"].over == pytest.approx(1.2192)
    assert rules["trench-protection"].at_least == pytest.approx(1.524)
    assert rules["trench-egress"].at_least == pytest.approx(1.2192)
    assert rules["trench-engineer"].over == pytest.approx(6.096)
    assert rules["workers-near-edge"].at_least == pytest.approx(1.8288)
    assert (rules["heavy-unit"].over, rules["machine-unit"].over) == (1, 3)
    assert rules["guard-height"].over == pytest.approx(0.762)
    assert rules["sharp-corner"].under == pytest.approx(1.2217304764)
    assert rules["base-step-near-end"].under == pytest.approx(3.048)


def test_shipped_soils_follow_the_published_volume_changes(catalog: Catalog) -> None:
    """Bank to loose and bank to compacted of FM 5-434, Table 1-1: 1.11 and 0.95 for sand or
    gravel, 1.25 and 0.90 for common earth, 1.43 and 0.90 for clay."""
    published = {
        "sand_gravel": ("1.11", "0.95"),
        "loam": ("1.25", "0.90"),
        "clay": ("1.43", "0.90"),
    }
    for soil, (loose, compacted) in published.items():
        core = catalog.soils[soil].core
        assert (1 + core.swell, 1 - core.shrink) == (Decimal(loose), Decimal(compacted))


@pytest.mark.parametrize(
    "section", ["plain_gravity", "plain_gravity_metric", "buried_course", "deep_pad"]
)
@pytest.mark.parametrize(
    "system",
    [
        "terrace_8in",
        "terrace_deep_8in",
        "garden_6in",
        "border_4in",
        "metric_200",
        "metric_150_plain",
    ],
)
def test_demo_prices_cover_every_line(catalog: Catalog, system: str, section: str) -> None:
    """Whatever the shipped systems and sections need, the demo list prices, the crew included."""
    spec = wall(
        (*legs("outside", 90, ft(16), ft(24)), curve("outside", ft(20), 45)),
        (entry(0.0, ft(3)), entry("end", ft(3), ft(1.5))),
        ends=Ends(start="finished"),
    )
    done = quote(
        Job(
            units=US,
            walls=(spec,),
            system=catalog.wall_systems[system].core,
            section=catalog.sections[section].core,
            materials={item: found.core for item, found in catalog.materials.items()},
            jurisdiction=catalog.jurisdictions["plain"].core,
            basis=catalog.screening_bases["association"].core,
            rates=catalog.production_rates["small_crew"].core,
            terms=catalog.terms["standard"].core,
        ),
        catalog.price_lists["demo_2026"].core,
    )
    assert done.price.total > done.price.direct_cost > 0
    assert done.quantities.not_weighed == ()
    assert "labor" in {line.group for line in done.price.lines}


def test_readme_lists_what_work_can_be_measured_by() -> None:
    """The closed list in the guide is that of the code, each with units of its dimension."""
    section = README.split("\n## What work can be measured by\n", 1)[1]
    rows = re.findall(r"^\| `(\w+)` \| ([^|]+) \|", section, re.MULTILINE)
    assert rows.pop(0) == ("measured_by", "`per`")
    assert tuple(name for name, _ in rows) == MEASURED
    units = {
        "length": "ft, m",
        "area": "ft2, m2",
        "volume": "yd3, m3",
        "mass": "ton, t",
        "load": "load",
    }
    for name, shown in rows:
        dimension = measured_dimension(next(m for m in MEASURED if m == name))
        assert shown == units.get(dimension, "each")
