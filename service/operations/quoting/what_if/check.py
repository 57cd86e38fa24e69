"""What-ifs of a catalog, read as a request would be read: `catalog check` says what can't be."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.catalog import Catalog
from service.catalog.comparisons import Finding
from service.catalog.documents import WhatIf
from service.core.errors import Fault, Path, QuoteFaultsError
from service.operations.quoting.quote_request import read_request
from service.operations.quoting.what_if.places import ANY, parts_of

_UNKNOWN = "unknown-key"


def what_if_findings(catalog: Catalog) -> Iterator[Finding]:
    """Places that no request has, and values that none can have there."""
    for entry in catalog.what_ifs.values():
        for at, fault in _faults(entry.core, catalog):
            yield Finding(
                Fault(
                    code=fault.code,
                    at=(entry.file, *at),
                    message=f"{'/'.join(map(str, fault.at))}: {fault.message}",
                    hint=fault.hint,
                ),
                impossible=True,
            )


def _faults(what_if: WhatIf, catalog: Catalog) -> Iterator[tuple[Path, Fault]]:
    named = {"assumed": what_if.assumed, "given": what_if.given}
    for key, place in named.items():
        for fault in _of(place, "", catalog) if place else ():
            if fault.code == _UNKNOWN:
                yield (key,), fault
    for index, change in enumerate(what_if.changes):
        value = "1 ft" if change.above_top_m is not None else change.written
        for fault in _of(change.place, value, catalog):
            yield ("changes", index), fault


def _of(place: str, value: object, catalog: Catalog) -> Iterator[Fault]:
    """Faults of a value at a place; what else a request needs is missing here."""
    document: Any = value
    for part in reversed(parts_of(place)):
        document = [document] if part == ANY else {part: document}
    path: Path = tuple(0 if part == ANY else part for part in parts_of(place))
    try:
        read_request(document, catalog)
    except QuoteFaultsError as error:
        for fault in error.faults:
            below = fault.at[: len(path)] == path
            if below or (fault.code == _UNKNOWN and path[: len(fault.at)] == fault.at):
                yield fault
