"""Arithmetic in words, which is written when somebody asks for it: most of what is tried or
compared is never read."""

from __future__ import annotations

from collections.abc import Callable

Told = Callable[[], tuple[str, ...]]


def nothing_told() -> tuple[str, ...]:
    """Of what has no arithmetic."""
    return ()
