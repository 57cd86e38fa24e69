"""Price lists, a revision and the difference of two, as a terminal or a pipe shows them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from rich.console import Console

from service.cli.columns import Column, print_columns, print_heading, print_text
from service.core.measure import unit_sign
from service.operations.prices.price_list_answer import (
    ChangedPriceAnswer,
    DifferenceAnswer,
    ItemPriceAnswer,
    ListedPrice,
    PriceListSummary,
)
from service.operations.prices.publication_preview import PublicationPreview


def print_lists(console: Console, lists: Sequence[PriceListSummary]) -> None:
    """Every list with its newest revision."""
    latest = [each.latest for each in lists]
    columns = (
        Column(head="list", cells=[each.id for each in lists], words=True),
        Column(head="revision", cells=[str(each.revision) for each in latest]),
        Column(head="holds from", cells=[each.effective_from for each in latest]),
        Column(head="currency", cells=[each.currency for each in latest]),
        Column(head="items", cells=[f"{each.items:,}" for each in latest]),
        Column(head="kept in", cells=[each.kept_in for each in lists], words=True),
        Column(head="note", cells=[each.note or "" for each in latest], words=True, roomy=True),
    )
    print_columns(console, "Price lists", columns)


def print_revision(
    console: Console, document: Mapping[str, Any], items: Mapping[str, ItemPriceAnswer]
) -> None:
    """One revision, as a document of HTTP or of a file, with its prices by supplier."""
    order = sorted(items, key=lambda item: (items[item].supplier or "", item))
    words = [
        f"Price list {document['id']}, revision {document['revision']}",
        f"from {document['effective_from']}, {document['currency']}",
    ]
    print_heading(console, ", ".join(words))
    for key in ("title", "note"):
        if document.get(key):
            print_text(console, str(document[key]))
    columns = (
        Column(head="item", cells=order, words=True),
        Column(head="cost", cells=[items[item].unit_cost for item in order]),
        Column(head="per", cells=[unit_sign(items[item].per) for item in order], words=True),
        Column(head="supplier", cells=[items[item].supplier or "" for item in order], words=True),
        Column(
            head="what it is",
            cells=[items[item].description or "" for item in order],
            words=True,
            roomy=True,
        ),
    )
    print_columns(console, f"{len(order):,} items", columns)


def print_difference(console: Console, found: DifferenceAnswer) -> None:
    """What leads from one revision to another: the largest rises first."""
    print_heading(console, f"Price list {found.id}, from revision {found.old} to {found.new}")
    _print_changes(console, found)


def print_publication(console: Console, shown: PublicationPreview) -> None:
    """What publishing would change."""
    print_heading(console, f"Price list {shown.id}, from {shown.effective_from}")
    _print_changes(console, shown)
    print_text(console, f"{shown.unchanged:,} as before")


def _print_changes(console: Console, found: DifferenceAnswer | PublicationPreview) -> None:
    if not (found.added or found.removed or found.changed):
        print_text(console, "No price differs.")
    if found.changed:
        print_columns(console, f"{len(found.changed):,} changed", changed_columns(found.changed))
    for words, listed in (("added", found.added), ("no longer sold", found.removed)):
        if listed:
            _print_listed(console, f"{len(listed):,} {words}", listed)


def changed_columns(changes: Sequence[ChangedPriceAnswer], most: int | None = None) -> list[Column]:
    """Costs before and after, the largest rise first; the first `most` of them."""
    changed = sorted(changes, key=lambda each: -float(each.percent or "inf"))[:most]
    return [
        Column(head="item", cells=[each.item for each in changed], words=True),
        Column(head="old", cells=[each.old.unit_cost for each in changed]),
        Column(head="new", cells=[each.new.unit_cost for each in changed]),
        Column(head="per", cells=[unit_sign(each.new.per) for each in changed], words=True),
        Column(head="change", cells=[_in_cents(each.change or "") for each in changed]),
        Column(head="%", cells=[each.percent or "" for each in changed]),
    ]


def _in_cents(amount: str) -> str:
    """An amount with two places at least, as costs stand beside it."""
    return f"{Decimal(amount):.2f}" if amount and len(amount.partition(".")[2]) < 2 else amount  # noqa: PLR2004  cents


def _print_listed(console: Console, heading: str, listed: Sequence[ListedPrice]) -> None:
    columns = (
        Column(head="item", cells=[each.item for each in listed], words=True),
        Column(head="cost", cells=[each.unit_cost for each in listed]),
        Column(head="per", cells=[unit_sign(each.per) for each in listed], words=True),
    )
    print_columns(console, heading, columns)
