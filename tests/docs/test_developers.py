"""The developers' page says what is: its files exist, its tables are whole."""

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PLACES = r"(?:service|catalog|migrations|openapi|tests|\.ci|\.locks|\.licenses)/[\w./-]*|\w+\.toml"


def named_paths() -> list[str]:
    """Return every path that the page gives in backticks, placeholders left out."""
    return sorted(set(re.findall(rf"`({PLACES})`", PAGE)))


def table_rows(heading: str) -> set[str]:
    """Return the names in the first column of the tables of a section, backticks taken off."""
    section = PAGE.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]
    cells = re.findall(r"^\| (`[^|]*`) \|", section, re.MULTILINE)
    return {name for cell in cells for name in re.findall(r"`([^`]+)`", cell)}


@pytest.mark.parametrize("path", named_paths())
def test_developers_page_names_what_exists(path: str) -> None:
    """Every file and folder named on the page is there."""
    assert (ROOT / path).exists()


def test_developers_page_gives_each_dependency_a_reason() -> None:
    """The tables of dependencies hold those of pyproject.toml, no more and no fewer."""
    project = PROJECT["project"]
    declared = [*project["dependencies"], *project["optional-dependencies"]["dev"]]
    assert table_rows("Dependencies") == {line.split(" ", 1)[0] for line in declared}


def test_developers_page_lists_each_command() -> None:
    """The tables of tasks and chores hold those of pyproject.toml, no more and no fewer."""
    commands = PROJECT["tool"]["service"]
    assert table_rows("Commands") == {*commands["tasks"], *commands["chores"]}


def test_developers_page_shows_the_imported_layers() -> None:
    """The picture of the layers is that of the import contract, in its order."""
    contract = PROJECT["tool"]["importlinter"]["contracts"][0]
    layers = [re.findall(r"\w+", layer) for layer in contract["layers"]]
    drawn = re.findall(r"^ {4}(\w+(?: \| \w+)*)(?: {2,}\((\w+):.*)?$", PAGE, re.MULTILINE)
    assert [re.findall(r"\w+", " ".join(parts)) for parts in drawn if parts[0] != ""] == layers


def test_readme_runs_the_tests_as_the_task_does() -> None:
    """The command that newcomers are given is the one that is checked."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    (command,) = PROJECT["tool"]["service"]["tasks"]["tests"]
    assert f".venv/bin/{command}\n" in readme
