"""The unit: read by systemd itself, and hardened."""

import configparser
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from service.settings import Settings
from tests.given.service_process import ROOT

FILE = ROOT / "service" / "deploy" / "wall-quotes.service"
ANALYZE = shutil.which("systemd-analyze")
# 0 is locked up whole, 10 is open; systemd's own word below 2 is OK.
MOST_EXPOSED = 20


def unit() -> dict[str, str]:
    """The part `[Service]`; of keys given twice the last."""
    parser = configparser.ConfigParser(strict=False, interpolation=None)
    parser.optionxform = str  # type: ignore[assignment,method-assign]  # keys keep their case
    parser.read(FILE, encoding="utf-8")
    return dict(parser["Service"])


def analyzed(folder: Path, text: str, *words: str) -> subprocess.CompletedProcess[str]:
    """What systemd says of a unit whose program stands on this machine."""
    if ANALYZE is None:
        pytest.skip("systemd-analyze is not on this machine")
    path = folder / FILE.name
    path.write_text(text.replace("/opt/wall-quotes/bin/python", sys.executable), encoding="utf-8")
    command = [ANALYZE, *words, str(path)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_unit_is_read_by_systemd(tmp_path: Path) -> None:
    """There is no complaint; a key that systemd doesn't know is one."""
    done = analyzed(tmp_path, FILE.read_text(encoding="utf-8"), "verify")
    assert (done.returncode, done.stdout + done.stderr) == (0, "")
    worse = FILE.read_text(encoding="utf-8").replace("PrivateTmp=", "PrivateTemp=")
    assert "PrivateTemp" in analyzed(tmp_path, worse, "verify").stderr


def test_unit_is_hardened(tmp_path: Path) -> None:
    """The exposure that systemd computes stays below 2 of 10; without walls it doesn't."""
    words = ("security", "--offline=true", f"--threshold={MOST_EXPOSED}", "--no-pager")
    text = FILE.read_text(encoding="utf-8")
    assert analyzed(tmp_path, text, *words).returncode == 0
    assert analyzed(tmp_path, text.replace("ProtectSystem=", "#"), *words).returncode == 0
    bare = text.replace("CapabilityBoundingSet=\n", "").replace("SystemCallFilter", "#")
    assert analyzed(tmp_path, bare, *words).returncode == 1


def test_unit_gives_the_service_time_to_stop() -> None:
    """The system waits longer than running requests have; and it runs nothing as root."""
    service = unit()
    assert int(service["TimeoutStopSec"]) >= Settings().graceful_seconds + 10
    assert service["User"] == service["Group"] == "wall-quotes"


def test_unit_lets_calculations_lower_their_priority() -> None:
    """The calls that the service makes on its own limits and priority are not shut out."""
    text = FILE.read_text(encoding="utf-8")
    filters = [line for line in text.splitlines() if line.startswith("SystemCallFilter=")]
    assert filters == ["SystemCallFilter=@system-service", "SystemCallFilter=~@privileged"]
