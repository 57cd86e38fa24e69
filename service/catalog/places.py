"""Jurisdictions that rest on another one: their rules put together before they are used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from service.catalog.documents import JurisdictionDocument
from service.core.errors import Fault


def settle(
    place: JurisdictionDocument, places: Mapping[str, JurisdictionDocument], file: str
) -> tuple[JurisdictionDocument, tuple[Fault, ...]]:
    """A place with the rules of the one it is based on, and what is wrong with that: `base-unfit`,
    `table-missing`."""
    if place.based_on is None:
        return place, tuple(_silent(place, file))
    base = places.get(place.based_on)
    if base is None or base.based_on:
        return place, (_base_unfit(file, place.based_on, known=base is not None),)
    whole = place.on(base)
    return whole, tuple(_silent(whole, file))


def _silent(place: JurisdictionDocument, file: str) -> Iterator[Fault]:
    for table in place.silent_on:
        yield Fault(
            code="table-missing",
            at=(file, table),
            message="is needed: no earthwork can be quoted without it",
            hint=f'a table [{table}], or based_on = "plain"',
        )


def _base_unfit(file: str, wanted: str, *, known: bool) -> Fault:
    why = "is itself based on another one" if known else "is not in the catalog"
    return Fault(
        code="base-unfit",
        at=(file, "based_on"),
        message=f'the jurisdiction "{wanted}" {why}',
        hint="a jurisdiction that stands on its own, such as plain",
    )
