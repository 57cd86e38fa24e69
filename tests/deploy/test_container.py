"""The container file: linted, by the locks, without root; and what it starts."""

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.given.service_process import ROOT, running_service

FILE = ROOT / "service" / "deploy" / "Containerfile"
TEXT = FILE.read_text(encoding="utf-8")
# One instruction a line, those that go on over several joined.
LINES = [
    " ".join(line.split())
    for line in TEXT.replace("\\\n", " ").splitlines()
    if line.strip() and not line.startswith("#")
]


def instructions(word: str) -> list[str]:
    """What follows each instruction of a kind."""
    return [line.removeprefix(f"{word} ") for line in LINES if line.startswith(f"{word} ")]


def linted(text: str) -> subprocess.CompletedProcess[str]:
    """What the linter says of a container file."""
    linter = Path(sys.executable).parent / "hadolint"
    return subprocess.run(
        [linter, "--no-color", "-"], input=text, capture_output=True, text=True, check=False
    )


def test_containerfile_is_linted() -> None:
    """The linter finds nothing, at any level; one that is made worse is refused."""
    done = linted(TEXT)
    assert (done.returncode, done.stdout) == (0, "")
    assert "DL3006" in linted("FROM python\nRUN true\n").stdout


def test_containerfile_installs_by_the_locks() -> None:
    """Packages come by their hashes and without a resolver, and the result is checked."""
    runs = [part.strip() for line in instructions("RUN") for part in line.split("&&")]
    installs = [run.partition(" pip ")[2] or run for run in runs if "pip install" in run]
    assert [re.sub(r"^\S+pip ", "", each) for each in installs] == [
        "install --no-cache-dir --no-deps --require-hashes -r .locks/production.txt",
        "install --no-cache-dir --no-deps --no-build-isolation .",
    ]
    assert runs[-2].endswith("pip check")


def test_containerfile_runs_without_root_and_keeps_data_apart() -> None:
    """The last stage ends as a user that is not root, with one volume; what it needs to begin
    is written nowhere else."""
    assert instructions("USER") == ["10001:10001"]
    assert instructions("VOLUME") == ["/data"]
    after = LINES[LINES.index("USER 10001:10001") :]
    assert not [line for line in after if line.startswith(("RUN", "COPY", "ADD"))]
    assert instructions("ENTRYPOINT") == ['["/opt/wall-quotes/bin/python", "-m", "service"]']
    (given,) = instructions("CMD")[-1:]
    assert json.loads(given)[:3] == ["serve", "--host", "0.0.0.0"]  # noqa: S104  in a container


def test_containerfile_copies_what_is_there() -> None:
    """Each file that is copied from the checkout stands in it."""
    copied = [line.split() for line in instructions("COPY") if not line.startswith("--from")]
    sources = [source for *given, _ in copied for source in given]
    assert {"service", "catalog", "migrations", "openapi", ".locks/production.txt"} <= {*sources}
    assert [each for each in sources if not (ROOT / each).exists()] == []


def test_healthcheck_tells_a_service_that_lives(tmp_path: Path) -> None:
    """The check of health ends with 0 while the service answers, with 1 once it doesn't."""
    (line,) = instructions("HEALTHCHECK")
    _, code, call = json.loads(line.partition("CMD ")[2])
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    with running_service(log=subprocess.DEVNULL, SERVICE_DATABASE_URL=url) as (process, port):
        check = [sys.executable, code, call.replace(":8000", f":{port}")]
        assert subprocess.run(check, check=False, capture_output=True).returncode == 0
        process.terminate()
        process.wait(timeout=60)
        assert subprocess.run(check, check=False, capture_output=True).returncode == 1


def test_containerfile_builds() -> None:
    """The image is built where a base image can be had; else the reason is printed."""
    builder = next(filter(None, map(shutil.which, ("podman", "buildah", "docker"))), None)
    if builder is None:
        pytest.skip("no builder of images on this machine: podman, buildah or docker")
    base = instructions("FROM")[0].split()[0]
    pulled = subprocess.run(
        [builder, "pull", "-q", base], capture_output=True, text=True, check=False
    )
    if pulled.returncode:
        pytest.skip(f"the base image can't be had: {pulled.stderr.strip()[-200:]}")
    command = [builder, "build", "-q", "-f", str(FILE), str(ROOT)]
    built = subprocess.run(command, capture_output=True, text=True, check=False)
    assert built.returncode == 0, built.stderr
