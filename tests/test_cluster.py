"""Without PostgreSQL the tests that want it fail with the remedy, and all others can be run."""

import shutil
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests import cluster
from tests.cluster import ClusterStartError, find_programs

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def collected(*options: str) -> list[str]:
    """The tests of the store that pytest would run."""
    command = [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:randomly"]
    command += [*options, "tests/storage/test_store.py"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    return [line for line in done.stdout.splitlines() if "::" in line]


def test_find_programs_names_the_remedy(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Where there is no PostgreSQL, the message says which package brings it, and the way round."""
    monkeypatch.setattr(cluster, "PROGRAMS", tmp_path)
    with pytest.raises(ClusterStartError, match=r"package `postgresql`.*TEST_POSTGRES_URL"):
        find_programs()


def test_find_programs_takes_the_newest(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Of two releases the later one runs: 15 comes after 9.6."""
    monkeypatch.setattr(cluster, "PROGRAMS", tmp_path)
    for release in ("9.6", "15"):
        program = tmp_path / release / "bin" / "pg_ctl"
        program.parent.mkdir(parents=True)
        program.touch()
    assert find_programs() == tmp_path / "15" / "bin"


def test_main_says_that_there_is_no_server(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command beside a server doesn't run without one: one line says why."""
    monkeypatch.delenv(cluster.VARIABLE, raising=False)
    monkeypatch.setattr(cluster, "PROGRAMS", tmp_path)
    assert cluster.main(["true"]) == 1
    assert len(capsys.readouterr().err.splitlines()) == 1


@pytest.mark.parametrize(
    ("there", "free", "said"),
    [
        (True, 1 << 30, ""),
        (True, (1 << 30) - 1, "has 1023 MiB free, fewer than 1024"),
        (False, 1 << 30, "isn't there"),
    ],
    ids=["room", "too little room", "no folder"],
)
def test_parent_folder_is_in_memory_where_there_is_room(
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    there: bool,
    free: int,
    said: str,
) -> None:
    """With a gibibyte free in memory the files lie there; else on the disk, and why is said."""
    folder = tmp_path if there else tmp_path / "none"
    monkeypatch.setattr(cluster, "MEMORY", folder)
    monkeypatch.setattr(shutil, "disk_usage", lambda _folder: SimpleNamespace(free=free))
    assert cluster.parent_folder() == (None if said else folder)
    err = capsys.readouterr().err
    assert said in err
    assert bool(err) is bool(said)


def test_marker_tells_what_wants_postgresql() -> None:
    """README's option leaves out the tests on PostgreSQL, and no test on SQLite."""
    assert '-m "not postgresql"' in README
    without, alone = collected("-m", "not postgresql"), collected("-m", "postgresql")
    named = [name.partition("[postgresql")[0] for name in alone if "[postgresql" in name]
    assert named
    assert named == [name.partition("[sqlite")[0] for name in without if "[sqlite" in name]
    assert not [name for name in without if "[postgresql" in name]
    assert [name for name in alone if name.endswith("::test_store_comes_back_with_its_server")]
