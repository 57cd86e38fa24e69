"""`quote FILE --document KIND -o FILE`: a quote on paper, its form by the ending of the file."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TypeVar, get_args

from service.catalog import Catalog
from service.cli.start import WRONG_USAGE, ended
from service.documents.tree import Language, Paper
from service.operations.paper.asking import DocumentAsked, NotMade, Options
from service.operations.paper.kinds import KIND_NAMES, KINDS, Form, KindName
from service.operations.paper.prepared import prepare_paper
from service.operations.paper.price_rows import Detail
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.elsewhere import asked as told_of

W = TypeVar("W", bound=str)
STDOUT = "-"
_KEYS = ("company", "language", "paper", "detail", "wall", "supplier")
Wanted = tuple[KindName, Form, Options]


def read_wanted(kind: str, output: str, options: Iterable[str]) -> Wanted:
    """What is asked for; anything else is wrong usage, said before the request is read."""
    named = _word(kind, KIND_NAMES, "--document")
    forms = KINDS[named].forms
    ending = Path(output).suffix.lstrip(".").lower()
    form = forms[0] if output == STDOUT else _word(ending, forms, f"-o {output}: the ending")
    return named, form, _read_options(options)


def _read_options(options: Iterable[str]) -> Options:
    given: dict[str, str] = {}
    for option in options:
        key, _, word = option.partition("=")
        given[_word(key, _KEYS, "--option")] = word
    language, paper, detail = (given.get(key) for key in ("language", "paper", "detail"))
    return Options(
        company=given.get("company"),
        language=_word(language, get_args(Language), "language") if language else None,
        paper=_word(paper, get_args(Paper), "paper") if paper else None,
        detail=_word(detail, get_args(Detail), "detail") if detail else "groups",
        wall=given.get("wall"),
        supplier=given.get("supplier"),
    )


def make_paper(wanted: Wanted, document: object, catalog: Catalog, stored: StoredPrices) -> bytes:
    """The document's bytes; one that can't be made ends the command.

    Raises QuoteFaultsError for a request that can't be quoted.
    """
    from service.operations.paper.making import make_document  # noqa: PLC0415  loads the forms

    kind, form, options = wanted
    prepared = prepare_paper(kind, document, catalog, stored)
    told = told_of(document, prepared.prices, catalog)
    asked = DocumentAsked(
        kind=kind, form=form, options=options, document=told.document, prices=told.prices
    )
    made = make_document(catalog, asked)
    if isinstance(made, NotMade):
        place = f"{made.option}: " if made.option else ""
        hint = f" ({made.hint})" if made.hint else ""
        raise ended(f"no {kind} is made: {place}{made.message}{hint}", 1)
    return made.body


def write_paper(body: bytes, output: str) -> None:
    """Write the document, to stdout for `-`."""
    if output == STDOUT:
        sys.stdout.buffer.write(body)
        sys.stdout.buffer.flush()
        return
    try:
        Path(output).write_bytes(body)
    except OSError as error:
        raise ended(f"{output} can't be written: {error.strerror}", WRONG_USAGE) from error


def _word(given: str, words: tuple[W, ...], what: str) -> W:
    for word in words:
        if word == given:
            return word
    raise ended(f"{what} {given!r} is not a choice; one of: {', '.join(words)}", WRONG_USAGE)
