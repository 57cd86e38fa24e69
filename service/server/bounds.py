"""How long a connection is waited for, and how many one address may hold."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from service.api.admission.peers import address_of, counted


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Seconds that a caller has: to send a whole head, to send more of a body, to read more of an
    answer, to begin with its next request. `connections` are held at once: one more, and the caller
    that has been waited for longest goes. `per_address`: those of one address other than loopback,
    behind which a proxy may stand; of IPv6 one address is a site's 64 bits. 0: any number."""

    head_seconds: float = 5.0
    body_seconds: float = 15.0
    answer_seconds: float = 30.0
    idle_seconds: float = 15.0
    connections: int = 1000
    per_address: int = 200


class Crowd:
    """Who is connected."""

    def __init__(self, per_address: int) -> None:
        self._most = per_address
        self._held: Counter[str] = Counter()

    def enter(self, address: str) -> bool:
        """Count a connection; False where its address holds as many as it may."""
        name = _name(address)
        if not self._most or name is None:
            return True
        if self._held[name] >= self._most:
            return False
        self._held[name] += 1
        return True

    def leave(self, address: str) -> None:
        """Count a connection off that was let in."""
        name = _name(address)
        if name is None:
            return
        if self._held[name] <= 1:
            del self._held[name]
        else:
            self._held[name] -= 1


def _name(address: str) -> str | None:
    """By what a caller is counted; None where it stands on this machine."""
    found = address_of(address)
    if found is None or found.is_loopback:  # no address: a socket file
        return None
    return counted(found)
