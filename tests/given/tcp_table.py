"""Connections as the system keeps them."""

from __future__ import annotations

from pathlib import Path


def held_callers(port: int) -> set[int]:
    """The ports of callers for whom the system keeps a connection of this port (proc(5): net/tcp).
    Nothing is kept of a closed one of which the caller's system has taken all (05), nor of one
    that waits for stragglers (06)."""
    lines = Path("/proc/net/tcp").read_text(encoding="ascii").splitlines()[1:]
    rows = [line.split()[1:4] for line in lines]
    return {
        int(caller.rpartition(":")[2], 16)
        for own, caller, state in rows
        if own.endswith(f":{port:04X}") and state not in ("05", "06", "0A")
    }
