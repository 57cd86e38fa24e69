"""The page on running the service, followed from top to bottom."""

from __future__ import annotations

import datetime as dt
import os
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from service.settings import unknown_variables
from tests.given.heavy import small_request
from tests.given.recipes import Office
from tests.given.service_process import ROOT, free_port
from tests.given.stand_ins import moved, place_all

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

FOLDER = ROOT / "service" / "deploy"
PAGE = (FOLDER / "README.md").read_text(encoding="utf-8")
PARTS = re.split(r"^## ", PAGE, flags=re.MULTILINE)[1:]
BLOCKS = {
    part.partition("\n")[0]: re.findall(r"^```sh\n(.*?)^```$", part, re.MULTILINE | re.DOTALL)
    for part in PARTS
}


@dataclass(frozen=True)
class Machine:
    """A folder in which the page is followed, and the port of its service."""

    folder: Path
    port: int
    programs: Path

    def follow(self, block: str) -> str:
        """What a block of commands says; each has to end well."""
        environment = {name: os.environ[name] for name in ("HOME", "LANG") if name in os.environ}
        path = f"{self.programs}:{self.folder}/usr/local/sbin:{os.environ['PATH']}"
        done = subprocess.run(
            ["/bin/sh", "-e", "-u", "-c", moved(block, self.folder, self.port)],
            cwd=ROOT, env={**environment, "PATH": path}, capture_output=True, text=True,
            timeout=300, check=False,
        )  # fmt: skip
        assert done.returncode == 0, (block, done.stdout, done.stderr)
        return done.stdout


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    """A machine on which nothing of the service stands yet."""
    port = free_port()
    found = Machine(tmp_path, port, place_all(tmp_path, port))
    yield found
    if (tmp_path / "pid").exists():
        found.follow("systemctl stop wall-quotes")


def save(office: Office, reference: str) -> None:
    """Save a quote."""
    body = {"quote": {**small_request(), "reference": reference}}
    office.call("quotes", "POST", "/v1/saved-quotes", body)


def references(office: Office) -> list[str]:
    """The quotes that are there."""
    page = office.get("quotes", "/v1/saved-quotes")
    return sorted(each["facts"]["reference"] for each in page["items"])


def test_running_page_is_followed_from_top_to_bottom(machine: Machine) -> None:
    """What the page says to type works in its order: a machine is set up, backed up, upgraded and
    restored, and after that the quotes are those of the backup."""
    files, start, copy, proxy = BLOCKS["Install"]
    machine.follow(files)
    told = machine.follow(start)
    admin, office_key = re.findall(r"^wqkey_\S+$", told, re.MULTILINE)
    office = Office(machine.port, "", {"admin": admin, "quotes": office_key})
    assert '"ready"' in told
    machine.follow(copy)
    machine.follow(proxy)
    save(office, "before")
    (backup,) = BLOCKS["Back up"]
    machine.follow(backup)
    kept = machine.folder / "var/backups/wall-quotes"
    days = {dt.datetime.now().astimezone().date() - dt.timedelta(n) for n in (0, 1)}
    assert {each.name for each in kept.iterdir()} <= {f"{day}.sqlite" for day in days}
    (upgrade,) = BLOCKS["Upgrade"]
    assert '"ready"' in machine.follow(upgrade)
    save(office, "after")
    assert references(office) == ["after", "before"]
    (restore,) = BLOCKS["Restore"]
    assert '"ready"' in machine.follow(restore)
    assert references(office) == ["before"]
    assert (machine.folder / "var/lib/wall-quotes/damaged.sqlite").exists()


def test_running_page_leaves_no_block_out() -> None:
    """Each block of commands of the page is one that the test follows."""
    assert {name: len(blocks) for name, blocks in BLOCKS.items() if blocks} == {
        "Install": 4,
        "Back up": 1,
        "Upgrade": 1,
        "Restore": 1,
    }
    assert PAGE.count("```") == 2 * 7


def test_running_page_lists_each_file() -> None:
    """The table names every file beside the page, and no other."""
    rows = re.findall(r"^\| `([^`]+)` \|", PAGE, re.MULTILINE)
    assert sorted(rows) == sorted(each.name for each in FOLDER.iterdir() if each.suffix != ".md")


def test_wall_quotes_conf_sets_what_are_settings() -> None:
    """The shipped settings are ones that the service knows, and the unit and the command read the
    same file."""
    lines = (FOLDER / "wall-quotes.conf").read_text(encoding="utf-8").splitlines()
    names = [line.split("=")[0] for line in lines if line and not line.startswith("#")]
    assert names
    assert unknown_variables(names) == ()
    for file in ("wall-quotes.service", "wall-quotes.sh"):
        assert "/etc/wall-quotes.conf" in (FOLDER / file).read_text(encoding="utf-8")
