"""How the engineer's work is settled before a quote goes out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Settled = Literal["in_price", "by_owner", "not_needed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Engineering:
    """Who settles it: a line of the price, the owner, or nobody, for a reason."""

    settled: Settled
    because: str | None = None
