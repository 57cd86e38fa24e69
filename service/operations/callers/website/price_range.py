"""What the answers to a website's form come to: quoted like any request, then told as a range.

The visitor's part is read first; what is calculated gets a document of its own, so that it can be
done in another process (service/calculators/).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Final, cast

from service.catalog import Catalog
from service.catalog.documents.company import Language
from service.catalog.documents.website import Website
from service.core import quote as core
from service.core.engineering import ENGINEER
from service.core.errors import QuoteFaultsError
from service.core.job.price_list import PriceList
from service.core.would_pass.alternative import ChangeName
from service.core.would_pass.tried import failing_checks
from service.core.would_pass.would_pass import would_pass
from service.documents.words import words_of
from service.operations.callers.website.answers import Answered, read_answers
from service.operations.callers.website.mapped import quote_of
from service.operations.callers.website.range_answer import (
    RangeAnswer,
    Reason,
    VisitAnswer,
    VisitFigures,
    range_figures,
)
from service.operations.callers.website.told import reason_answer, told
from service.operations.paper.subject import PricedSubject
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.elsewhere import Asked
from service.operations.quoting.quote import PreparedQuote, prepare_document
from service.operations.quoting.quote_answer import encode_answer, from_core
from service.operations.quoting.would_pass_answer import offered_by

# Under this key the request stands, as in every request that wraps one.
QUOTE: Final = "quote"
# What a price may rest on without asking; layers are for an engineer to design.
_PLAIN: Final[frozenset[ChangeName]] = frozenset({"soil_below_cap", "better_fill"})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """A wall that passes, with what was changed for that."""

    quote: core.Quote
    changes: tuple[ChangeName, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedRange:
    """Answers that were read, and the request that they stand for; None where that can't be
    built. `cost_ms` is what calculating takes of one core at most."""

    site: Website
    answered: Answered
    language: Language
    catalog: Catalog
    prepared: PreparedQuote | None

    @property
    def cost_ms(self) -> float:
        """A wall that is changed so that it passes is calculated once more."""
        return 2 * self.prepared.cost_ms if self.prepared else 0.0

    @property
    def prices(self) -> PriceList | None:
        """The prices of the request, where it can be built."""
        return self.prepared.prices if self.prepared else None

    def answer(self) -> RangeAnswer | VisitAnswer:
        """The range, or why somebody has to come."""
        looks = tuple(dict.fromkeys(_looks(self.site, self.answered)))
        if looks:
            return self._visit(*looks)
        if self.prepared is None:
            return self._visit("not_priced")
        try:
            found = _passing(self.prepared)
        except QuoteFaultsError:
            return self._visit("not_priced")
        if not isinstance(found, _Found):
            return self._visit(found)
        if found.quote.prices.currency != self.site.currency:
            return self._visit("not_priced")
        return self._range(self.prepared, found)

    def _range(self, prepared: PreparedQuote, found: _Found) -> RangeAnswer:
        """The figures come of the total alone, the words of what was laid out."""
        request, quote = prepared.request, found.quote
        subject = PricedSubject(
            request=request,
            quote=quote,
            answer=from_core(quote, request, self.catalog.version, ()),
            catalog=self.catalog,
        )
        words = words_of(self.language, request.units)
        said = told(subject, self.site, self.answered, found.changes, words)
        return RangeAnswer(
            range=range_figures(quote.price.total, self.site),
            rests_on=said.rests_on,
            not_included=said.not_included,
            cautions=said.cautions,
        )

    def _visit(self, *reasons: Reason) -> VisitAnswer:
        words = words_of(self.language)
        return VisitAnswer(
            visit=VisitFigures(
                reasons=tuple(reason_answer(reason, self.site, words) for reason in reasons)
            )
        )


def range_document(site: Website, answers: Mapping[str, str], language: Language) -> dict[str, Any]:
    """What is calculated: the answers, and the request that they stand for.

    Raises QuoteFaultsError with every fault of the answers.
    """
    answered = read_answers(site, answers)
    return {
        "website": site.id,
        "language": language,
        "answers": dict(answered.given),
        QUOTE: quote_of(site, answered),
    }


def prepare_range(
    document: object, catalog: Catalog, stored: StoredPrices | None = None
) -> PreparedRange:
    """The same, read and ready to be calculated."""
    asked = cast("dict[str, Any]", document)
    return _prepared(catalog.websites[asked["website"]].core, asked, catalog, stored)


def _prepared(
    site: Website, asked: Mapping[str, Any], catalog: Catalog, stored: StoredPrices | None
) -> PreparedRange:
    prepared = None
    if site.company in catalog.companies:
        with suppress(QuoteFaultsError):
            prepared = prepare_document(asked[QUOTE], catalog, stored)
    return PreparedRange(
        site=site,
        answered=read_answers(site, asked["answers"]),
        language=asked["language"],
        catalog=catalog,
        prepared=prepared,
    )


def price_range(
    site: Website,
    answers: Mapping[str, str],
    language: Language,
    catalog: Catalog,
    stored: StoredPrices | None = None,
) -> RangeAnswer | VisitAnswer:
    """What answers come to. Raises QuoteFaultsError with every fault of the answers."""
    return _prepared(site, range_document(site, answers, language), catalog, stored).answer()


def answer_range(catalog: Catalog, told: Asked) -> bytes:
    """The same as JSON, for what is done in another process."""
    return encode_answer(prepare_range(told.document, catalog, told.stored()).answer())


def _looks(site: Website, answered: Answered) -> Iterator[Reason]:
    """What the answers alone say has to be looked at."""
    if answered.height > site.engineer_over:
        yield "over_engineer_threshold"
    for choice in answered.chosen.values():
        if choice.look is not None:
            yield choice.look


def _passing(prepared: PreparedQuote) -> _Found | Reason:
    """The wall as it is asked for, or with the least that makes it pass; else why there is none.

    Raises QuoteFaultsError with what the core finds.
    """
    found = _Found(quote=prepared.quote())
    if _fails(found.quote):
        changed = _changed(prepared, found.quote)
        if changed is None:
            return "does_not_pass"
        found = changed
    if any(code.startswith(ENGINEER) for code in found.quote.cautions.held):
        return "engineer_needed"
    if found.quote.not_priced or found.quote.price.total <= 0:
        return "not_priced"
    return found


def _changed(prepared: PreparedQuote, failing: core.Quote) -> _Found | None:
    """The least change with which it passes, if one does without layers."""
    tried = would_pass(failing, offered_by(prepared.catalog), priced=False)
    for each in tried.sets if tried else ():
        if set(each.changes) <= _PLAIN:
            quote = core.quote(each.job, prepared.prices)
            if not _fails(quote):
                return _Found(quote=quote, changes=each.changes)
    return None


def _fails(quote: core.Quote) -> bool:
    return bool(failing_checks(quote.screening, quote.job))
