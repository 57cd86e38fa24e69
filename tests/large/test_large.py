"""The command for large numbers: its rows name what is there, and a failure ends with 1."""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path

import pytest

from tests.large import __main__ as large
from tests.large.rows import ROWS, Row

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("name", ROWS)
def test_row_names_what_is_there(name: str) -> None:
    """Each row's module and files exist, and what is named reads the row's count."""
    row = ROWS[name]
    module, *words = row.words
    assert importlib.util.find_spec(module) is not None
    files = [ROOT / word for word in words if word.startswith("tests/")]
    assert all(file.exists() for file in files)
    if row.variable:
        text = "".join(
            each.read_text("utf-8")
            for file in files
            for each in ([file] if file.is_file() else sorted(file.rglob("*.py")))
        )
        assert f'count_of("{row.variable}"' in text
    else:
        assert row.count == 1 or "{count}" in words


def test_every_count_has_a_row() -> None:
    """A count that tests read can be enlarged by a row."""
    read = {
        name
        for file in (ROOT / "tests").rglob("test_*.py")
        if file != Path(__file__)
        for name in re.findall(r'count_of\("(\w+)"', file.read_text("utf-8"))
    }
    assert read == {row.variable for row in ROWS.values()} - {""}


def test_run_gives_the_share_and_tells_the_exit(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """A row is run with its part of the count; what it prints, and how it ended, are shown; one
    that failed makes the whole a failure."""
    given = ("timeit", "-n", "{count}", "-s", "import os")
    rows = {
        "fine": Row(50, (*given, "assert os.environ['TEST_SHOWN'] == '5'"), "SHOWN"),
        "broken": Row(50, (*given, "assert os.environ['TEST_SHOWN'] == '50'"), "SHOWN"),
    }
    monkeypatch.setattr(large, "ROWS", rows)
    assert large.main(["fine", "--share", "0.1", "--seed", "7"]) == 0
    told = capfd.readouterr().out
    assert "## fine: 5, seed 7" in told
    assert "5 loops" in told
    assert f"Python {sys.version.split()[0]}" in told
    assert large.main(["--share", "0.1"]) == 1
    assert "## broken: exit 1" in capfd.readouterr().out


def test_main_refuses_an_unknown_name(capsys: pytest.CaptureFixture[str]) -> None:
    """A name that no row has ends with 2 and the names there are."""
    with pytest.raises(SystemExit) as ended:
        large.main(["nothing"])
    assert ended.value.code == 2
    assert "power cuts" in capsys.readouterr().err
