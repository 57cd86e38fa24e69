"""Requests with another plausible value where one is assumed (rule 23.1)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from service.catalog import Catalog
from service.catalog.documents import WhatIf
from service.core.measure import UNIT_SETS
from service.operations.quoting.changes_request import PatchStep, add, length_of
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.quoting.what_if.places import (
    Indexes,
    filled,
    filling,
    indexes_of,
    parts_of,
    stands,
    with_added,
)

WHAT_IF = "what_if"


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """A value that may stand in place of an assumed one; `indexes` say in which wall."""

    what_if: WhatIf
    indexes: Indexes

    def patch(self, document: object, request: QuoteRequest) -> tuple[PatchStep, ...]:
        """The patch (RFC 6902) that makes the request say it."""
        steps: list[PatchStep] = []
        for change in self.what_if.changes:
            for place in _empty(document, change.place, self.indexes):
                value = change.written
                if change.above_top_m is not None:
                    value = _above_top(request, place, change.above_top_m)
                steps.append(add(*filling(document, place, value)))
                document = patched(document, steps[-1:])
        return tuple(steps)


Variants = Mapping[str, tuple[Variant, ...]]
"""By the field of the assumption: the first that fits what is assumed counts."""


def variants_of(document: object, catalog: Catalog) -> Variants:
    """What a request may be quoted with in place of what it leaves to be assumed."""
    found: dict[str, list[Variant]] = {}
    for entry in catalog.what_ifs.values():
        for indexes in indexes_of(document, entry.core.assumed):
            variant = Variant(what_if=entry.core, indexes=indexes)
            if _is_open(document, variant):
                found.setdefault(filled(entry.core.assumed, indexes), []).append(variant)
    return {field: tuple(variants) for field, variants in found.items()}


def without_what_if(document: Mapping[str, Any]) -> dict[str, Any]:
    """The request itself, asked nothing more of."""
    return {key: value for key, value in document.items() if key != WHAT_IF}


def patched(document: object, steps: tuple[PatchStep, ...] | list[PatchStep]) -> Any:  # noqa: ANN401
    """The document with values added."""
    for step in steps:
        document = with_added(document, step["path"], step["value"])
    return document


def _is_open(document: object, variant: Variant) -> bool:
    """Whether nothing that the request states would be changed."""
    what_if = variant.what_if
    if what_if.given and not stands(document, filled(what_if.given, variant.indexes)):
        return False
    return all(any(_empty(document, c.place, variant.indexes)) for c in what_if.changes)


def _empty(document: object, place: str, indexes: Indexes) -> Iterator[str]:
    """The places that are meant at which nothing stands."""
    inside = filled(place, indexes)
    for more in indexes_of(document, inside):
        if not stands(document, where := filled(inside, more)):
            yield where


def _above_top(request: QuoteRequest, place: str, rise_m: float) -> str:
    """A back grade over the top of its profile entry, as the request would write it."""
    _, wall, _, entry, _ = parts_of(place)
    rod = request.are_rods()
    top_m = request.walls[int(wall)].profile[int(entry)].to_core(rod=rod).top_m
    return length_of((top_m + rise_m) * (-1.0 if rod else 1.0), UNIT_SETS[request.units])
