"""The defaults that a quote rests on, and what each is worth where that was asked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import UnsetType
from rich.console import Console

from service.cli.columns import (
    Column,
    print_columns,
    print_heading,
    print_rows,
    print_text,
    shown,
)
from service.cli.pointers import words_of
from service.operations.quoting.answer import AssumptionAnswer, QuoteAnswer
from service.operations.quoting.what_if.worth import dearest_first
from service.operations.readable import lengths_read

_SUMS = "/terms/allowances/"
_PASSES = {True: "yes", False: "no", None: "not known"}


def print_assumptions(console: Console, answer: QuoteAnswer, *, how: bool, ids: bool) -> None:
    """The defaults the answer rests on: in one paragraph, or with `how` each with its reason. Those
    whose other value was quoted stand before it, the dearest first."""
    if not answer.assumptions:
        return
    _print_worth(console, answer, ids=ids)
    print_heading(console, "Assumed")
    if how:
        rows = [
            (
                shown(words_of(each.field)),
                shown(f"{_assumed(each.value, ids=ids)}: {lengths_read(each.why)}"),
            )
            for each in answer.assumptions
        ]
        print_rows(console, rows)
    else:
        print_text(console, "; ".join((*_assumed_values(answer, ids=ids), *_idle_sums(answer))))


def _assumed_values(answer: QuoteAnswer, *, ids: bool) -> Iterator[str]:
    for each in answer.assumptions:
        if not each.field.startswith(_SUMS):
            yield f"{words_of(each.field)}: {_assumed(each.value, ids=ids)}"


def _idle_sums(answer: QuoteAnswer) -> Iterator[str]:
    """Sums of house terms that this quote calls for nothing of, in one piece."""
    named = [each.field.removeprefix(_SUMS) for each in answer.assumptions if _SUMS in each.field]
    if named:
        yield f"sums of the terms that nothing here calls for: {', '.join(named)}"


def _assumed(value: str, *, ids: bool) -> str:
    """What is taken, an id as people say it."""
    return lengths_read(value) if ids else lengths_read(value).replace("_", " ")


def _print_worth(console: Console, answer: QuoteAnswer, *, ids: bool) -> None:
    """What another value of each would change, then why others can't be quoted."""
    dearest = dearest_first(answer.assumptions)
    priced = [each for each in dearest if isinstance(each.not_quoted, UnsetType)]
    if priced:
        heading = f"What each assumption is worth, {answer.currency}"
        print_columns(console, heading, _columns(priced, ids=ids))
    for each in dearest:
        if not isinstance(each.not_quoted, UnsetType):
            instead = f"{words_of(each.field)}, {each.if_instead}"
            print_text(console, f"{instead}: not quoted: {lengths_read(each.not_quoted)}")


def _columns(priced: Sequence[AssumptionAnswer], *, ids: bool) -> tuple[Column, ...]:
    return (
        Column(head="of", cells=[words_of(each.field) for each in priced], words=True),
        Column(
            head="assumed", cells=[_assumed(each.value, ids=ids) for each in priced], words=True
        ),
        Column(head="if instead", cells=[str(each.if_instead) for each in priced], words=True),
        Column(head="changes the total by", cells=[_signed(each) for each in priced]),
        Column(head="checks pass", cells=[_passes(each) for each in priced], words=True),
    )


def _signed(each: AssumptionAnswer) -> str:
    """More has its sign, as less has."""
    money = str(each.changes_total_by)
    return money if money.startswith("-") or not money.strip("0.") else f"+{money}"


def _passes(each: AssumptionAnswer) -> str:
    return "" if isinstance(each.passes, UnsetType) else _PASSES[each.passes]
