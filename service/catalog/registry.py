"""The catalog as loaded: immutable, looked up by kind and id."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Generic, TypeVar

import rfc8785

from service.catalog.documents.company import Company
from service.catalog.documents.website import Website
from service.catalog.documents.what_if import WhatIf
from service.catalog.documents.yardstick import Yardstick
from service.catalog.kinds import KINDS
from service.catalog.nearest import nearest_ids
from service.core.job.basis import Basis
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.load import Load
from service.core.job.material import Material
from service.core.job.price_list import PriceList
from service.core.job.rates import Rates
from service.core.job.section import Section
from service.core.job.site_task import SiteTask
from service.core.job.soil import Soil
from service.core.job.terms import Terms
from service.core.job.wall_system import WallSystem

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry. `document` is what stands in the file, ready for JSON, source included: shared
    by all readers, so never changed. `digest` is the SHA-256 of its RFC 8785 form."""

    kind: str
    id: str
    file: str
    document: Mapping[str, Any]
    digest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreEntry(Entry, Generic[T]):
    """An entry with what the core calculates with."""

    core: T


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalog:
    """Everything that was loaded, by kind and id. `version` is the SHA-256 over the RFC 8785 form
    of all documents by kind and id: other data, other version."""

    version: str
    wall_systems: Mapping[str, CoreEntry[WallSystem]]
    sections: Mapping[str, CoreEntry[Section]]
    soils: Mapping[str, CoreEntry[Soil]]
    materials: Mapping[str, CoreEntry[Material]]
    production_rates: Mapping[str, CoreEntry[Rates]]
    site_work: Mapping[str, CoreEntry[SiteTask]]
    terms: Mapping[str, CoreEntry[Terms]]
    loads: Mapping[str, CoreEntry[Load]]
    jurisdictions: Mapping[str, CoreEntry[Jurisdiction]]
    screening_bases: Mapping[str, CoreEntry[Basis]]
    price_lists: Mapping[str, CoreEntry[PriceList]]
    what_ifs: Mapping[str, CoreEntry[WhatIf]]
    companies: Mapping[str, CoreEntry[Company]]
    websites: Mapping[str, CoreEntry[Website]]
    yardsticks: Mapping[str, CoreEntry[Yardstick]]

    @property
    def counts(self) -> dict[str, int]:
        """Number of entries by kind."""
        return {kind: len(self.entries(kind)) for kind in KINDS}

    def entries(self, kind: str) -> Mapping[str, Entry]:
        """Entries of a kind by id, in the order of ids. Raises KeyError for no kind."""
        if kind not in KINDS:
            raise KeyError(kind)
        entries: Mapping[str, Entry] = getattr(self, kind)
        return entries

    def ids(self, kind: str) -> tuple[str, ...]:
        """Ids of a kind, in order."""
        return tuple(self.entries(kind))

    def nearest(self, kind: str, value: str) -> str | None:
        """The ids that may be meant by `value`, most likely first, if any may."""
        documents = {id_: entry.document for id_, entry in self.entries(kind).items()}
        return " or ".join(nearest_ids(value, documents)) or None


def catalog_of(entries: Iterable[CoreEntry[Any]]) -> Catalog:
    """A catalog of these entries; ids are unique within a kind."""
    by_kind: dict[str, dict[str, CoreEntry[Any]]] = {kind: {} for kind in KINDS}
    for entry in sorted(entries, key=lambda entry: entry.id):
        by_kind[entry.kind][entry.id] = entry
    documents = {
        kind: {entry.id: entry.document for entry in found.values()}
        for kind, found in by_kind.items()
    }
    kinds: dict[str, Any] = {kind: MappingProxyType(found) for kind, found in by_kind.items()}
    return Catalog(version=digest_of(documents), **kinds)


def digest_of(document: Mapping[str, Any]) -> str:
    """SHA-256 of a document's RFC 8785 form, in hexadecimal."""
    return hashlib.sha256(rfc8785.dumps(dict(document))).hexdigest()
