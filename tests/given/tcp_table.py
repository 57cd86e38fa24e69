"""Connections as the system keeps them."""

from __future__ import annotations

from pathlib import Path


def held_callers(port: int) -> set[int]:
    """The ports of callers for whom the system keeps a connection of this port (proc(5): net/tcp;
    06 is a closed one that waits for stragglers)."""
    lines = Path("/proc/net/tcp").read_text(encoding="ascii").splitlines()[1:]
    rows = [line.split()[1:4] for line in lines]
    return {
        int(caller.rpartition(":")[2], 16)
        for own, caller, state in rows
        if own.endswith(f":{port:04X}") and state not in ("06", "0A")
    }
