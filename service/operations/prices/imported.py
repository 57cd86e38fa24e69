"""An import worked out before it is shown or written: here, or in a process that calculates."""

from __future__ import annotations

from dataclasses import dataclass

from service.catalog import Catalog
from service.core.errors import MOST_FAULTS, Fault
from service.operations.prices.import_acceptance import Unaccepted
from service.operations.prices.import_answer import ImportPreview, encode_preview, import_preview
from service.operations.prices.import_merge import Merged, PriceFile, merge_file, read_file
from service.operations.prices.kept_revision import to_kept
from service.operations.prices.price_list_request import RevisionDraft

# Milliseconds of one core: of any import, of a line of text, of what stands in it, of an item that
# the list has; a workbook is read by a process of its own, which has to begin.
_IMPORT, _LINE, _KIB, _ITEM, _WORKBOOK = 8.0, 0.03, 0.01, 0.006, 500.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportAsked:
    """A file for a price list, and the latest revision as it was looked up; `number` is 0 where
    there is none."""

    list_id: str
    file: PriceFile
    base: RevisionDraft | None
    number: int
    etag: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """The revision that a file comes to, and the digest of what it says; with faults none."""

    draft: RevisionDraft | None
    digest: str | None
    faults: tuple[Fault, ...]
    unaccepted: tuple[Unaccepted, ...]


def import_cost(asked: ImportAsked) -> float:
    """What an import takes, in milliseconds of one core, from its size alone."""
    data = asked.file.data
    items = 0 if asked.base is None else len(asked.base.items)
    cost = _IMPORT + _KIB * len(data) / 1024 + _ITEM * items
    if asked.file.kind == "xlsx":
        return cost + _WORKBOOK
    return cost + _LINE * (data.count(b"\n") + data.count(b"\r"))


def preview_of(catalog: Catalog, asked: ImportAsked) -> ImportPreview:
    """What importing a file would change, and what stands against it.

    Raises WorksheetUnreadableError.
    """
    found = _merged(catalog, asked)
    digest = _digest(asked.list_id, found)
    return import_preview(asked.list_id, asked.file, found, preview=digest, etag=asked.etag)


def answer_preview(catalog: Catalog, asked: ImportAsked) -> bytes:
    """The same as it is answered. Raises QuoteFaultsError."""
    return encode_preview(preview_of(catalog, asked))


def work_out(catalog: Catalog, asked: ImportAsked) -> Imported:
    """The revision that a file comes to. Raises WorksheetUnreadableError."""
    found = _merged(catalog, asked)
    return Imported(
        draft=found.draft,
        digest=_digest(asked.list_id, found),
        faults=tuple(found.reading.faults[:MOST_FAULTS]),
        unaccepted=tuple(found.unaccepted),
    )


def _merged(catalog: Catalog, asked: ImportAsked) -> Merged:
    return merge_file(read_file(asked.file), asked.file, catalog, asked.base)


def _digest(list_id: str, found: Merged) -> str | None:
    return None if found.draft is None else to_kept(list_id, 1, found.draft).source_digest
