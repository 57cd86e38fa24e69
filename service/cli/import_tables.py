"""What a supplier's file would change in a price list, as a terminal or a pipe shows it."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table

from service.cli.columns import print_heading, print_text
from service.operations.prices.price_imports import ImportPreview

SHOWN = 20


def print_preview(console: Console, preview: ImportPreview) -> None:
    """Print what an import would do, or every fault that keeps it from doing anything."""
    if preview.faults:
        _print_faults(console, preview)
        return
    print_heading(console, f"Price list {preview.id} from {preview.effective_from}")
    counts = (
        f"{preview.rows} rows: {preview.changed_total} changed, {preview.added_total} added, "
        f"{preview.removed_total} removed, {preview.unchanged} as before, "
        f"{preview.skipped} passed over"
    )
    print_text(console, counts)
    _print_changed(console, preview)
    for name, items in (("Added", preview.added), ("No longer sold", preview.removed)):
        if items:
            print_heading(console, name)
            for item in items[:SHOWN]:
                print_text(console, f"{item.item}: {item.unit_cost} per {item.per}")
            _print_more(console, len(items))
    if preview.remarks:
        print_heading(console, "Remarks")
        for remark in preview.remarks[:SHOWN]:
            print_text(console, f"{remark.cell}: {remark.message}")
        _print_more(console, preview.remarks_total)


def _print_faults(console: Console, preview: ImportPreview) -> None:
    print_heading(console, f"{preview.faults_total} faults: nothing can be imported")
    for fault in preview.faults[:SHOWN]:
        hint = f" ({fault.hint})" if fault.hint else ""
        print_text(console, f"{fault.cell or 'the file'}: {fault.message}{hint}")
    _print_more(console, preview.faults_total)


def _print_changed(console: Console, preview: ImportPreview) -> None:
    if not preview.changed:
        return
    table = Table("item", "old", "new", "per", "change", "%", box=None)
    for changed in preview.changed[:SHOWN]:
        table.add_row(
            changed.item,
            changed.old.unit_cost,
            changed.new.unit_cost,
            changed.new.per,
            changed.change or "",
            changed.percent or "",
        )
    console.print(table)
    _print_more(console, preview.changed_total)


def _print_more(console: Console, total: int) -> None:
    if total > SHOWN:
        print_text(console, f"and {total - SHOWN} more (--json shows up to a thousand)")
