"""What a supplier's file would change in a price list, as a terminal or a pipe shows it."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from service.cli.columns import print_columns, print_heading, print_text
from service.cli.price_list_tables import changed_columns
from service.core.money import counted
from service.operations.prices.import_answer import ImportPreview
from service.operations.prices.price_list_answer import ListedPrice

SHOWN = 20


def option_of(name: str) -> str:
    """The option that gives an acceptance: `--accept-changes`."""
    return f"--{name.replace('_', '-')}"


def print_preview(console: Console, preview: ImportPreview) -> None:
    """Print what an import would do, or every fault that keeps it from doing anything."""
    if preview.faults:
        _print_faults(console, preview)
        return
    print_heading(console, f"Price list {preview.id} from {preview.effective_from}")
    counts = (
        f"{counted(preview.rows, 'row')}: {preview.changed_total} changed, "
        f"{preview.added_total} added, {preview.removed_total} removed, "
        f"{preview.unchanged} as before, {preview.skipped} passed over"
    )
    print_text(console, counts)
    _print_changed(console, preview)
    _print_items(console, "Added", preview.added, preview.added_total)
    _print_items(console, "No longer sold", preview.removed, preview.removed_total)
    if not preview.removed_total:
        _print_items(console, "Not in the file", preview.not_in_file, preview.not_in_file_total)
    remarks = [f"{remark.cell}: {remark.message}" for remark in preview.remarks[:SHOWN]]
    _print_lines(console, "Remarks", remarks, preview.remarks_total)
    _print_to_accept(console, preview)


def _print_faults(console: Console, preview: ImportPreview) -> None:
    faults = counted(preview.faults_total, "fault")
    lines = []
    for fault in preview.faults[:SHOWN]:
        hint = f" ({fault.hint})" if fault.hint else ""
        lines.append(f"{fault.cell or 'the file'}: {fault.message}{hint}")
    _print_lines(console, f"{faults}: nothing can be imported", lines, preview.faults_total)


def _print_to_accept(console: Console, preview: ImportPreview) -> None:
    """Print what a write needs a word for, and which; or that the word was given."""
    lines = []
    for each in preview.to_accept[:SHOWN]:
        cell = f"{each.cell}: " if each.cell else ""
        lines.append(f"{cell}{each.message} ({option_of(each.by)})")
    heading = "To be accepted before it is written" if preview.needs else "Accepted"
    _print_lines(console, heading, lines, preview.to_accept_total)


def _print_changed(console: Console, preview: ImportPreview) -> None:
    if not preview.changed:
        return
    columns = changed_columns(preview.changed, SHOWN)
    print_columns(console, f"{preview.changed_total:,} changed", columns)
    _print_more(console, preview.changed_total)


def _print_items(console: Console, name: str, items: Sequence[ListedPrice], total: int) -> None:
    lines = [f"{item.item}: {item.unit_cost} per {item.per}" for item in items[:SHOWN]]
    _print_lines(console, name, lines, total)


def _print_lines(console: Console, name: str, lines: Sequence[str], total: int) -> None:
    """Print lines under a heading, and how many more there are."""
    if not lines:
        return
    print_heading(console, name)
    for line in lines:
        print_text(console, line)
    _print_more(console, total)


def _print_more(console: Console, total: int) -> None:
    if total > SHOWN:
        print_text(console, f"and {total - SHOWN} more (--json shows up to a thousand)")
