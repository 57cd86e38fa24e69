"""What each wall has of a quantity."""

from __future__ import annotations

import math
from collections.abc import Iterable

Shares = tuple[tuple[str, float], ...]  # (wall, net amount), in the order of the walls' names


def add_up(shares: Iterable[tuple[str, float]]) -> Shares:
    """Amounts of one wall in one place; their order changes nothing."""
    amounts: dict[str, list[float]] = {}
    for wall, amount in shares:
        amounts.setdefault(wall, []).append(amount)
    return tuple((wall, math.fsum(amounts[wall])) for wall in sorted(amounts))


def share_out(total: float, shares: Shares) -> Shares:
    """A total by what each wall has of something else; nothing where none of them has any."""
    whole = math.fsum(net for _, net in shares)
    return tuple((wall, total * net / whole) for wall, net in shares) if whole and total else ()
