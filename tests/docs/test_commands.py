"""How to install and how to test is said in several places, and is the same in all of them."""

import os
import re
import shlex
import subprocess
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
EDITABLE = "pip install --no-deps --no-build-isolation -e ."
CHECK = "pip check"


def lock(name: str) -> str:
    """The command that installs a lock. A lock is complete, so that no resolver is asked."""
    return f"pip install --no-deps --require-hashes -r .locks/{name}.txt"


def read(path: str) -> str:
    """The text of a file of the checkout."""
    return (ROOT / path).read_text(encoding="utf-8")


def installs(text: str) -> list[str]:
    """The commands of a text that install or check, in order, of whichever environment."""
    plain = text.replace('"', "").replace(" --quiet", "")
    found = re.findall(r"/bin/(pip (?:install\b[^&`;\n]*|check\b))", plain)
    return [command.strip() for command in found]


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ("README.md", [lock("runtime"), EDITABLE, CHECK, lock("dev"), CHECK]),
        ("DEVELOPERS.md", [lock("dev"), EDITABLE, CHECK, lock("clients"), lock("supply")]),
        (".ci/run", [lock("clients"), lock("supply"), lock("dev"), EDITABLE, CHECK]),
    ],
)
def test_pages_install_what_is_pinned_and_check_it(path: str, expected: list[str]) -> None:
    """A page installs a lock without a resolver, then the checkout, and has the result checked."""
    assert installs(read(path)) == expected


def test_installs_sees_each_command() -> None:
    """A command without its options, in quotes or with other words is seen as it is."""
    text = (
        '"$folder/bin/pip" install --quiet -r a.txt && .venv/bin/pip check\n`x/bin/pip install b`'
    )
    assert installs(text) == ["pip install -r a.txt", "pip check", "pip install b"]


def test_pages_test_as_the_task_does() -> None:
    """Newcomers are given the task that is checked; `.ci/run` runs the task list itself."""
    assert ".venv/bin/python .ci/tasks.py tests\n" in read("README.md")
    assert read(".ci/run").rstrip().endswith('/venv/bin/python" .ci/tasks.py')


def test_check_of_a_clean_checkout_compiles_once() -> None:
    """What `.ci/run` says about compiling, said to a shell: compiled code is kept, outside the
    checkout, also where the environment forbids to keep it."""
    said = re.findall(r"^(?:unset|export) PYTHON.*$", read(".ci/run"), re.MULTILINE)
    told = [
        "folder=/there",
        *said,
        "printenv PYTHONPYCACHEPREFIX",
        "printenv PYTHONDONTWRITEBYTECODE",
    ]
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    shell = ["bash", "-c", "\n".join(told)]
    done = subprocess.run(shell, env=environment, capture_output=True, text=True, check=False)
    assert done.stdout == "/there/compiled\n"


def test_tests_run_each_test_once() -> None:
    """One run takes all tests, and holds the floor of coverage."""
    project = tomllib.loads(read("pyproject.toml"))["tool"]
    (run,) = project["service"]["tasks"]["tests"]
    assert shlex.split(run) == ["python", "-m", "pytest", "-n", "4", "--cov"]
    assert project["coverage"]["report"]["fail_under"] == 95
