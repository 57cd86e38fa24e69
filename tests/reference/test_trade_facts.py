"""Trade facts, common practice without a published source, against what the catalog ships."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

CATALOG = Path(__file__).parents[2] / "catalog"


def shipped(kind: str, name: str) -> Mapping[str, Any]:
    """One shipped catalog file, as it is written."""
    return tomllib.loads((CATALOG / kind / f"{name}.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", ["plain_gravity", "buried_course"])
def test_base_is_six_inches_of_clear_stone(name: str) -> None:
    """On ordinary ground the pad is 6 in of clear 3/4 in crushed stone, 6 in past the unit."""
    pad = shipped("sections", name)["leveling_pad"]
    assert (pad["thickness"], pad["front_extension"], pad["rear_extension"]) == ("6 in",) * 3
    title = shipped("materials", pad["item"])["title"].lower()
    assert "clear" in title
    assert "3/4 in" in title


def test_base_on_soft_ground_is_deeper_and_reinforced() -> None:
    """On soft ground the pad is 12 to 24 in deep, and the section speaks of reinforcement."""
    deep = shipped("sections", "deep_pad")
    value, unit = deep["leveling_pad"]["thickness"].split()
    assert unit == "in"
    assert 12 <= float(value) <= 24
    assert "reinforcement" in deep["note"].lower()


def test_drainage_stone_may_begin_above_native_soil() -> None:
    """One section starts drainage stone at the top of the buried course, above native soil."""
    section = shipped("sections", "buried_course")
    assert section["drainage"]["starts_at"] == "buried_course"
    assert "native soil" in section["note"]
    assert shipped("sections", "plain_gravity")["drainage"]["starts_at"] == "pad"


@pytest.mark.parametrize("name", ["plain_gravity", "buried_course", "deep_pad"])
def test_trade_facts_say_that_they_are_common_practice(name: str) -> None:
    """What has no published source says so."""
    assert shipped("sections", name)["source"]["kind"] == "common practice"
