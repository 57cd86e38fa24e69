"""What a document is about: a quote with its request, and who sends it to whom."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from service.catalog import Catalog
from service.catalog.documents import Company
from service.core.built import Built
from service.core.quote import Quote
from service.documents.tree import Language, Letterhead, Logo, Paper
from service.documents.words import Words
from service.operations.field.answer import FieldQuoteAnswer
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.levels import Levels, levels_of
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.saved.customer_request import CustomerAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class Sender:
    """Who sends a document, and how: the company's own choice where nobody says."""

    company: Company
    language: Language
    paper: Paper
    words: Words

    @property
    def letterhead(self) -> Letterhead:
        """The head of the first page."""
        company, logo = self.company, None
        if company.logo_data:
            png = str(company.logo).endswith(".png")
            logo = Logo(
                data=company.logo_data, kind="png" if png else "svg", description=company.name
            )
        lines = (*company.address, *company.contact, *company.registration)
        return Letterhead(name=company.name, lines=lines, logo=logo)


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A quote as it was answered, what it was laid out from, and where it is kept. What is printed
    of it has no sum; `PricedSubject` has them.

    `answer` is what is printed; `quote` has the layout that drawings and setting out are made
    from. `number` is the quote's name on paper, `revision` that of a saved one.
    """

    request: QuoteRequest
    quote: Built
    answer: QuoteAnswer | FieldQuoteAnswer
    catalog: Catalog
    rods_in: str | None = None
    number: str = ""
    revision: int | None = None
    customer: CustomerAnswer | None = None

    def is_material(self, item: str) -> bool:
        """Whether an item is built in or used up, not carried away."""
        kinds = {line.item: line.kind for line in self.quote.quantities.lines}
        return kinds.get(item, "material") == "material"

    @property
    def levels(self) -> Levels:
        """How levels are written."""
        unit = "ft" if self.answer.units == "us" else "m"
        return levels_of(self.answer.levels_are, unit, self.rods_in)

    @property
    def issued_on(self) -> date | None:
        """The day on the quote, where it has one."""
        day = self.answer.issued_on
        return date.fromisoformat(day) if isinstance(day, str) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedSubject(Subject):
    """A quote with its prices, for who may see them."""

    quote: Quote
    answer: QuoteAnswer

    @property
    def currency(self) -> str:
        """The currency of every sum."""
        return self.answer.currency

    @property
    def minor(self) -> Decimal:
        """The smallest sum of the currency."""
        return Decimal(1).scaleb(-self.quote.prices.minor_places)
