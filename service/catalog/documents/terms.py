"""`terms/<id>.toml`: what turns cost into a price. `TermsBody` is also read from requests."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, Literal, TypeVar, get_args

from pydantic import Discriminator, Field, Tag, ValidationInfo, field_validator

from service.catalog.documents.currency import CurrencyCode
from service.catalog.documents.entry import EntryDocument
from service.catalog.documents.jurisdiction import CautionCode
from service.core.job import terms as core
from service.fields import (
    Id,
    MarkupText,
    MoneyText,
    PartText,
    RatioBelowOneText,
    RatioText,
    ShortText,
    StrictModel,
    TableOf,
    refused,
)

MOST_ALLOWANCES = 100
MOST_TASKS = 10

ValidDays = Annotated[int, Field(ge=1, le=3650)]


class OverheadTable(StrictModel):
    """Overhead as a share of direct cost, as a sum per crew day, or both."""

    share: PartText = Field(Decimal(0), description="Of direct cost.")
    per_crew_day: MoneyText = Field(Decimal(0), description="For each day of a crew.")


def _overhead_shape(value: object) -> str:
    """A table, or else text: a bare number is told to be text."""
    return "object" if isinstance(value, (Mapping, OverheadTable)) else "text"


class ProfitTable(StrictModel):
    """One of the two: `markup` is a share of cost, `margin` a share of the price."""

    markup: MarkupText | None = Field(None, description="Of cost.")
    margin: RatioBelowOneText | None = Field(
        None, validate_default=True, description="Of the price."
    )

    @field_validator("margin")
    @classmethod
    def _one_basis(cls, value: Decimal | None, info: ValidationInfo) -> Decimal | None:
        """Profit has one basis, stated."""
        if "markup" in info.data and (value is None) == (info.data["markup"] is None):
            raise refused(
                "profit-basis",
                "profit needs either markup (on cost) or margin (of price), and not both",
                'such as markup = "0.20"',
            )
        return value

    def to_core(self) -> core.Profit:
        """The core's profit."""
        if self.margin is not None:
            return core.Profit(basis="margin", share=self.margin)
        return core.Profit(basis="markup", share=self.markup or Decimal(0))


class TaxTable(StrictModel):
    """Sales tax: its rate, the kinds of lines it falls on, and whether on price or purchase."""

    rate: PartText
    on: tuple[core.Kind, ...] = Field(
        core.KINDS,
        strict=False,
        max_length=len(core.KINDS),
        description="Kinds of lines that are taxed.",
    )
    base: Literal["price", "purchase"] = Field(
        "price", description="On the price of those lines, or on their cost when it is bought."
    )

    @field_validator("on")
    @classmethod
    def _each_kind_once(cls, value: tuple[core.Kind, ...]) -> tuple[core.Kind, ...]:
        """A kind stands once, in the order of the list of kinds."""
        if len(frozenset(value)) != len(value):
            raise refused("kind-twice", "names a kind twice")
        return tuple(kind for kind in core.KINDS if kind in value)

    def to_core(self) -> core.Tax:
        """The core's tax."""
        return core.Tax(rate=self.rate, on=self.on, base=self.base)


class AllowanceTable(StrictModel):
    """A sum for one caution."""

    cost: MoneyText
    description: ShortText
    kind: core.Kind = "fee"

    def to_core(self, caution: str) -> core.Allowance:
        """The core's allowance."""
        return core.Allowance(
            caution=caution, description=self.description, kind=self.kind, cost=self.cost
        )


class BringsTable(StrictModel):
    """What a stated fact brings in: tasks, a sum for each, or both."""

    tasks: tuple[Id, ...] = Field(
        (),
        strict=False,
        max_length=MOST_TASKS,
        description="Site work: by the run's length or by the piece, as each is measured.",
    )
    cost: MoneyText = Field(Decimal(0), description="A sum for each.")
    description: ShortText = Field("Water led away", description="Of the sum.")
    kind: core.Kind = Field("subcontract", description="Of the sum.")

    def to_core(self, fact: core.Brought) -> core.Brings:
        """The core's row."""
        return core.Brings(
            fact=fact,
            tasks=self.tasks,
            cost=self.cost,
            description=self.description,
            kind=self.kind,
        )


class TermsBody(StrictModel):
    """Commercial terms; ratios left out are 0. Sums are in the quote's currency."""

    currency: CurrencyCode | None = Field(
        None, description="Of the sums; a quote in another currency is refused."
    )
    overhead: Annotated[
        Annotated[PartText, Tag("text")] | Annotated[OverheadTable, Tag("object")],
        Discriminator(_overhead_shape),
    ] = Field(Decimal(0), description="Of direct cost; a table adds a sum for each crew day.")
    contingency: PartText = Field(Decimal(0), description="Of direct cost and overhead.")
    profit: ProfitTable | None = None
    tax: TaxTable | None = None
    discount: MoneyText = Field(Decimal(0), description="Taken off after profit.")
    minimum_charge: MoneyText = Field(Decimal(0), description="Least that the subtotal may be.")
    deposit: RatioText = Field(Decimal(0), description="Of the total.")
    valid_days: ValidDays | None = Field(None, description="Days for which a quote holds.")
    allowances: TableOf[CautionCode, AllowanceTable] = Field(
        default_factory=dict,
        max_length=MOST_ALLOWANCES,
        description="Sums by the code of a caution; each is added once where it is given.",
    )

    brings: TableOf[core.Brought, BringsTable] = Field(
        default_factory=dict,
        max_length=len(get_args(core.Brought)),
        description="What a stated run, downspouts or a spring bring in.",
    )

    def to_core(self) -> core.Terms:
        """The core's terms."""
        table = self.overhead if isinstance(self.overhead, OverheadTable) else None
        return core.Terms(
            overhead_share=table.share if table else Decimal(str(self.overhead)),
            overhead_per_crew_day=table.per_crew_day if table else Decimal(0),
            contingency=self.contingency,
            profit=self.profit.to_core() if self.profit else core.Profit(),
            tax=self.tax.to_core() if self.tax else core.Tax(),
            discount=self.discount,
            minimum_charge=self.minimum_charge,
            deposit=self.deposit,
            valid_days=self.valid_days,
            currency=self.currency,
            allowances=tuple(table.to_core(code) for code, table in self.allowances.items()),
            brings=tuple(table.to_core(fact) for fact, table in self.brings.items()),
        )


Sums = TypeVar("Sums", Decimal | OverheadTable, dict[str, AllowanceTable], dict[str, BringsTable])


class TermsDocument(TermsBody, EntryDocument):
    """Terms of the catalog: where they hold sums of money, they say in which currency."""

    @field_validator("overhead", "discount", "minimum_charge", "allowances", "brings")
    @classmethod
    def _sums_have_a_currency(cls, value: Sums, info: ValidationInfo) -> Sums:
        """A sum without a currency would be taken for whatever the quote is in."""
        if any(_sums_of(info.field_name, value)) and info.data.get("currency", "") is None:
            raise refused(
                "currency-missing",
                "is a sum of money, and the file gives no currency",
                'currency = "USD" at the top of the file',
            )
        return value


def _sums_of(key: str | None, value: object) -> tuple[Decimal, ...]:
    """The sums of money in a field: overhead as text is a share."""
    if isinstance(value, OverheadTable):
        return (value.per_crew_day,)
    if isinstance(value, Mapping):
        return tuple(table.cost for table in value.values())
    return (value,) if isinstance(value, Decimal) and key != "overhead" else ()
