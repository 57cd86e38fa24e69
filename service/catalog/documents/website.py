"""`websites/<id>.toml`: a form for visitors of a website, and what their answers stand for.

A visitor knows about how long and how high a wall is to be and what the place looks like. Each of
his answers is a part of a quote request; some say that somebody has to come and look.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any, Literal, get_args

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.company import Language
from service.catalog.documents.currency import CurrencyCode, minor_places
from service.catalog.documents.entry import EntryDocument
from service.catalog.documents.request_part import RequestPart
from service.catalog.documents.website_choice import (
    Choice,
    ChoiceTable,
    Question,
    check_languages,
)
from service.fields import (
    Id,
    LongText,
    PositiveDecimalText,
    PositiveLength,
    RatioBelowOneText,
    RatioText,
    ShareText,
    ShortText,
    Slope,
    StrictModel,
    refused,
)

MOST_CHOICES = 100
_FEWEST = 2
FormVersion = Annotated[int, Field(ge=1, le=1_000_000)]
QUESTIONS: tuple[Question, ...] = get_args(Question)
LengthUnit = Literal["ft", "in", "m", "cm"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimated:
    """A length as a visitor estimates it, in its unit: read to the nearest step, halves up."""

    unit: LengthUnit
    nearest: Decimal
    least: Decimal
    most: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundToday:
    """The bank of today: its rise over run, the share of its height under the wall's line, and
    how far the ground is stated beyond it."""

    bank: float
    share: Decimal
    reach_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Consent:
    """What a visitor agrees to when he leaves his address."""

    version: str
    text: Mapping[Language, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Website:
    """A form and what its answers stand for. `below` and `above` are shares of the price."""

    id: str
    languages: tuple[Language, ...]
    form_version: int
    company: str
    currency: str
    round_to: Decimal
    below: Decimal
    above: Decimal
    length: Estimated
    height: Estimated
    engineer_over: Decimal
    ground: GroundToday
    questions: Mapping[str, tuple[Choice, ...]]
    wall: Mapping[str, Any]
    quote: Mapping[str, Any]
    consent: Consent | None


class EstimatedTable(StrictModel):
    """A length that a visitor estimates: its unit, to what it is read, and its bounds."""

    unit: LengthUnit
    nearest: PositiveDecimalText = Field(description="What is answered is read to this step.")
    least: PositiveDecimalText
    most: PositiveDecimalText = Field(validate_default=True)

    @field_validator("most")
    @classmethod
    def _is_over_the_least(cls, value: Decimal, info: ValidationInfo) -> Decimal:
        """There is something between the bounds."""
        least = info.data.get("least")
        if least is not None and value <= least:
            raise refused("bounds-crossed", f"{value} is not more than the least, {least}")
        return value

    def to_core(self) -> Estimated:
        """The estimate."""
        return Estimated(unit=self.unit, nearest=self.nearest, least=self.least, most=self.most)


class GroundTable(StrictModel):
    """Ground as it is today: a bank through which the wall is set, from its foot to its top."""

    bank_slope: Slope
    share: RatioText = Field(description="Of the bank's height under the line of the wall.")
    reach: PositiveLength = Field(description="How far beyond the bank the ground is stated.")

    @field_validator("bank_slope")
    @classmethod
    def _rises(cls, value: float) -> float:
        """A bank rises."""
        if value <= 0:
            raise refused("bank-level", "a bank rises toward the soil", 'such as "2:1"')
        return value

    def to_core(self) -> GroundToday:
        """The bank."""
        return GroundToday(bank=self.bank_slope, share=self.share, reach_m=self.reach)


class SpreadTable(StrictModel):
    """How far the range reaches below and above the rounded price."""

    below: RatioBelowOneText = Decimal("0.15")
    above: ShareText = Decimal("0.40")


class LeadsTable(StrictModel):
    """What a visitor agrees to who leaves how he is reached."""

    consent_version: ShortText = Field(description="Another one for each change of the text.")
    consent: dict[Language, LongText] = Field(max_length=2)

    def to_core(self) -> Consent:
        """The consent."""
        return Consent(version=self.consent_version, text=self.consent)


class WebsiteDocument(EntryDocument):
    """A form for visitors: what it asks, what each answer stands for, and how a price is shown."""

    languages: Annotated[tuple[Language, ...], Field(strict=False, min_length=1, max_length=2)] = (
        Field(description="The first one is taken where a visitor's is not among them.")
    )
    form_version: FormVersion = Field(description="One more for each change of the form.")
    company: Id = Field(description="Whose website it is: an id of `companies/`.")
    currency: CurrencyCode = Field(description="Of the step; a price in another one is not shown.")
    round_to: PositiveDecimalText = Field(description="The total is rounded to this step, half up.")
    spread: SpreadTable = Field(default_factory=SpreadTable, validate_default=True)
    length: EstimatedTable
    height: EstimatedTable
    engineer_over: PositiveDecimalText = Field(
        description="A wall that shows more, in the unit of `height`, is looked at first."
    )
    ground: GroundTable
    choices: Annotated[tuple[ChoiceTable, ...], Field(strict=False, max_length=MOST_CHOICES)] = (
        Field(description="The answers to each question, in their order.")
    )
    wall: RequestPart = Field(default_factory=dict, description="Of each wall, such as its ends.")
    quote: RequestPart = Field(description="A quote request without `walls`.")
    leads: LeadsTable | None = Field(None, description="Left out, no address is taken.")

    @field_validator("spread")
    @classmethod
    def _ends_are_sums(cls, value: SpreadTable, info: ValidationInfo) -> SpreadTable:
        """A step taken by the spread is a sum of the currency: ends are never rounded again."""
        step, currency = info.data.get("round_to"), info.data.get("currency")
        for share in (value.below, value.above):
            if step is not None and currency is not None and not _is_sum(step * share, currency):
                message = f"{share} of the step {step} is no sum in {currency}"
                raise refused("spread-uneven", message, "a step of 100, or a rounder share")
        return value

    @field_validator("choices")
    @classmethod
    def _questions_have_choices(
        cls, value: tuple[ChoiceTable, ...], info: ValidationInfo
    ) -> tuple[ChoiceTable, ...]:
        """Each question has two answers or more, each with its own id and in each language."""
        for question in QUESTIONS:
            ids = [choice.id for choice in value if choice.question == question]
            if len(ids) < _FEWEST or len(set(ids)) < len(ids):
                message = f"{question} needs two answers or more, each with an id of its own"
                raise refused("choices-unclear", message)
        for choice in value:
            check_languages(
                f"{choice.question}: {choice.id}", choice.title, info.data.get("languages", ())
            )
        return value

    @field_validator("leads")
    @classmethod
    def _consent_is_said(cls, value: LeadsTable | None, info: ValidationInfo) -> LeadsTable | None:
        """The consent is there in each language."""
        if value is not None:
            check_languages("the consent", value.consent, info.data.get("languages", ()))
        return value

    @field_validator("quote")
    @classmethod
    def _has_no_walls(cls, value: Mapping[str, Any]) -> Mapping[str, Any]:
        """Walls come of the answers."""
        if "walls" in value:
            raise refused("walls-of-answers", "holds walls, which come of the answers", "no walls")
        return value

    def to_core(self) -> Website:
        """The website."""
        leads = self.leads
        return Website(
            id=self.id,
            languages=tuple(dict.fromkeys(self.languages)),
            form_version=self.form_version,
            company=self.company,
            currency=self.currency,
            round_to=self.round_to,
            below=self.spread.below,
            above=self.spread.above,
            length=self.length.to_core(),
            height=self.height.to_core(),
            engineer_over=self.engineer_over,
            ground=self.ground.to_core(),
            questions={
                question: tuple(
                    each.to_core() for each in self.choices if each.question == question
                )
                for question in QUESTIONS
            },
            wall=self.wall,
            quote=self.quote,
            consent=leads.to_core() if leads else None,
        )


def _is_sum(amount: Decimal, currency: str) -> bool:
    """Whether an amount has no more places than a currency."""
    return amount.scaleb(minor_places(currency)) % 1 == 0
