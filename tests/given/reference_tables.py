"""Outside values: the TOML files of tests/reference/, each table with its source."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Row = dict[str, Any]
FOLDER = Path(__file__).resolve().parents[1] / "reference"


def read_tables(name: str) -> dict[str, Row]:
    """The tables of a file."""
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


def rows_of(tables: dict[str, Row]) -> Callable[..., pytest.MarkDecorator]:
    """How a test asks for one case per row of a table: `rows("table")`."""

    def rows(table: str, name: str = "rows") -> pytest.MarkDecorator:
        return pytest.mark.parametrize("row", tables[table][name], ids=str)

    return rows
