"""Sources of earlier versions, out of the history of the repository, and a service of them."""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.given.service_process import Running, free_port, wait_until_it_answers
from tests.openapi.released import RELEASED, compact

ROOT = Path(__file__).resolve().parents[2]
RUNNER = Path(__file__).with_name("other_sources.py")
DOCUMENT = "openapi/openapi.json"


def _git(*words: str) -> bytes | None:
    """What git says; None where it can't, or where there is none."""
    if (git := shutil.which("git")) is None:
        return None
    done = subprocess.run([git, "-C", str(ROOT), *words], capture_output=True, check=False)
    return None if done.returncode else done.stdout


def released_commit() -> str | None:
    """The commit of the last release: its tag, else the newest one that wrote the API document
    that was kept with it. None where the history doesn't go back so far."""
    version = json.loads(RELEASED.read_bytes())["info"]["version"]
    if tagged := _git("rev-parse", "--verify", "--quiet", f"refs/tags/{version}^{{commit}}"):
        return tagged.decode().strip()
    kept = RELEASED.read_text("utf-8")
    for commit in (_git("log", "--format=%H", "--", DOCUMENT) or b"").decode().split():
        document = json.loads(_git("show", f"{commit}:{DOCUMENT}") or b"{}")
        if document.get("info", {}).get("version") == version and compact(document) == kept:
            return commit
    return None


@contextmanager
def sources_of(commit: str) -> Iterator[Path]:
    """The sources of a commit in a folder of their own."""
    packed = _git("archive", "--format=tar", commit)
    if packed is None:
        raise RuntimeError(f"git has no sources of {commit}")
    with tempfile.TemporaryDirectory() as name:
        with tarfile.TarFile(fileobj=io.BytesIO(packed)) as archive:
            archive.extractall(name, filter="data")
        # The name under which the catalog is installed.
        Path(name, "service_catalog").symlink_to("catalog")
        yield Path(name)


@pytest.fixture(scope="session")
def last_release() -> Iterator[Path]:
    """The sources of the last release; without the history the test is skipped and says so."""
    commit = released_commit()
    if commit is None:
        pytest.skip("no history of the repository here: the last release can't be run")
    with sources_of(commit) as folder:
        yield folder


def command_of(sources: Path, *words: str) -> list[str]:
    """The command line of some sources, with what is installed for these."""
    return [sys.executable, str(RUNNER), str(sources), "service", *words]


@contextmanager
def running_release(sources: Path, url: str) -> Iterator[Running]:
    """A service of some sources on a database, and its port; it is stopped in order."""
    port = free_port()
    with subprocess.Popen(
        command_of(sources, "serve", "--port", str(port)),
        cwd=sources,
        env={**os.environ, "SERVICE_DATABASE_URL": url},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as process:
        try:
            wait_until_it_answers(port)
            yield process, port
        finally:
            process.terminate()
            process.wait(60)
