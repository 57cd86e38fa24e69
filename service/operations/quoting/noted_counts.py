"""What finished jobs noted beside hours: days of machines, loads of soil, units."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from service.core.rounding import NO_WASTE, whole_pieces
from service.operations.quoting.finished_job import FinishedJob


@dataclass(frozen=True, slots=True, kw_only=True)
class NotedCount:
    """One thing over the jobs that noted it; `factor` is actual over quoted, None without any."""

    what: str
    quoted: Decimal
    actual: Decimal
    factor: Fraction | None


def noted_counts(jobs: Sequence[FinishedJob]) -> tuple[NotedCount, ...]:
    """Sums over the jobs that noted each, in the order of first appearance."""
    sums: dict[str, tuple[Decimal, Decimal]] = {}
    for what, quoted, actual in (row for job in jobs for row in _rows(job)):
        before = sums.get(what, (Decimal(0), Decimal(0)))
        sums[what] = (before[0] + quoted, before[1] + actual)
    return tuple(
        NotedCount(
            what=what,
            quoted=quoted,
            actual=actual,
            factor=Fraction(actual) / Fraction(quoted) if quoted else None,
        )
        for what, (quoted, actual) in sums.items()
    )


def _rows(job: FinishedJob) -> Iterator[tuple[str, Decimal, Decimal]]:
    actual = job.actual
    days = {time.machine.id: time.days for time in job.labor.equipment}
    for machine, noted in actual.machine_days.items():
        yield f"days of {machine}", Decimal(days.get(machine, 0)), noted
    if actual.loads is not None:
        yield "loads of soil", Decimal(_loads(job)), Decimal(actual.loads)
    if actual.units is not None:
        yield "units set", Decimal(_units(job)), Decimal(actual.units)


def _loads(job: FinishedJob) -> int:
    """Truck loads of soil that leaves and comes."""
    earth = job.quote.earthwork
    if earth is None:
        return 0
    hauls = (earth.haul_off, earth.imported, earth.topsoil_off)
    return sum(haul.loads or 0 for haul in hauls if haul)


def _units(job: FinishedJob) -> int:
    """Standard units, corner units and caps, before waste."""
    units = math.fsum(net for _, net in job.quote.quantities.measured["all_units"])
    return whole_pieces(units, NO_WASTE)
