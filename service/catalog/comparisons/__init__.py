"""What several figures of the catalog say of one thing, held against each other and against
published ones."""

from __future__ import annotations

from service.catalog.comparisons.creep import creep_findings
from service.catalog.comparisons.finding import Finding
from service.catalog.comparisons.lifting import lifting_findings
from service.catalog.comparisons.published_rates import published_rate_findings
from service.catalog.comparisons.same_work import same_work_findings
from service.catalog.comparisons.unit_weights import unit_weight_findings
from service.catalog.registry import Catalog

__all__ = ["Finding", "compare"]


def compare(catalog: Catalog) -> tuple[Finding, ...]:
    """Everything that doesn't go together in a catalog whose files are sound by themselves."""
    return (
        *unit_weight_findings(catalog),
        *creep_findings(catalog),
        *same_work_findings(catalog),
        *lifting_findings(catalog),
        *published_rate_findings(catalog),
    )
