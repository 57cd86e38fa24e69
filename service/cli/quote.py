"""`quote`: the answer of `POST /v1/quotes` to a request in a file, as tables or as JSON."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Annotated, Any, TypeVar

import typer

from service import json_text
from service.api.bodies import MAX_BODY_BYTES
from service.api.problems import encode, faults_code, number_of_faults, problem_document
from service.catalog import Catalog
from service.cli.columns import console_for, printable
from service.cli.compare_tables import print_comparison
from service.cli.pointers import fault_words
from service.cli.start import WRONG_USAGE, ended, read_catalog, read_settings, using_storage
from service.cli.tables import print_quote
from service.core.errors import MOST_FAULTS, QuoteFaultsError
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.comparison import compare_document
from service.operations.quoting.comparison_answer import ComparisonAnswer
from service.operations.quoting.levels import rod_writing
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer
from service.operations.readable import lengths_read
from service.settings import Settings
from service.wiring import existing_store

STDIN = "-"
COMPARED = ("wall_system", "section")
Answer = QuoteAnswer | ComparisonAnswer
T = TypeVar("T")
Asked = Callable[[object, Catalog, StoredPrices], Answer]


_File = Annotated[
    str, typer.Argument(metavar="FILE", help="A quote request as JSON; - reads stdin.")
]
_AsJson = Annotated[
    bool, typer.Option("--json", help="Print the bytes that HTTP would answer with.")
]
_How = Annotated[bool, typer.Option("--how", help="Show the arithmetic of every line.")]
_Ids = Annotated[bool, typer.Option("--ids", help="Show the ids of items too.")]
_WhatIf = Annotated[
    bool,
    typer.Option("--what-if", help="Say what each assumption is worth, and price what would pass."),
]
_Heights = Annotated[
    bool, typer.Option("--heights", help="Show the heights that fit whole courses instead.")
]
_Compare = Annotated[
    list[str] | None,
    typer.Option(
        metavar="KEY=IDS", help="Compare instead: wall_system=a,b or section=a,b; repeatable."
    ),
]
_Document = Annotated[
    str | None,
    typer.Option(metavar="KIND", help="Put it on paper instead: customer_quote, crew_sheet, …"),
]
_Output = Annotated[
    str, typer.Option("--output", "-o", help="Where the paper goes; its ending is the form.")
]
_Option = Annotated[
    list[str] | None,
    typer.Option(
        metavar="KEY=WORD",
        help="How the paper looks: company, language, paper, detail, wall, supplier; repeatable.",
    ),
]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("quote")(quote)


def quote(  # noqa: PLR0913  the options of the command
    file: _File,
    *,
    as_json: _AsJson = False,
    how: _How = False,
    ids: _Ids = False,
    what_if: _WhatIf = False,
    heights: _Heights = False,
    compare: _Compare = None,
    document: _Document = None,
    output: _Output = "-",
    option: _Option = None,
) -> None:
    """Quote the walls of a request. Nothing is stored."""
    settings = read_settings()
    if document is not None:
        from service.cli.paper import make_paper, read_wanted, write_paper  # noqa: PLC0415

        wanted = read_wanted(document, output, option or ())
        body = _made(_read(file), settings, file, partial(make_paper, wanted), as_json=as_json)
        write_paper(body, output)
        return
    data = _read(file)
    asked = _asked(compare or (), what_if=what_if, heights=heights)
    answer = _made(data, settings, file, asked, as_json=as_json)
    if as_json:
        _write(encode_answer(answer))
        return
    rods_in = rod_writing(json_text.loads(data))
    if isinstance(answer, ComparisonAnswer):
        print_comparison(console_for(sys.stdout), answer, rods_in=rods_in)
    else:
        print_quote(console_for(sys.stdout), answer, how=how, ids=ids, rods_in=rods_in)


def _asked(compare: Sequence[str], *, what_if: bool, heights: bool) -> Asked:
    """What is asked of a request: a quote, or a comparison."""
    alternatives = [choice for option in compare for choice in _choices(option)]

    def asked(document: object, catalog: Catalog, stored: StoredPrices) -> Answer:
        if not (heights or alternatives):
            return quote_document(_asking(document) if what_if else document, catalog, stored)
        others = [each for each in alternatives if not _says(document, each)]
        comparison = {"quote": document, "heights_that_fit": heights, "alternatives": others}
        return compare_document(comparison, catalog, stored)

    return asked


def _asking(document: object) -> object:
    """The request with `what_if`; one of another shape is left to be refused as it is."""
    return {**document, "what_if": True} if isinstance(document, dict) else document


def _choices(option: str) -> list[dict[str, str]]:
    """The alternatives of `--compare`: one for each id. Anything else is wrong usage."""
    key, _, ids = option.partition("=")
    named = [id_.strip() for id_ in ids.split(",") if id_.strip()]
    if key not in COMPARED or not named:
        listed = " or ".join(f"{key}=a,b" for key in COMPARED)
        raise ended(f"--compare {option}: write it like {listed}", WRONG_USAGE)
    return [{key: id_} for id_ in named]


def _says(document: object, choice: Mapping[str, str]) -> bool:
    """Whether a request has a choice itself: it stands first in a comparison anyway."""
    return isinstance(document, dict) and choice.items() <= document.items()


def _read(file: str) -> bytes:
    """The bytes of the request, one more than is read at most; a missing file is wrong usage."""
    try:
        if file == STDIN:
            return sys.stdin.buffer.read(MAX_BODY_BYTES + 1)
        with Path(file).open("rb") as stream:
            return stream.read(MAX_BODY_BYTES + 1)
    except OSError as error:
        raise ended(f"{file} can't be read: {error.strerror}", WRONG_USAGE) from error


def _made(
    data: bytes, settings: Settings, file: str, asked: Callable[..., T], *, as_json: bool
) -> T:
    """What is made of the request; one at fault ends the command with what HTTP would say."""
    catalog = read_catalog(settings)
    stored = StoredPrices(lambda: existing_store(settings))
    try:
        if len(data) > MAX_BODY_BYTES:
            raise _refused(problem_document("body-too-large"), file, as_json=as_json)
        with using_storage():
            return asked(json_text.loads(data), catalog, stored)
    except json_text.JsonTextInvalidError as error:
        problem = problem_document(error.code, detail=error.message)
        raise _refused(problem, file, as_json=as_json) from error
    except QuoteFaultsError as error:
        problem = problem_document(faults_code(error.faults), error.faults)
        raise _refused(problem, file, as_json=as_json) from error


def _refused(problem: dict[str, Any], file: str, *, as_json: bool) -> typer.Exit:
    """Say every fault on stderr; with --json the problem stands on stdout too."""
    lines = [
        f"{'The request on stdin' if file == STDIN else file} can't be quoted: {_why(problem)}"
    ]
    for entry in problem["errors"]:
        lines.append(fault_words(entry["pointer"], entry["message"]))
        if entry["hint"]:
            lines.append(f"    hint: {lengths_read(entry['hint'])}")
    if more := problem["errors_total"] - len(problem["errors"]):
        lines.append(f"and {more} more" if problem["errors_total"] < MOST_FAULTS else "and more")
    for line in lines:
        typer.echo(printable(line), err=True)
    if as_json:
        _write(encode(problem))
    return typer.Exit(1)


def _why(problem: dict[str, Any]) -> str:
    """How many faults there are, or the one that has no place in the request."""
    total = problem["errors_total"]
    if total:
        return f"{number_of_faults(total)} fault{'' if total == 1 else 's'}"
    detail: str = problem["detail"]
    return detail


def _write(data: bytes) -> None:
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()
