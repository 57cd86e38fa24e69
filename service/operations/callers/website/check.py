"""Websites of a catalog, held against the rest of it: `catalog check` says what can't be priced."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from service.catalog import Catalog
from service.catalog.comparisons import Finding
from service.catalog.documents.website import Website
from service.core.errors import Fault, QuoteFaultsError
from service.operations.callers.website.answers import read_answers
from service.operations.callers.website.form import form
from service.operations.callers.website.mapped import quote_of
from service.operations.quoting.quote import prepare_document


def website_findings(catalog: Catalog) -> Iterator[Finding]:
    """Choices whose request can't be read, and a company that isn't there."""
    for entry in catalog.websites.values():
        site: Website = entry.core
        if site.company not in catalog.companies:
            message = f"there is no company {site.company!r} in the catalog"
            hint = catalog.nearest("companies", site.company)
            yield _finding("unknown-company", (entry.file, "company"), message, hint)
        told: set[tuple[str, str]] = set()
        for place, fault in _faults(site, catalog):
            if (fault.code, fault.message) not in told:
                told.add((fault.code, fault.message))
                message = f"{'/'.join(map(str, fault.at))}: {fault.message}"
                yield _finding(fault.code, (entry.file, place), message, fault.hint)


def _faults(site: Website, catalog: Catalog) -> Iterator[tuple[str, Fault]]:
    """Faults of the request of each choice that is priced, beside the plainest other ones."""
    fields = form(site, site.languages[0])["schema"]["properties"]
    plain = {name: fields[name]["examples"][0] for name in ("length", "height")}
    priced = {
        question: [choice.id for choice in choices if choice.look is None]
        for question, choices in site.questions.items()
    }
    plain |= {question: ids[0] for question, ids in priced.items() if ids}
    for question, ids in priced.items():
        for each in ids:
            for fault in _of(site, catalog, {**plain, question: each}):
                yield f"choices: {question}: {each}", fault


def _of(site: Website, catalog: Catalog, answers: Mapping[str, str]) -> Iterator[Fault]:
    try:
        prepare_document(quote_of(site, read_answers(site, answers)), catalog)
    except QuoteFaultsError as error:
        yield from error.faults


def _finding(code: str, at: tuple[str, ...], message: str, hint: str | None) -> Finding:
    return Finding(Fault(code=code, at=at, message=message, hint=hint), impossible=True)
