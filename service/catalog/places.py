"""Jurisdictions that rest on another one: their rules put together before they are used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from graphlib import CycleError, TopologicalSorter

from service.catalog.documents import JurisdictionDocument
from service.catalog.documents.jurisdiction import MOST_GENERAL
from service.core.errors import Fault


def settle(
    place: JurisdictionDocument, places: Mapping[str, JurisdictionDocument], file: str
) -> tuple[JurisdictionDocument, tuple[Fault, ...]]:
    """A place with the rules of the one it is based on, and what is wrong with that: `base-unfit`,
    `table-missing`, `too-many-general`, `replaces-unfit`."""
    if place.based_on is None:
        return place, tuple(_faults(place, file))
    base = places.get(place.based_on)
    if base is None or base.based_on:
        return place, (_base_unfit(file, place.based_on, known=base is not None),)
    whole = place.on(base)
    return whole, tuple(_faults(whole, file))


def _faults(place: JurisdictionDocument, file: str) -> Iterator[Fault]:
    """What is wrong with a place whose rules are together."""
    yield from _silent(place, file)
    general = [rule.code for rule in place.cautions if rule.general]
    if len(general) > MOST_GENERAL:
        yield Fault(
            code="too-many-general",
            at=(file, "cautions"),
            message=f"{len(general)} cautions are general: {', '.join(general)}",
            hint=f"at most {MOST_GENERAL}: what is said on every job is read by nobody",
        )
    yield from _replacing(place, file)


def _replacing(place: JurisdictionDocument, file: str) -> Iterator[Fault]:
    """A caution speaks for others of the place, and never two for each other."""
    speaks_for = {rule.code: rule.replaces for rule in place.cautions}
    unknown = [c for replaced in speaks_for.values() for c in replaced if c not in speaks_for]
    message = f"no caution of this place is {unknown[0]!r}" if unknown else None
    try:
        TopologicalSorter(speaks_for).prepare()
    except CycleError as error:
        message = f"some speak for each other in a circle: {', '.join(error.args[1])}"
    if message:
        at = (file, "cautions")
        yield Fault(code="replaces-unfit", at=at, message=message, hint="codes of other cautions")


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
