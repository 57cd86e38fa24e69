"""Stand-ins for what changes a machine, so that pages of commands can be followed in a folder.

`python stand_ins.py NAME FOLDER PORT words...` does what the command NAME would do, below FOLDER:
users are none, packages are not fetched, and units are processes. All else on a page is run as it
stands there.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

PLACES = ("/opt/wall-quotes", "/var/lib/wall-quotes", "/var/backups", "/etc/", "/usr/local/sbin")
NAMES = ("useradd", "runuser", "install", "python3", "nginx", "systemctl")


def moved(text: str, folder: Path, port: int) -> str:
    """A text whose places stand below a folder, and whose port is another."""
    for place in PLACES:
        text = text.replace(place, f"{folder}{place}")
    return text.replace("127.0.0.1:8000", f"127.0.0.1:{port}").replace(
        "--port 8000", f"--port {port}"
    )


def place_all(folder: Path, port: int) -> Path:
    """A folder with a stand-in for each name, to stand first on the PATH."""
    programs = folder / "programs"
    programs.mkdir()
    for name in NAMES:
        script = f'#!/bin/sh\nexec {sys.executable} {__file__} {name} {folder} {port} "$@"\n'
        (programs / name).write_text(script, encoding="utf-8")
        (programs / name).chmod(0o755)
    for place in ("etc/systemd/system", "etc/nginx/conf.d", "usr/local/sbin", "var/lib"):
        (folder / place).mkdir(parents=True)
    return programs


def useradd(_folder: Path, _port: int, words: list[str]) -> None:
    """Add nobody."""
    assert words[-1] == "wall-quotes"


def runuser(_folder: Path, _port: int, words: list[str]) -> None:
    """Run it as whoever runs this."""
    assert words[:3] == ["-u", "wall-quotes", "--"]
    os.execvp(words[3], words[3:])  # noqa: S606  the command of the page


def install(folder: Path, port: int, words: list[str]) -> None:
    """Copy a file, with its mode; its texts name the places below the folder."""
    rest, mode = [], "755"
    given = iter(words)
    for word in given:
        if word in {"-o", "-g"}:
            next(given)
        elif word == "-m":
            mode = next(given)
        else:
            rest.append(word)
    if rest[0] == "-d":
        for each in rest[1:]:
            Path(each).mkdir(parents=True, mode=int(mode, 8))
        return
    source, target = Path(rest[0]), Path(rest[1])
    content = source.read_bytes()
    if source.suffix != ".sqlite":
        content = moved(content.decode(), folder, port).encode()
    target.write_bytes(content)
    target.chmod(int(mode, 8))


def python3(_folder: Path, _port: int, words: list[str]) -> None:
    """Make an environment whose Python is this one, and which fetches nothing."""
    assert words[:2] == ["-m", "venv"]
    programs = Path(words[2]) / "bin"
    programs.mkdir(parents=True)
    (programs / "python").write_text(f'#!/bin/sh\nexec {sys.executable} "$@"\n', encoding="utf-8")
    looks = 'for word in "$@"; do case $word in *.txt) test -f "$word" || exit 1;; esac; done'
    pip = f"#!/bin/sh\n{looks}\n"
    (programs / "pip").write_text(pip, encoding="utf-8")
    for each in programs.iterdir():
        each.chmod(0o755)


def nginx(folder: Path, _port: int, words: list[str]) -> None:
    """Look whether the site stands where nginx reads it; tests/deploy/test_proxy.py runs it."""
    assert words == ["-t"]
    assert (folder / "etc/nginx/conf.d/wall-quotes.conf").exists()


def systemctl(folder: Path, _port: int, words: list[str]) -> None:
    """Start and stop the unit as a process."""
    if words[-1] != "wall-quotes":
        assert words in (["daemon-reload"], ["reload", "nginx"])
        return
    if words[0] in {"start", "enable"}:
        _start(folder)
    else:
        assert words[0] == "stop"
        _stop(folder)


def _start(folder: Path) -> None:
    unit = (folder / "etc/systemd/system/wall-quotes.service").read_text(encoding="utf-8")
    keys = dict(line.split("=", 1) for line in unit.splitlines() if "=" in line)
    settings = Path(keys["EnvironmentFile"]).read_text(encoding="utf-8").splitlines()
    given = dict(line.split("=", 1) for line in settings if line and not line.startswith("#"))
    with (folder / "journal").open("ab") as journal:
        process = subprocess.Popen(
            keys["ExecStart"].split(), env={**os.environ, **given}, stderr=journal,
            stdout=subprocess.DEVNULL, cwd=keys["WorkingDirectory"], start_new_session=True,
        )  # fmt: skip
    (folder / "pid").write_text(str(process.pid), encoding="utf-8")


def _stop(folder: Path) -> None:
    process = int((folder / "pid").read_text(encoding="utf-8"))
    os.kill(process, signal.SIGTERM)
    end = time.monotonic() + 60
    while Path(f"/proc/{process}/exe").exists() and time.monotonic() < end:
        time.sleep(0.05)
    assert not Path(f"/proc/{process}/exe").exists()


COMMANDS: dict[str, Callable[[Path, int, list[str]], None]] = {
    each.__name__: each for each in (useradd, runuser, install, python3, nginx, systemctl)
}

if __name__ == "__main__":
    assert shutil.which("curl"), "pages call the service by curl"
    COMMANDS[sys.argv[1]](Path(sys.argv[2]), int(sys.argv[3]), sys.argv[4:])
