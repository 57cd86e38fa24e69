"""A re-pricing as a terminal or a pipe shows it: in words, and the quotes to look at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

import msgspec
from msgspec import UnsetType
from rich.console import Console

from service.cli.columns import Column, print_columns, print_text
from service.core.money import counted
from service.operations.repricing.repricing_answer import RepricedItem, RepricingAnswer

MOST_ROWS = 40


def print_repricing(console: Console, run: RepricingAnswer, items: Iterable[RepricedItem]) -> None:
    """Print the run in words, its largest changes, and the quotes that somebody must look at.

    `items` are the run's quotes.
    """
    counts = run.counts
    print_text(
        console,
        f"{run.mode.title()} {run.id} on {run.price_list} revision {run.revision}: {run.status}.",
    )
    print_text(
        console,
        f"{counts.done} of {counted(counts.total, 'quote')}: {counts.changed} changed, "
        f"{counts.under_margin} under the margin floor ({counts.out_under_margin} of them out), "
        f"{counts.failed} failed.{_sums(run)}",
    )
    _print_beside(console, run)
    largest = run.summary.largest_changes
    if largest:
        columns = (
            Column(head="quote", cells=[change.id for change in largest], words=True),
            Column(
                head="reference", cells=[change.reference or "" for change in largest], words=True
            ),
            Column(head="old total", cells=[change.old_total for change in largest]),
            Column(head="new total", cells=[change.new_total for change in largest]),
            Column(head="change", cells=[_signed(change.change) for change in largest]),
        )
        print_columns(console, "Largest changes", columns)
    _print_marked(console, run, items)
    if run.mode == "preview" and counts.changed:
        console.print()
        print_text(console, f"To write it: python -m service reprice --write {run.id}")
    if run.mode == "write" and counts.changed:
        console.print()
        print_text(
            console,
            f"To issue the drafts: python -m service reprice issue {run.id} --on DATE",
        )


def _sums(run: RepricingAnswer) -> str:
    """What all quotes that were priced cost before and now; nothing where none was."""
    summary = run.summary
    if run.counts.failed == run.counts.done:
        return ""
    return (
        f" {summary.old_total} -> {summary.new_total} {run.currency} ({_signed(summary.change)})."
    )


def _print_beside(console: Console, run: RepricingAnswer) -> None:
    """What the run says beside its figures: nothing found, others not looked at, newer terms."""
    if run.hint:
        print_text(console, run.hint)
    elif run.not_looked_at:
        words = (
            f"{each.quotes} on {each.price_list or 'prices of their own'}"
            for each in run.not_looked_at
        )
        print_text(console, f"Open quotes not looked at: {', '.join(words)}.")
    if run.counts.newer_terms:
        print_text(
            console,
            f"Terms say something else today than when {run.counts.newer_terms} of these quotes "
            "were priced; they keep theirs.",
        )


def _print_marked(console: Console, run: RepricingAnswer, items: Iterable[RepricedItem]) -> None:
    """Quotes under the floor, those that lose most first, and those that failed."""
    under: list[RepricedItem] = []
    failed: list[RepricedItem] = []
    for item in items:
        if item.under_margin is True:
            under.append(item)
        if item.outcome == "failed":
            failed.append(item)
    under.sort(key=lambda item: -Decimal(item.lost or 0))
    if under:
        _print_under(console, under[:MOST_ROWS], run.margin_floor)
    if failed:
        _print_failed(console, failed[:MOST_ROWS])
    for words, rows in (("under the floor", under), ("not re-priced", failed)):
        if len(rows) > MOST_ROWS:
            print_text(console, f"and {len(rows) - MOST_ROWS} more {words}: {run.items} has all.")


def _print_under(
    console: Console, under: Sequence[RepricedItem], floor: str | UnsetType | None
) -> None:
    columns = (
        Column(head="quote", cells=[_name(item) for item in under], words=True),
        Column(head="title", cells=[item.title or "" for item in under], words=True),
        Column(head="state", cells=[item.state or "" for item in under], words=True),
        Column(head="total", cells=[item.old_total or "" for item in under]),
        Column(head="lost", cells=[item.lost or "" for item in under]),
        Column(head="margin", cells=[str(item.old_margin or "") for item in under]),
        Column(head="margin now", cells=[str(item.margin_at_old_price or "") for item in under]),
        Column(
            head="total to hold it",
            cells=[str(item.total_to_hold_margin or "") for item in under],
        ),
    )
    print_columns(console, f"Under the margin floor of {floor}", columns)


def _print_failed(console: Console, failed: Sequence[RepricedItem]) -> None:
    columns = (
        Column(head="quote", cells=[_name(item) for item in failed], words=True),
        Column(head="why", cells=[_why(item) for item in failed], words=True),
    )
    print_columns(console, "Not re-priced", columns)


def _name(item: RepricedItem) -> str:
    """What a quote is called: by its reference, where it has one."""
    return item.reference or item.id or ""


def _why(item: RepricedItem) -> str:
    problem = item.problem
    return "; ".join(problem.messages) if isinstance(problem, msgspec.Struct) else ""


def _signed(change: str) -> str:
    return change if change.startswith("-") else f"+{change}"
