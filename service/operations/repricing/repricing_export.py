"""Items of a re-pricing as lines of JSON or CSV, a chunk in memory at a time."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from typing import Any, Literal, assert_never

import msgspec

from service.documents.spreadsheet_text import as_text
from service.operations.repricing.repricing_answer import RepricedItem

Only = Literal["changed", "unchanged", "failed", "under_margin"]
ONLY: tuple[Only, ...] = ("changed", "unchanged", "failed", "under_margin")
_FIGURES = (
    "old_total",
    "new_total",
    "change",
    "old_subtotal",
    "new_subtotal",
    "old_margin",
    "new_margin",
    "margin_at_old_price",
    "price_to_hold_margin",
    "total_to_hold_margin",
    "lost",
)
COLUMNS = (
    "id",
    "revision",
    "reference",
    "title",
    "state",
    "outcome",
    *_FIGURES,
    "under_margin",
    "kept_overrides",
    "kept_draft",
    "newer_terms",
    "written_revision",
    "problem",
    "messages",
)
_ROWS = 200
_ENCODER = msgspec.json.Encoder()


def fits(item: RepricedItem, only: Only | None) -> bool:
    """Whether an item is among those asked for: by its outcome, or under the margin floor."""
    match only:
        case None:
            return True
        case "under_margin":
            return item.under_margin is True
        case "changed" | "unchanged" | "failed":
            return item.outcome == only
        case _:
            assert_never(only)


def ndjson(items: Iterable[RepricedItem]) -> Iterator[bytes]:
    """A line of JSON for each item, and at the end one that says how many there were, so that a
    cut stream can be told from a whole one."""
    count = 0
    for item in items:
        count += 1
        yield _ENCODER.encode(item) + b"\n"
    yield b'{"end":true,"items":%d}\n' % count


def csv_rows(items: Iterable[RepricedItem]) -> Iterator[bytes]:
    """The row of names, then a row for each item (RFC 4180)."""
    yield _text([COLUMNS])
    rows: list[tuple[object, ...]] = []
    for item in items:
        rows.append(_row(msgspec.to_builtins(item)))
        if len(rows) == _ROWS:
            yield _text(rows)
            rows = []
    yield _text(rows)


def _row(item: dict[str, Any]) -> tuple[object, ...]:
    problem: dict[str, Any] = item.get("problem", {})
    under = item.get("under_margin")
    return (
        item.get("id", ""),
        item.get("revision", ""),
        as_text(item.get("reference")),
        as_text(item.get("title")),
        item.get("state", ""),
        item["outcome"],
        *(item.get(name) or "" for name in _FIGURES),
        "" if under is None else str(under).lower(),
        " ".join(item.get("kept_overrides", ())),
        item.get("kept_draft", ""),
        item.get("newer_terms", ""),
        item.get("written", {}).get("revision", ""),
        problem.get("code", ""),
        as_text("; ".join(problem.get("messages", ()))),
    )


def _text(rows: Iterable[Iterable[object]]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return text.getvalue().encode("utf-8")
