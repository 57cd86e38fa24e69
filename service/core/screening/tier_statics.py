"""Do two walls, one above and behind the other, load each other: m and rad.

`offset_m` is the level distance between their faces, `upper_m` and `lower_m` their heights. The
slope as a whole is not looked at here, and always has to be. Source: FHWA-NHI-10-024 §6.2.1.
"""

from __future__ import annotations

import math


def independent_offset_share(friction_rad: float) -> float:
    """Offset over the lower wall's height beyond which the upper one does not load it inside.

    tan(90° − φ), φ of the lower wall's soil; math.inf without friction.
    """
    return 1 / math.tan(friction_rad) if friction_rad > 0 else math.inf


def acts_as_one(offset_m: float, upper_m: float, lower_m: float, share: float) -> bool:
    """Whether two walls are so near that they are one wall of both heights.

    Offset of at most `share` of the two heights together.
    """
    return offset_m <= (upper_m + lower_m) * share
