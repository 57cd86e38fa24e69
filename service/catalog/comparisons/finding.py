"""What a comparison found."""

from __future__ import annotations

from dataclasses import dataclass

from service.core.errors import Fault


@dataclass(frozen=True, slots=True)
class Finding:
    """Figures that don't go together; `impossible` where they can't both be right, not only
    unusual. The fault's place begins with the file."""

    fault: Fault
    impossible: bool = False
