"""`catalog check`, `catalog new wall-system` and `catalog schema`, as someone would type them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from service.catalog import read_catalog
from service.catalog.schemas import schema_files, shipped_folder
from service.cli.app import app
from tests.given.catalog_files import WALL_SYSTEM, write_folder


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    """A folder for new catalog files."""
    folder = tmp_path / "mine"
    folder.mkdir()
    return folder


def run(*arguments: str | Path) -> Result:
    """The command's outcome, stdout and stderr apart."""
    return CliRunner().invoke(app, ["catalog", *map(str, arguments)])


def test_check_counts_what_is_sound() -> None:
    """A sound catalog exits 0, with the counts on stdout and the talk on stderr."""
    done = run("check")
    assert done.exit_code == 0
    assert "wall_systems" in done.stdout
    assert "all sound" not in done.stdout
    assert "all sound" in done.stderr


def test_check_prints_every_problem(empty: Path) -> None:
    """Every problem of every file stands on stderr, and the exit code is 1."""
    bad = WALL_SYSTEM.replace('"8 in"', "8")
    write_folder(empty, {"wall_systems/demo.toml": bad, "wall_systems/other.toml": bad})
    done = run("check", empty)
    assert done.exit_code == 1
    assert done.stdout == ""
    lines = done.stderr.splitlines()
    assert lines[0].startswith(
        f"{empty}/wall_systems/demo.toml: units.standard.height: 8 is a bare"
    )
    assert lines[1].startswith(f"{empty}/wall_systems/other.toml: id: ")
    assert lines[-1] == "3 to mend"


def test_check_reads_the_settings_folders(empty: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Folders in SERVICE_CATALOG_PATH are checked along."""
    write_folder(empty, {"wall_systems/demo.toml": WALL_SYSTEM})
    monkeypatch.setenv("SERVICE_CATALOG_PATH", str(empty))
    before = len(read_catalog([shipped_folder()]).wall_systems)
    assert json.loads(run("check", "--json").stdout)["counts"]["wall_systems"] == before + 1


def test_check_answers_in_json(empty: Path) -> None:
    """With --json a script gets the result on stdout: version and counts, or the problems."""
    sound = json.loads(run("check", "--json").stdout)
    assert (sound["valid"], sound["problems"], len(sound["version"])) == (True, [], 64)
    write_folder(empty, {"wall_systems/demo.toml": WALL_SYSTEM.replace('"8 in"', "8")})
    done = run("check", empty, "--json")
    assert done.exit_code == 1
    broken = json.loads(done.stdout)
    assert broken["valid"] is False
    assert broken["problems"][0]["file"] == f"{empty}/wall_systems/demo.toml"
    assert broken["problems"][0]["key"] == ["units", "standard", "height"]
    assert broken["problems"][0]["code"] == "measurement-invalid"


@pytest.mark.parametrize(("units", "height_m"), [("us", 0.2032), ("metric", 0.2)])
def test_new_wall_system_is_sound(empty: Path, units: str, height_m: float) -> None:
    """The written file says where it is, passes the check, and speaks the asked units."""
    done = run("new", "wall-system", "my_block", "--folder", empty, "--units", units)
    path = empty / "wall_systems" / "my_block.toml"
    assert (done.exit_code, done.stdout) == (0, f"{path}\n")
    system = read_catalog([empty]).wall_systems["my_block"].core
    assert system.standard.height_m == pytest.approx(height_m, abs=1e-15)
    assert system.corner is not None
    assert system.cap is not None
    text = path.read_text(encoding="utf-8")
    assert text.count("#") > 10
    schema = text.splitlines()[0].removeprefix("#:schema ")
    assert json.loads((path.parent / schema).read_text(encoding="utf-8"))["type"] == "object"


def test_new_wall_system_never_overwrites(empty: Path) -> None:
    """A file that is there stays as it is, and so does an id that is taken elsewhere."""
    path = (
        write_folder(empty, {"wall_systems/my_block.toml": "kept"}) / "wall_systems/my_block.toml"
    )
    done = run("new", "wall-system", "my_block", "--folder", empty)
    assert (done.exit_code, done.stdout) == (1, "")
    assert "is there already" in done.stderr
    assert path.read_text(encoding="utf-8") == "kept"
    taken = run("new", "wall-system", "terrace_8in", "--folder", empty)
    assert taken.exit_code == 1
    assert "terrace_8in.toml" in taken.stderr


def test_new_wall_system_works_beside_a_broken_catalog(
    empty: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A mistake elsewhere doesn't keep anyone from beginning a file."""
    write_folder(empty, {"wall_systems/demo.toml": "id ="})
    monkeypatch.setenv("SERVICE_CATALOG_PATH", str(empty))
    assert run("new", "wall-system", "my_block", "--folder", empty).exit_code == 0


def test_new_wall_system_says_why_it_cant_write(empty: Path) -> None:
    """A folder that can't be made is told, without a traceback."""
    write_folder(empty, {"file": ""})
    done = run("new", "wall-system", "my_block", "--folder", empty / "file")
    assert done.exit_code == 1
    assert "can't be written" in done.stderr


@pytest.mark.parametrize("entry_id", ["My_Block", "my-block", "a" * 65, "../up", ""])
def test_new_wall_system_wants_an_id(empty: Path, entry_id: str) -> None:
    """Another name than an id is wrong usage: exit code 2, nothing written."""
    done = run("new", "wall-system", entry_id, "--folder", empty)
    assert done.exit_code == 2
    assert list(empty.iterdir()) == []


def test_schema_writes_what_the_code_says(empty: Path) -> None:
    """The schemas of every kind are written, and named on stdout."""
    done = run("schema", "--folder", empty)
    assert done.exit_code == 0
    written = {path.name: path.read_text(encoding="utf-8") for path in (empty / "schema").iterdir()}
    assert written == schema_files()
    assert len(done.stdout.splitlines()) == len(written)
