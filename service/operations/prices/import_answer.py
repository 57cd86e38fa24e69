"""What the preview of an import answers. Fields stand as they print."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta, Struct

from service.core.errors import Fault
from service.faults import pointer
from service.operations.answer_figures import Day, Digest, EntryId
from service.operations.prices.import_acceptance import ACCEPTANCES, Unaccepted
from service.operations.prices.import_merge import Merged, PriceFile
from service.operations.prices.import_rows import Remark
from service.operations.prices.price_list_answer import (
    LONGEST,
    ChangedPriceAnswer,
    Etag,
    ListedPrice,
    Name,
    Said,
    from_difference,
    to_listed,
)

# Of faults, remarks and changed items so many stand in a preview; the totals count them all.
MOST_SHOWN = 1000


class ImportRemark(Struct, frozen=True, kw_only=True):
    """Something that whoever imports should know: a cost that was rounded or converted, a row
    that was passed over."""

    cell: Name
    code: Name
    message: Said


class ImportFault(Struct, frozen=True, kw_only=True):
    """Something that keeps the file from being imported."""

    cell: Name
    code: Name
    message: Said
    hint: Said | None


class ImportAcceptance(Struct, frozen=True, kw_only=True):
    """Something that is written only where the write says `accept_changes` or `accept_removals`,
    as `by` tells. `cell` is null for an item that the file leaves out."""

    by: Annotated[str, Meta(pattern="^(accept_changes|accept_removals)$")]
    item: EntryId
    cell: Name | None
    message: Said


class ImportPreview(Struct, frozen=True, kw_only=True):
    """What importing a file would do. `importable` is false where faults stand against it;
    `needs` names what a write still has to say: `accept_changes`, `accept_removals`. `preview`
    names what is shown for the write; it is null with faults. `etag` is that of the latest
    revision, null where there is none. `not_in_file` are items of the file's suppliers that the
    file leaves out. Lists hold the first thousand, the totals count all."""

    importable: bool
    needs: Annotated[
        tuple[Annotated[str, Meta(pattern="^(accept_changes|accept_removals)$")], ...],
        Meta(max_length=2),
    ]
    faults_total: int
    to_accept_total: int
    id: EntryId
    effective_from: Day
    preview: Digest | None
    etag: Etag | None
    rows: int
    skipped: int
    faults: Annotated[tuple[ImportFault, ...], Meta(max_length=MOST_SHOWN)]
    to_accept: Annotated[tuple[ImportAcceptance, ...], Meta(max_length=MOST_SHOWN)]
    remarks: Annotated[tuple[ImportRemark, ...], Meta(max_length=MOST_SHOWN)]
    remarks_total: int
    added: Annotated[tuple[ListedPrice, ...], Meta(max_length=MOST_SHOWN)]
    added_total: int
    removed: Annotated[tuple[ListedPrice, ...], Meta(max_length=MOST_SHOWN)]
    removed_total: int
    changed: Annotated[tuple[ChangedPriceAnswer, ...], Meta(max_length=MOST_SHOWN)]
    changed_total: int
    not_in_file: Annotated[tuple[ListedPrice, ...], Meta(max_length=MOST_SHOWN)]
    not_in_file_total: int
    unchanged: int


def import_preview(
    list_id: str, file: PriceFile, found: Merged, *, preview: str | None, etag: str | None
) -> ImportPreview:
    """The answer of a preview; `preview` names what is shown."""
    reading, unaccepted = found.reading, found.unaccepted
    listed = from_difference(list_id, (1, 1), found.shown)
    asked = {each.by for each in unaccepted} - file.accepted
    touched = len(found.shown.added) + len(found.shown.changed)
    return ImportPreview(
        importable=not reading.faults,
        needs=tuple(name for name in ACCEPTANCES if name in asked),
        faults_total=len(reading.faults),
        to_accept_total=len(unaccepted),
        id=list_id,
        effective_from=file.effective_from.isoformat(),
        preview=preview,
        etag=etag,
        rows=reading.rows,
        skipped=len(reading.skipped),
        faults=tuple(_fault(fault) for fault in reading.faults[:MOST_SHOWN]),
        to_accept=tuple(_acceptance(each) for each in unaccepted[:MOST_SHOWN]),
        remarks=tuple(_remark(remark) for remark in reading.remarks[:MOST_SHOWN]),
        remarks_total=len(reading.remarks),
        added=listed.added[:MOST_SHOWN],
        added_total=len(listed.added),
        removed=listed.removed[:MOST_SHOWN],
        removed_total=len(listed.removed),
        changed=listed.changed[:MOST_SHOWN],
        changed_total=len(listed.changed),
        not_in_file=tuple(to_listed(item, price) for item, price in found.absent[:MOST_SHOWN]),
        not_in_file_total=len(found.absent),
        unchanged=0 if reading.faults else len(reading.items) - touched,
    )


def encode_preview(preview: ImportPreview) -> bytes:
    """A preview as it is answered."""
    return msgspec.json.encode(preview)


def _fault(fault: Fault) -> ImportFault:
    cell = str(fault.at[0]) if fault.at else pointer(fault.at)
    hint = None if fault.hint is None else _cut(fault.hint)
    return ImportFault(cell=cell, code=fault.code, message=_cut(fault.message), hint=hint)


def _remark(remark: Remark) -> ImportRemark:
    return ImportRemark(cell=remark.cell, code=remark.code, message=_cut(remark.message))


def _acceptance(each: Unaccepted) -> ImportAcceptance:
    return ImportAcceptance(by=each.by, item=each.item, cell=each.cell, message=_cut(each.message))


def _cut(text: str) -> str:
    """A text of at most as many characters as are shown."""
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
