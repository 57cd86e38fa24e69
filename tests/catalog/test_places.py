"""Places that rest on another one."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.catalog import load_catalog
from service.catalog.documents import JurisdictionDocument
from tests.given.walls import ft, inch

HEAD = 'version = "1"\ntitle = "A place"\n[source]\nkind = "invented"\n'
CAUTION = """\
[[cautions]]
code = "{code}"
trigger = "always"
severity = "{severity}"
text = "Heed this."
source = {{ kind = "invented" }}
"""


def place(name: str, folder: Path, *, based_on: str | None, tables: str) -> None:
    """A file of a place."""
    base = f'based_on = "{based_on}"\n' if based_on else ""
    text = f'id = "{name}"\n{base}{HEAD}{tables}'
    (folder / "jurisdictions").mkdir(exist_ok=True)
    (folder / "jurisdictions" / f"{name}.toml").write_text(text, encoding="utf-8")


def test_place_keeps_what_it_says_itself(tmp_path: Path) -> None:
    """Its own tables stand whole, months apart; where it is silent the base's figures hold."""
    tables = '[guard]\nreach = "24 in"\n[seasons]\nfrost = [7]\n'
    tables += '[soil_class]\ndeep_cut = "4 ft"\ndisturbed = "C"\n'
    place("own", tmp_path, based_on="plain", tables=tables)
    found = load_catalog([tmp_path]).jurisdictions
    own, plain = found["own"].core, found["plain"].core
    assert own.guard_reach_m == pytest.approx(inch(24))
    assert own.earth.deep_cut_m == pytest.approx(ft(4))
    assert own.earth.disturbed_class == "C"
    assert own.earth.cut_slopes == plain.earth.cut_slopes
    assert own.earth.grade_within_m == plain.earth.grade_within_m
    assert (own.frost_months, own.wet_months) == ((7,), plain.wet_months)
    assert own.add_tiers_within == plain.add_tiers_within


def test_caution_of_the_same_code_takes_the_place_of_the_base_s(tmp_path: Path) -> None:
    """It stands where the base's stood, others follow at the end."""
    mine = CAUTION.format(code="tiers", severity="low")
    other = CAUTION.format(code="another", severity="high")
    place("own", tmp_path, based_on="plain", tables=other + mine)
    found = load_catalog([tmp_path]).jurisdictions
    codes = [rule.code for rule in found["plain"].core.cautions]
    own = found["own"].core.cautions
    assert [rule.code for rule in own] == [*codes, "another"]
    assert next(rule.severity for rule in own if rule.code == "tiers") == "low"


def test_document_of_a_silent_place_has_no_core() -> None:
    """What every place needs is never made up."""
    header = {"id": "bare", "version": "1", "title": "Bare", "source": {"kind": "invented"}}
    document = JurisdictionDocument.model_validate(header)
    assert document.silent_on == ("excavation", "soil_class", "grading")
    with pytest.raises(ValueError, match="bare is silent on excavation, soil_class, grading"):
        document.to_core()
