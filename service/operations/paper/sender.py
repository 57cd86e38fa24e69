"""Whose paper it is: the company that is named, or the only one that isn't invented."""

from __future__ import annotations

from service.catalog import Catalog
from service.core.measure import UnitSetName
from service.documents.words import words_of
from service.operations.paper.asking import NotMade, Options
from service.operations.paper.subject import Sender


def sender_of(options: Options, catalog: Catalog, units: UnitSetName) -> Sender | NotMade:
    """The sender, in the language and on the paper that are asked for, else the company's own."""
    named = options.company or _only(catalog)
    entry = catalog.companies.get(named) if named else None
    if entry is None:
        known = ", ".join(catalog.companies) or "none; add one to the catalog's companies/"
        message = f"no company is called {named!r}" if named else "several companies could send it"
        return NotMade(
            code="unknown-company", message=message, hint=f"one of: {known}", option="company"
        )
    company = entry.core
    language = options.language or company.language
    return Sender(
        company=company,
        language=language,
        paper=options.paper or company.paper,
        words=words_of(language, units),
    )


def _only(catalog: Catalog) -> str | None:
    """The only company, those that are invented left out where there are others."""
    kinds = {name: entry.document["source"]["kind"] for name, entry in catalog.companies.items()}
    real = [name for name, kind in kinds.items() if kind != "invented"]
    found = real or list(kinds)
    return found[0] if len(found) == 1 else None
