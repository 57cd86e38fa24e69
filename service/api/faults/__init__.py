"""Every code the service answers with, and its page: one file for each room that finds faults.

A file is called after the room whose code raises what it explains: `layout.py` for
`service/core/layout/`, `prices.py` for `service/operations/prices/`, `fields.py` for
`service/fields/` and `service/faults/`. When all faults of a request share a code, it is the
problem's code too. A code, once published, keeps its meaning.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from service.api.faults import (
    api,
    callers,
    callers_website,
    catalog,
    documents,
    documents_rates,
    documents_websites,
    field,
    fields,
    ground,
    json_text,
    labor,
    layout,
    paper,
    price,
    prices,
    quoting,
    repricing,
    saved,
    screening,
    takeoff,
)
from service.api.faults.kind import ProblemKind

__all__ = ["KINDS", "ROOMS", "ProblemKind", "by_code"]

ROOMS = (
    api,
    json_text,
    fields,
    catalog,
    documents,
    documents_rates,
    documents_websites,
    quoting,
    field,
    layout,
    ground,
    screening,
    takeoff,
    labor,
    price,
    prices,
    saved,
    repricing,
    paper,
    callers,
    callers_website,
)


def by_code(kinds: Iterable[ProblemKind]) -> Mapping[str, ProblemKind]:
    """The kinds by their codes. Raises ValueError for a code that stands twice."""
    found: dict[str, ProblemKind] = {}
    for kind in kinds:
        if found.setdefault(kind.code, kind) is not kind:
            raise ValueError(f"two texts explain {kind.code}")
    return MappingProxyType(found)


KINDS = by_code(kind for room in ROOMS for kind in room.KINDS)
