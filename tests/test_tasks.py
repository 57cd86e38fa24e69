"""The task runner: it runs what pyproject.toml lists, stops at a failure, knows what there is."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

PROJECT = """
[tool.service.tasks]
first = ['python -c "print(1)"']
second = ['python -c "raise SystemExit(3)"', 'python -c "print(2)"']
[tool.service.chores]
extra = ['python -c "print(4)"']
"""


def run_tasks(folder: Path, *names: str) -> tuple[int, list[str], str]:
    """Return exit code, what the commands printed, and the talk on stderr, of a small project."""
    (folder / ".ci").mkdir()
    (folder / "pyproject.toml").write_text(PROJECT, encoding="utf-8")
    runner = folder / ".ci" / "tasks.py"
    runner.write_text((ROOT / ".ci" / "tasks.py").read_text(encoding="utf-8"), encoding="utf-8")
    command = [sys.executable, str(runner), *names]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    printed = [line for line in done.stdout.splitlines() if not line.startswith("$")]
    return done.returncode, printed, done.stderr


@pytest.mark.parametrize(
    ("names", "code", "printed"),
    [
        ((), 3, ["1"]),
        (("first",), 0, ["1"]),
        (("extra", "first"), 0, ["4", "1"]),
        (("second",), 3, []),
    ],
)
def test_main_stops_at_the_first_failure(
    tmp_path: Path, names: tuple[str, ...], code: int, printed: list[str]
) -> None:
    """All tasks run in order, or those named; the first failing command decides and ends it."""
    assert run_tasks(tmp_path, *names)[:2] == (code, printed)


def test_main_names_the_tasks_there_are(tmp_path: Path) -> None:
    """A name that is no task is a usage error that lists the names."""
    code, printed, talk = run_tasks(tmp_path, "frist")
    assert (code, printed) == (2, [])
    assert "first, second, extra" in talk
