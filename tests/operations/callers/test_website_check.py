"""`catalog check` says of a website what no visitor could be told."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.catalog import Catalog, load_catalog
from service.operations.callers.website.check import website_findings
from tests.given.catalog_files import write_folder
from tests.given.catalogs import shipped_catalog


def own(folder: Path, old: str, new: str) -> Catalog:
    """The shipped catalog, and its website with something else in it."""
    file = Path(shipped_catalog().websites["demo_site"].file)
    text = file.read_text(encoding="utf-8").replace('id = "demo_site"', 'id = "own_site"', 1)
    assert old in text
    return load_catalog([write_folder(folder, {"websites/own_site.toml": text.replace(old, new)})])


def test_website_findings_are_none_of_the_shipped_one() -> None:
    """Each choice of the demo can be priced, or says why somebody has to come."""
    assert list(website_findings(shipped_catalog())) == []


@pytest.mark.parametrize(
    ("old", "new", "place", "code"),
    [
        ('"demo_builder"', '"demo_bilder"', "company", "unknown-company"),
        ('"plain_gravity"', '"gravity"', "choices: line: straight", "unknown-section"),
        ('"take_down_wood_fence"', '"take_fence"', "choices: now: fence", "unknown-site-work"),
        ('back_slope = "6:1"', 'back_slope = "steep"', "choices: behind: gentle", None),
        ('angle = "45 deg"', 'angle = "0 deg"', "choices: line: curved", None),
    ],
)
def test_website_findings_name_the_choice(
    tmp_path: Path, old: str, new: str, place: str, code: str | None
) -> None:
    """A fault of the request is told once, at the first choice that brings it."""
    (finding,) = website_findings(own(tmp_path, old, new))
    assert finding.impossible
    assert finding.fault.at[1] == place
    assert code in (None, finding.fault.code)
