"""Figures of the shipped catalog against catalog_figures.toml: every figure that has a published
source or is common practice is held by a row with the figure of its source, and none is left out.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from service.catalog.schemas import shipped_folder

Table = dict[str, Any]
DATA: dict[str, Table] = tomllib.loads(
    Path(__file__).with_name("catalog_figures.toml").read_text(encoding="utf-8")
)
FILES: dict[str, Table] = {
    f"{path.parent.name}/{path.stem}": tomllib.loads(path.read_text(encoding="utf-8"))
    for path in sorted(shipped_folder().glob("*/*.toml"))
}
HELD = ("published", "common practice")
ROWS = [(source, *row) for source, table in DATA.items() for row in table["figures"]]
# Rounding of a source's figure or of a round metric one; 32 in stand beside 800 mm.
NEAR = 0.007
WIDE = {
    "layers.spacing": 0.02,
    "layers.soil_between": 0.02,
    "cap_adhesive.yield": 0.01,
    "materials.0.amount": 0.01,
}
UNITS = {
    "": 1,
    "%": 0.01,
    "deg": 1,
    "in": 0.0254,
    "ft": 0.3048,
    "mm": 0.001,
    "m": 1,
    "ft2": 0.3048**2,
    "ft3": 0.3048**3,
    "yd3": 0.9144**3,
    "lb": 0.45359237,
    "pcf": 0.45359237 / 0.3048**3,
    "psf": 0.45359237 / 0.3048**2,
    "lb/yd3": 0.45359237 / 0.9144**3,
    "kg/m3": 1,
}
NUMBER = r"(?:\d+(?:\.\d+)?(?:/\d+)?)"
FIGURE = re.compile(rf"^({NUMBER})(?::({NUMBER}))?\s*([A-Za-z%][A-Za-z0-9/]*)?$")
WORDS = ("id", "version", "title", "text", "note", "source", "code", "item", "where")


def figure_of(text: object) -> float:
    """A number, a ratio or a slope, in SI."""
    match = FIGURE.match(str(text))
    assert match is not None, text
    value, rise, unit = match.groups()
    return float(Fraction(value) / Fraction(rise or 1)) * UNITS[unit or ""]


def figures(table: Table, kind: str = "", path: str = "") -> Iterator[tuple[str, object, str]]:
    """(key, figure, kind of its source) of everything in a table that is a number."""
    source = table.get("source", {}).get("kind", kind)
    for key, value in table.items():
        if key not in WORDS:
            yield from _figures_in(value, source, f"{path}.{key}" if path else key)


def _figures_in(value: object, kind: str, path: str) -> Iterator[tuple[str, object, str]]:
    if isinstance(value, dict):
        yield from figures(value, kind, path)
    elif isinstance(value, list):
        for place, entry in enumerate(value):
            named = entry.get("id") or entry.get("code") if isinstance(entry, dict) else None
            yield from _figures_in(entry, kind, f"{path}.{named or place}")
    elif not isinstance(value, bool) and FIGURE.match(str(value)):
        yield path, value, kind


FOUND = {
    (file, key): (value, kind)
    for file, tables in FILES.items()
    for key, value, kind in figures(tables)
}


@pytest.mark.parametrize(
    ("source", "file", "key", "figure", "where"), ROWS, ids=[f"{r[1]} {r[2]}" for r in ROWS]
)
def test_shipped_figure_is_that_of_its_source(
    source: str, file: str, key: str, figure: str, where: str
) -> None:
    """The catalog's figure is the one that the source gives, whatever unit either is written in."""
    assert DATA[source]["how"]
    assert where
    found, _ = FOUND[file, key]
    near = next((near for end, near in WIDE.items() if key.endswith(end)), NEAR)
    assert figure_of(found) == pytest.approx(figure_of(figure), rel=near, abs=1e-12)


def test_every_sourced_figure_is_held() -> None:
    """No figure with a published source or of common practice stands in the catalog without a row
    here, and none has two."""
    held = [(file, key) for _, file, key, _, _ in ROWS]
    sourced = {place for place, (_, kind) in FOUND.items() if kind in HELD}
    assert sorted(sourced - set(held)) == []
    assert len(held) == len(set(held))


def test_published_figures_name_one_source() -> None:
    """Where the catalog calls a figure published, it names the source that the row names, unless
    that source's own words say that this one figure is the trade's or from memory."""
    others = ("common_practice", "association_from_memory", "low_wall")
    named = {
        (file, key): DATA[source]["title"]
        for source, file, key, _, _ in ROWS
        if source not in others
    }
    for (file, key), (_, kind) in FOUND.items():
        if kind == "published" and (file, key) in named:
            assert named[file, key] in titles_above(FILES[file], key), (file, key)


def titles_above(table: Table, key: str) -> list[str]:
    """Titles of the sources of the tables around a key, the nearest first."""
    titles = [table.get("source", {}).get("title")]
    here: Any = table
    for part in key.split("."):
        if isinstance(here, list):
            found = [
                e for e in here if isinstance(e, dict) and part in (e.get("id"), e.get("code"))
            ]
            here = found[0] if found else here[int(part)]
        else:
            here = here.get(part, {})
        if isinstance(here, dict) and "source" in here:
            titles.insert(0, here["source"].get("title"))
    return titles[:1]
