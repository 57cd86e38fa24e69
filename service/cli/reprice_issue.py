"""`reprice issue`: the drafts that a re-pricing wrote, issued together on one day."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Annotated, Any

import typer
from rich.console import Console

from service.cli.columns import Column, console_for, print_columns, print_text
from service.cli.repricing_faults import told
from service.cli.start import WRONG_USAGE, database, ended, read_catalog, read_settings
from service.core.money import counted
from service.operations.quoting.quote_answer import encode_answer
from service.operations.repricing.repricing_issue import (
    IssuedDraft,
    IssuedDrafts,
    IssueRequest,
    issue_drafts,
)
from service.operations.ruled import read_document


def issue(
    run_id: Annotated[str, typer.Argument(metavar="RUN", help="The re-pricing that wrote them.")],
    *,
    day: Annotated[
        str, typer.Option("--on", metavar="DATE", help="The day on which they go out: 2026-05-04.")
    ],
    ids: Annotated[
        list[str] | None,
        typer.Option("--id", metavar="ID", help="Only this quote; may be given several times."),
    ] = None,
    note: Annotated[str | None, typer.Option(help="Kept with each of them.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print what HTTP answers.")] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Issue without asking.")] = False,
) -> None:
    """Issue the drafts that a re-pricing wrote, all of them or those named.

    One that can't go out keeps no other from it; the exit code is 1 then.
    """
    given: dict[str, Any] = {"on": day, "ids": ids or None, "note": note}
    asked = {name: value for name, value in given.items() if value is not None}
    settings = read_settings()
    catalog = read_catalog(settings)
    with database(settings) as store, told():
        request = read_document(IssueRequest, asked, catalog)
        if not yes:
            _confirm(f"Issue {_which(request)} of {run_id} on {day}?")
        with store.write() as connection:
            answer = issue_drafts(connection, run_id, request, store.now(), catalog)
    if as_json:
        sys.stdout.buffer.write(encode_answer(answer))
        sys.stdout.buffer.flush()
    else:
        _print(console_for(sys.stdout), answer)
    if answer.failed:
        raise ended(f"{answer.failed} of {_drafts(answer)} could not be issued.")


def _confirm(question: str) -> None:
    """Ask on a terminal; in a pipe nobody answers, so --yes is needed (exit code 2)."""
    if not sys.stdin.isatty():
        raise ended("Issuing needs --yes where nobody can be asked.", WRONG_USAGE)
    if not typer.confirm(question, err=True):
        raise typer.Exit(1)


def _which(request: IssueRequest) -> str:
    return "all drafts" if request.ids is None else counted(len(request.ids), "draft")


def _drafts(answer: IssuedDrafts) -> str:
    return counted(len(answer.items), "draft")


def _print(console: Console, answer: IssuedDrafts) -> None:
    """What became of each draft, those that did not go out first."""
    print_text(
        console,
        f"{answer.issued} of {_drafts(answer)} of {answer.repricing} issued on {answer.on}.",
    )
    items = sorted(answer.items, key=lambda item: item.outcome == "issued")
    if items:
        print_columns(console, "Drafts", _columns(items))


def _columns(items: Sequence[IssuedDraft]) -> tuple[Column, ...]:
    return (
        Column(head="quote", cells=[item.reference or item.id for item in items], words=True),
        Column(head="revision", cells=[str(item.revision or "") for item in items]),
        Column(head="valid until", cells=[item.valid_until or "" for item in items], words=True),
        Column(head="outcome", cells=[_outcome(item) for item in items], words=True),
    )


def _outcome(item: IssuedDraft) -> str:
    problem = item.problem
    return "; ".join(problem.messages) if problem else item.outcome
