"""What work on earth is measured by, wall by wall and area by area."""

from __future__ import annotations

import math
from collections.abc import Mapping

from service.core.ground.balance import Earthwork, Haul
from service.core.job.rates import Measured
from service.core.shares import Shares
from service.core.takeoff.earth_lines import AREA_PREFIX


def measure_earth(earth: Earthwork | None) -> Mapping[Measured, Shares]:
    """Volumes, loads and areas of the earthwork; nothing without any.

    Cut is bank, backfill and fill compacted, what is hauled loose, topsoil in place.
    """
    if earth is None:
        return {}
    walls, areas = earth.walls, [(f"{AREA_PREFIX}{area.name}", area) for area in earth.graded]
    cut = _shares([(w.wall, w.cut_m3) for w in walls] + [(n, a.cut_m3) for n, a in areas])
    placed = _shares(
        [(w.wall, w.backfill_m3 + w.fill_m3) for w in walls] + [(n, a.fill_m3) for n, a in areas]
    )
    return {
        "cut_volume": cut,
        "backfill_volume": _shares([(w.wall, w.backfill_m3) for w in walls]),
        "fill_volume": _shares(
            [(w.wall, w.fill_m3) for w in walls] + [(n, a.fill_m3) for n, a in areas]
        ),
        "haul_off_volume": _spread(earth.haul_off.loose_m3, cut),
        "import_volume": _spread(earth.imported.loose_m3, placed),
        "haul_off_loads": _spread(_loads(earth.haul_off), cut),
        "import_loads": _spread(_loads(earth.imported), placed),
        "topsoil_strip_volume": _shares(
            [(w.wall, w.stripped_m3) for w in walls] + [(n, a.stripped_m3) for n, a in areas]
        ),
        "topsoil_spread_volume": _shares(
            [(w.wall, w.replaced_m3) for w in walls] + [(n, a.replaced_m3) for n, a in areas]
        ),
        "disturbed_area": _shares([(w.wall, w.disturbed_m2) for w in walls]),
        "finished_ground_area": _shares([(w.wall, w.bare_m2) for w in walls]),
    }


def _shares(parts: list[tuple[str, float]]) -> Shares:
    return tuple(sorted((name, amount) for name, amount in parts if amount > 0))


def _loads(haul: Haul) -> float:
    """Loads, 0 where no truck says what a load is."""
    return float(haul.loads or 0)


def _spread(total: float, by: Shares) -> Shares:
    """A total shared out by what each part digs or places."""
    whole = math.fsum(amount for _, amount in by)
    return tuple((name, total * amount / whole) for name, amount in by) if whole and total else ()
