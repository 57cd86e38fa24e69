"""Processes of this machine, as the system lists them."""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from pathlib import Path

SOON = 30.0  # seconds in which a process has begun, on a machine with much to do


def until(ready: Callable[[], bool]) -> None:
    """Wait until something holds."""
    end = time.monotonic() + SOON
    while not ready():
        assert time.monotonic() < end
        time.sleep(0.02)


def is_there(process: int) -> bool:
    """Whether a process lives (one that ended and was not waited for does not)."""
    return process in _parents()


def resident_mib() -> float:
    """Memory of this process."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * resource.getpagesize() / 2**20


def spawned_by(process: int) -> list[int]:
    """The processes that a Python process began to do its work, in the order of their numbers."""
    parents = _parents()
    return sorted(each for each, parent in parents.items() if parent == process and _works(each))


def _parents() -> dict[int, int]:
    """The parent of each process that lives."""
    found: dict[int, int] = {}
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            stat = (folder / "stat").read_text(encoding="utf-8", errors="replace")
        except OSError:  # it ended
            continue
        state, parent, *_ = stat.rpartition(")")[2].split()
        if state != "Z":
            found[int(folder.name)] = int(parent)
    return found


def _works(process: int) -> bool:
    """Not one that keeps account of what the others share."""
    try:
        return b"resource_tracker" not in Path(f"/proc/{process}/cmdline").read_bytes()
    except OSError:
        return False
