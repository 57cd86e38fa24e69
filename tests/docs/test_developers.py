"""The developers' page says what is: its files exist, its tables are whole."""

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.given.pages import ticked

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
FOLDERS = r"service|catalog|migrations|openapi|tests|\.ci|\.locks|\.licenses"
PLACES = rf"(?:{FOLDERS})/[\w./-]*|\w+\.(?:toml|md)"


def named_paths() -> list[str]:
    """Return every path that the page gives in backticks, placeholders left out."""
    return sorted(set(re.findall(rf"`({PLACES})`", PAGE)))


def words(text: str) -> list[str]:
    """The names in a text, whatever is between them."""
    return re.findall(r"\w+", text)


def section(heading: str) -> str:
    """The text under a heading, to the next one."""
    return re.split(r"\n#{2,3} ", re.split(rf"\n#{{2,3}} {heading}\n", PAGE)[1])[0]


def rows_of(heading: str) -> list[list[str]]:
    """The rows of the table under a heading, its own head left out."""
    lines = [line for line in section(heading).splitlines() if line.startswith("| ")]
    return [line.strip("| ").split(" | ") for line in lines[1:]]


def table_rows(heading: str) -> set[str]:
    """Return the names in the first column of the tables of a section, backticks taken off."""
    cells = re.findall(r"^\| (`[^|]*`) \|", section(heading), re.MULTILINE)
    return {name for cell in cells for name in ticked(cell)}


def layers_of(contract: str) -> list[list[str]]:
    """The layers of an import contract, each as its names."""
    contracts = PROJECT["tool"]["importlinter"]["contracts"]
    (layers,) = (found["layers"] for found in contracts if found["id"] == contract)
    return [words(layer) for layer in layers]


def files_below(path: Path) -> list[Path]:
    """A file, or the text files of a folder."""
    if path.is_file():
        return [path]
    return [file for file in sorted(path.rglob("*")) if file.suffix in {".py", ".toml", ".md"}]


@pytest.mark.parametrize("path", named_paths())
def test_developers_page_names_what_exists(path: str) -> None:
    """Every file and folder named on the page is there."""
    assert (ROOT / path).exists()


def test_developers_page_gives_each_dependency_a_reason() -> None:
    """The tables of dependencies hold those of pyproject.toml, of the clients of the tests and of
    what audits a release, no more and no fewer."""
    project = PROJECT["project"]
    declared = [*project["dependencies"], *project["optional-dependencies"]["dev"]]
    clients = ROOT / "tests" / "clients"
    python = (clients / "python" / "requirements.in").read_text(encoding="utf-8")
    declared += [line for line in python.splitlines() if "==" in line]
    supply = (ROOT / "tests" / "supply" / "requirements.in").read_text(encoding="utf-8")
    declared += [line for line in supply.splitlines() if not line.startswith("#")]
    node = json.loads((clients / "package.json").read_text(encoding="utf-8"))
    declared += [*node["dependencies"], *node["devDependencies"]]
    assert table_rows("Dependencies") == {line.split(" ", 1)[0] for line in declared}


def test_developers_page_lists_each_command() -> None:
    """The tables of tasks and chores hold those of pyproject.toml, no more and no fewer."""
    commands = PROJECT["tool"]["service"]
    assert table_rows("Commands") == {*commands["tasks"], *commands["chores"]}


def test_developers_page_shows_the_imported_layers() -> None:
    """The picture of the layers is that of the import contract, in its order."""
    drawn = re.findall(
        r"^ {4}(\w+(?: \| \w+)*)(?: {2,}\(\w+:.*)?$", section("Layers"), re.MULTILINE
    )
    assert [words(line) for line in drawn] == layers_of("layers")


@pytest.mark.parametrize(
    ("heading", "contract"),
    [("Rooms of the core", "rooms"), ("Rooms of the operations", "operations")],
)
def test_developers_page_lists_the_rooms_of_the_contract(heading: str, contract: str) -> None:
    """The table of rooms is that of the import contract; a row names a file of every room."""
    rows = rows_of(heading)
    assert [ticked(row[0]) for row in rows] == layers_of(contract)
    for row in rows:
        parts = {part for path in ticked(row[2]) for part in Path(path).with_suffix("").parts}
        assert set(ticked(row[0])) <= parts


@pytest.mark.parametrize("row", rows_of("Where to look"), ids=lambda row: row[0])
def test_developers_page_leads_to_what_is_asked_for(row: list[str]) -> None:
    """A row of the table names a file, and what to look for is in a file that it names."""
    paths = [ROOT / name for name in ticked(row[1]) if re.fullmatch(PLACES, name)]
    assert paths
    files = [file for path in paths for file in files_below(path)]
    texts = [file.read_text(encoding="utf-8") for file in files]
    for name in ticked(row[1]):
        if not re.fullmatch(PLACES, name) and not any(file.name == name for file in files):
            assert any(name in text for text in texts), name


@pytest.mark.parametrize(
    ("question", "path", "found"),
    [
        ("how many units does a corner take?", "service/core/layout/legs.py", "def _turn_corner"),
        ("why was this rounded up?", "service/core/rounding.py", "def whole_units"),
        (
            "who says 5 ft, 50 ft, 3:1, 10 deg?",
            "catalog/jurisdictions/plain.toml",
            'deep_cut = "5 ft"',
        ),
        ("what does a 409 mean here?", "openapi/README.md", "| 409 | "),
        ("where do I add a check?", "service/core/screening/check_table.py", "CHECK_TABLE = "),
    ],
)
def test_newcomer_finds_it_in_two_steps(question: str, path: str, found: str) -> None:
    """Five questions lead to the file that answers them, and the answer is in it: written down
    here by someone who looked, not taken from the page."""
    (row,) = (row for row in rows_of("Where to look") if row[0] == question)
    assert path in ticked(row[1])
    assert found in (ROOT / path).read_text(encoding="utf-8")
