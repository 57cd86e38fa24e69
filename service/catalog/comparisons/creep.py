"""Creep factors of reinforcement against what is published of its polymer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from service.catalog.comparisons.finding import Finding
from service.catalog.documents.yardstick import CreepFactors
from service.catalog.registry import Catalog
from service.core.errors import Fault
from service.core.job.reinforcement import Sheet


def creep_findings(catalog: Catalog) -> Iterator[Finding]:
    """Sheets that are said to creep less than any of their polymer, or more."""
    for stick in catalog.yardsticks.values():
        for entry in catalog.materials.values():
            sheet = entry.core.reinforcement
            if sheet is not None and sheet.creep is not None and stick.core.creep:
                yield from _against(entry.file, sheet, Decimal(str(sheet.creep)), stick.core.creep)


def _against(
    file: str, sheet: Sheet, creep: Decimal, published: Sequence[CreepFactors]
) -> Iterator[Finding]:
    """A sheet of no stated polymer creeps at least as much as the best of them."""
    own = [row for row in published if row.polymer == sheet.polymer]
    least = min(own or published, key=lambda row: row.least)
    if creep < least.least:
        yield Finding(_fault(file, creep, least), impossible=True)
    elif own and creep > own[0].most:
        yield Finding(_fault(file, creep, own[0]))


def _fault(file: str, creep: Decimal, row: CreepFactors) -> Fault:
    return Fault(
        code="creep-factor",
        at=(file, "reinforcement", "creep_factor"),
        message=f"is {creep:f}; of {row.polymer} {row.least:f} to {row.most:f} is published "
        f"({row.source})",
        hint="the factor of the maker's creep tests, and polymer as its sheet states it",
    )
