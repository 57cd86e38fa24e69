"""The guide's tables of keys are those of the documents, and say every key in words it explains."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from service.catalog import document_schema
from service.catalog.key_tables import COMMAND, key_rows, with_key_tables, write_key_tables
from service.catalog.kinds import KINDS
from service.catalog.schemas import shipped_folder
from service.fields import LIMITS
from service.units import EXAMPLES, read_units

README = (shipped_folder() / "README.md").read_text(encoding="utf-8")
HEADER = {"id", "version", "title", "note", "also", "source"}


def legend() -> dict[str, str]:
    """Form and example of each value that the guide explains."""
    section = README.split("## How values are written\n", 1)[1].split("\n## ", 1)[0]
    rows = re.findall(r"^\| ([^`|]+) \| (.+) \|$", section, re.MULTILINE)
    return {word: rest for words, rest in rows for word in words.split(", ")}


def keys_of(kind: str) -> set[str]:
    """Every key that the schema of a kind has, the header of files left out."""
    schema: dict[str, Any] = document_schema(kind)
    tables = [schema, *(t for name, t in schema.get("$defs", {}).items() if name != "Source")]
    top = set(schema["properties"]) - HEADER
    return top | {key for t in tables[1:] for key in t.get("properties", {})} - {"source"}


def test_key_tables_are_up_to_date() -> None:
    """The committed guide has the tables that the code makes."""
    assert with_key_tables(README) == README, f"mend with: {COMMAND}"


@pytest.mark.parametrize("kind", KINDS)
def test_key_tables_name_every_key(kind: str) -> None:
    """Each kind has its paragraph and its table, and the table has each key of the schema."""
    section = README.split(f"\n### `{kind}/`\n", 1)[1].split("\n### ", 1)[0]
    block = section.split(f"<!-- keys of {kind}: written by {COMMAND} -->\n", 1)[1]
    named = set(re.findall(r"\w+", " ".join(row[0] + row[1] for row in key_rows(kind))))
    assert keys_of(kind) <= named
    assert all(f"| {' | '.join(row)} |\n" in block for row in key_rows(kind))


def test_key_rows_say_what_is_written() -> None:
    """By hand, from a soil and the terms: a needed figure, a table, an optional word, a default."""
    soil = key_rows("soils")
    assert ("`bank`", "density", "needed", "") in soil
    assert ("`kind`", "`granular`, `silt`, `clay`", "", "Says which machines compact it.") in soil
    assert [row[0] for row in soil if row[1] == "table"] == [
        "**`[strength]`**",
        "**`[undisturbed]`**",
        "**`[weight]`**",
        "**`[volume]`**",
        "**`[excavation]`**",
    ]
    terms = {row[0]: row[1:3] for row in key_rows("terms")}
    assert terms["`overhead`"] == ("share or table of `share`, `per_crew_day`", "`0`")
    assert terms["**`[allowances.<code>]`**"] == ("table", "")
    assert terms["`on`"][1] == "all"
    assert ("**`[[tasks]]`**", "table", "") in [row[:3] for row in key_rows("production_rates")]


def test_guide_explains_each_value() -> None:
    """Whatever stands in the column of values is words of a list, or is told how to be written."""
    plain = set()
    for kind in KINDS:
        for _, value, _, _ in key_rows(kind):
            told = re.sub(r"(?: or )?table of .*|one of .*|list: |`[^`]+`(?:, )?", "", value)
            plain.add(told.strip())
    assert plain - {"", "table"} <= set(legend())


def test_guide_gives_the_units_that_are_read() -> None:
    """The units of a measure are those that its fields take; its examples are read."""
    for dimension in LIMITS:
        form, _, examples = legend()[dimension.replace("_", " ")].partition(" | ")
        assert re.findall(r"`([^`]+)`", form) == list(read_units(dimension))
        assert re.findall(r'`"([^`]+)"`', examples) == list(EXAMPLES[dimension])


def test_write_key_tables_mends_a_page(tmp_path: Path) -> None:
    """A table that lost a row gets it back, once; the text around it stays; no page is made."""
    assert write_key_tables(tmp_path) == ()
    page = tmp_path / "README.md"
    page.write_text(README.replace("| `loose` | density | needed |  |\n", ""), encoding="utf-8")
    assert write_key_tables(tmp_path) == (page,)
    assert page.read_text(encoding="utf-8") == README
    assert write_key_tables(tmp_path) == ()
