"""`companies/<id>.toml`: who sends a document, and the words that are the company's own.

Nothing here takes part in a quote's arithmetic: it is read where a document is put on paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.currency import CurrencyCode
from service.catalog.documents.entry import EntryDocument
from service.fields import (
    LongText,
    MoneyText,
    PlainText,
    RatioText,
    ShortText,
    StrictModel,
    refused,
)

MOST_LINES = 12
MOST_STAGES = 12
MOST_SENTENCES = 40
Language = Literal["en", "es"]
Paper = Literal["letter", "a4"]

FileName = Annotated[
    str,
    PlainText(
        "file-name-invalid",
        "a file name of lower-case letters and digits that ends in .svg or .png",
        r"^[a-z0-9][a-z0-9_-]{0,59}\.(?:svg|png)$",
        64,
        "logo.svg",
    ),
]
NumberFormat = Annotated[
    str,
    PlainText(
        "number-format-invalid",
        "a number format of letters, digits and dashes around {number} and, if wanted, {year}",
        r"^(?:[A-Za-z0-9./_-]|\{year\}|\{number(?::0[1-9])?\})+$",
        60,
        "Q-{year}-{number:04}",
    ),
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A part of the price, and when it is due. `share` of the total; the deposit is no stage."""

    due: str
    share: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreedRate:
    """What is charged for one `per` where something is found that nobody could see."""

    where: str
    price: Decimal
    per: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Company:
    """A company as its papers show it. `stages` divide what the deposit leaves."""

    name: str
    language: Language
    paper: Paper
    quote_number: str
    address: tuple[str, ...] = ()
    contact: tuple[str, ...] = ()
    registration: tuple[str, ...] = ()
    stages: tuple[Stage, ...] = ()
    terms: tuple[str, ...] = ()
    warranty: str = ""
    excluded: tuple[str, ...] = ()
    currency: str | None = None
    if_we_find: tuple[AgreedRate, ...] = ()
    logo: str | None = None
    logo_data: bytes = b""


class StageTable(StrictModel):
    """A payment: when it is due, and its share of what the deposit leaves."""

    due: ShortText
    share: RatioText


class AgreedRateTable(StrictModel):
    """A rate that is agreed beforehand and is no part of the total."""

    where: ShortText = Field(description="What is found.")
    price: MoneyText
    per: ShortText = Field(description="Such as `hour`, `yd3`, `load`.")


class CompanyDocument(EntryDocument):
    """A company's details and its own words. They are printed as they stand."""

    name: ShortText
    language: Language = Field("en", description="Of papers that don't ask for another.")
    paper: Paper = "letter"
    quote_number: NumberFormat = "Q-{year}-{number:04}"
    address: Annotated[tuple[ShortText, ...], Field(strict=False, max_length=MOST_LINES)] = ()
    contact: Annotated[tuple[ShortText, ...], Field(strict=False, max_length=MOST_LINES)] = ()
    registration: Annotated[
        tuple[ShortText, ...],
        Field(
            strict=False,
            max_length=MOST_LINES,
            description="Numbers of registration, license and insurance, as they are printed.",
        ),
    ] = ()
    logo: FileName | None = Field(None, description="A picture beside this file.")
    stages: Annotated[
        tuple[StageTable, ...],
        Field(
            strict=False,
            max_length=MOST_STAGES,
            description="Payments after the deposit; their shares add up to 1.",
        ),
    ] = ()
    terms: Annotated[tuple[LongText, ...], Field(strict=False, max_length=MOST_SENTENCES)] = ()
    warranty: LongText | None = None
    excluded: Annotated[
        tuple[ShortText, ...],
        Field(strict=False, max_length=MOST_SENTENCES, description="What is never included."),
    ] = ()
    currency: CurrencyCode | None = Field(None, description="Of the agreed rates.")
    if_we_find: Annotated[
        tuple[AgreedRateTable, ...],
        Field(
            strict=False,
            max_length=MOST_SENTENCES,
            validate_default=True,
            description="Agreed rates for what nobody can see before digging.",
        ),
    ] = ()

    @field_validator("quote_number")
    @classmethod
    def _has_number(cls, value: str) -> str:
        """Two quotes of a year have two numbers."""
        if "{number" not in value:
            message = "without {number} every quote would have the same number"
            raise refused("number-format-invalid", message, "Q-{year}-{number:04}")
        return value

    @field_validator("stages")
    @classmethod
    def _stages_add_up(cls, value: tuple[StageTable, ...]) -> tuple[StageTable, ...]:
        """What the deposit leaves is paid, no more and no less."""
        total = sum((stage.share for stage in value), Decimal(0))
        if value and total != 1:
            raise refused("stages-incomplete", f"the shares add up to {total}, not to 1")
        return value

    @field_validator("if_we_find")
    @classmethod
    def _rates_have_a_currency(
        cls, value: tuple[AgreedRateTable, ...], info: ValidationInfo
    ) -> tuple[AgreedRateTable, ...]:
        """A sum without a currency would be taken for whatever a quote is in."""
        if value and info.data.get("currency", "") is None:
            message = "are sums of money, and the file gives no currency"
            raise refused("currency-missing", message, 'currency = "USD"')
        return value

    def to_core(self) -> Company:
        """The company; its logo is read by whoever knows the folder."""
        return Company(
            name=self.name,
            language=self.language,
            paper=self.paper,
            quote_number=self.quote_number,
            address=self.address,
            contact=self.contact,
            registration=self.registration,
            stages=tuple(Stage(due=stage.due, share=stage.share) for stage in self.stages),
            terms=self.terms,
            warranty=self.warranty or "",
            excluded=self.excluded,
            currency=self.currency,
            if_we_find=tuple(
                AgreedRate(where=rate.where, price=rate.price, per=rate.per)
                for rate in self.if_we_find
            ),
            logo=self.logo,
        )
