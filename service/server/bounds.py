"""How long a connection is waited for, and how many one address may hold."""

from __future__ import annotations

import ipaddress
from collections import Counter
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Seconds that a caller has: to send a whole head, to send more of a body, to read more of an
    answer. `per_address`: connections at once of one address other than
    loopback, behind which a proxy may stand; 0: any number."""

    head_seconds: float = 5.0
    body_seconds: float = 15.0
    answer_seconds: float = 30.0
    per_address: int = 200


class Crowd:
    """Who is connected."""

    def __init__(self, per_address: int) -> None:
        self._most = per_address
        self._held: Counter[str] = Counter()

    def enter(self, address: str) -> bool:
        """Count a connection; False where its address holds as many as it may."""
        if not self._most or _is_loopback(address):
            return True
        if self._held[address] >= self._most:
            return False
        self._held[address] += 1
        return True

    def leave(self, address: str) -> None:
        """Count a connection off that was let in."""
        if self._held[address] <= 1:
            del self._held[address]
        else:
            self._held[address] -= 1


def _is_loopback(address: str) -> bool:
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:  # no address: a socket file of this machine
        return True
