"""Folders of TOML files into a catalog, all or nothing, with every fault of every file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from service.catalog.discovery import discover
from service.catalog.documents import CompanyDocument, HeadedDocument, JurisdictionDocument
from service.catalog.errors import CatalogInvalidError
from service.catalog.files import (
    CatalogFile,
    FileUnreadableError,
    files_of,
    json_form,
    read_file,
    with_text_dates,
)
from service.catalog.logos import read_logo
from service.catalog.places import settle
from service.catalog.registry import Catalog, CoreEntry, catalog_of, digest_of
from service.core.errors import Fault
from service.faults import faults_from


def load_catalog(extra: Sequence[Path] = ()) -> Catalog:
    """The catalog of all installed packages and of the folders in `extra`.

    Raises CatalogInvalidError with every fault: none of the catalog is used then.
    """
    found = discover(extra)
    return _load(found.folders, found.faults)


def read_catalog(folders: Sequence[Path]) -> Catalog:
    """The catalog of these folders alone. Raises CatalogInvalidError with every fault."""
    return _load(folders, ())


def _load(folders: Sequence[Path], faults: Sequence[Fault]) -> Catalog:
    entries, more = _read(folders)
    if faults or more:
        raise CatalogInvalidError([*faults, *more])
    return catalog_of(entries)


@dataclass(frozen=True, slots=True)
class _Draft:
    """A file that was read: sound by itself, its entry still to be made."""

    file: CatalogFile
    tables: dict[str, Any]
    document: HeadedDocument


def _read(folders: Sequence[Path]) -> tuple[list[CoreEntry[Any]], tuple[Fault, ...]]:
    drafts: list[_Draft] = []
    faults: list[Fault] = []
    taken: dict[tuple[str, str], str] = {}
    for item in (item for folder in folders for item in files_of(folder)):
        if isinstance(item, Fault):
            faults.append(item)
            continue
        first = taken.setdefault((item.kind.folder, item.path.stem), item.name)
        if first != item.name:
            faults.append(_taken(item, first))
        draft = _read_draft(item)
        if isinstance(draft, _Draft):
            drafts.append(draft)
        else:
            faults += draft
    entries, unfit = _entries_of(drafts)
    return entries, (*faults, *unfit)


def _read_draft(file: CatalogFile) -> _Draft | tuple[Fault, ...]:
    """One file read, or everything that is wrong with it."""
    try:
        tables, unfit = read_file(file)
    except FileUnreadableError as error:
        return (error.fault,)
    faults = [*unfit, *_other_name(file, tables)]
    if any(fault.code == "nested-too-deep" for fault in faults):
        return tuple(faults)
    try:
        document = file.kind.document.model_validate(with_text_dates(tables))
    except ValidationError as error:
        found = (_in_file(fault, file) for fault in faults_from(error, file.kind.document))
        return (*faults, *(fault for fault in found if not _said(fault, faults)))
    return tuple(faults) if faults else _Draft(file, tables, document)


def _entries_of(drafts: Sequence[_Draft]) -> tuple[list[CoreEntry[Any]], tuple[Fault, ...]]:
    """Entries of what was read, places with the rules of those that they are based on."""
    places = {
        draft.document.id: draft.document
        for draft in drafts
        if isinstance(draft.document, JurisdictionDocument)
    }
    entries: list[CoreEntry[Any]] = []
    faults: list[Fault] = []
    for draft in drafts:
        document = draft.document
        unfit: tuple[Fault, ...] = ()
        if isinstance(document, JurisdictionDocument):
            document, unfit = settle(document, places, draft.file.name)
        faults += unfit
        try:
            entries += [] if unfit else [_entry(draft, document)]
        except FileUnreadableError as error:
            faults.append(error.fault)
    return entries, tuple(faults)


def _entry(draft: _Draft, document: HeadedDocument) -> CoreEntry[Any]:
    content = json_form(draft.tables)
    return CoreEntry(
        kind=draft.file.kind.folder,
        id=document.id,
        file=draft.file.name,
        document=content,
        digest=digest_of(content),
        core=_core_of(draft.file, document),
    )


def _core_of(file: CatalogFile, document: HeadedDocument) -> object:
    """What the core calculates with; a company with its logo, which stands beside its file.

    Raises FileUnreadableError for a logo that can't be taken.
    """
    if not isinstance(document, CompanyDocument):
        return document.to_core()
    company = document.to_core()
    data = read_logo(file, company.logo) if company.logo else b""
    return replace(company, logo_data=data)


def _said(fault: Fault, faults: Sequence[Fault]) -> bool:
    """Whether a fault is about a value that was found unfit already."""
    return any(known.at[: len(fault.at)] == fault.at for known in faults)


def _in_file(fault: Fault, file: CatalogFile) -> Fault:
    return Fault(code=fault.code, at=(file.name, *fault.at), message=fault.message, hint=fault.hint)


def _other_name(file: CatalogFile, tables: dict[str, Any]) -> tuple[Fault, ...]:
    """The file's stem is the id, so that a file is found by what it holds."""
    stated = tables.get("id")
    if not isinstance(stated, str) or stated == file.path.stem:
        return ()
    message = f'"{stated[:64]}" stands in the file {file.path.name}'
    hint = f'id = "{file.path.stem}", or rename the file'
    return (Fault(code="id-not-file-name", at=(file.name, "id"), message=message, hint=hint),)


def _taken(file: CatalogFile, first: str) -> Fault:
    message = f'"{file.path.stem}" is also defined in {first}'
    hint = f"ids of {file.kind.folder} are unique over all folders: rename one"
    return Fault(code="id-twice", at=(file.name, "id"), message=message, hint=hint)
