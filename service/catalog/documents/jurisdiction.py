"""`jurisdictions/<id>.toml`: what a place asks for, as cautions with figure and source."""

from __future__ import annotations

import re
from types import MappingProxyType
from typing import Annotated, Self, cast

from pydantic import Field, ValidationInfo, field_validator, model_validator

from service.catalog.documents.contract_table import ContractTable
from service.catalog.documents.entry import EntryDocument, Source
from service.catalog.documents.place_tables import (
    CutSlopes,
    DustTable,
    GradingTable,
    GuardTable,
    LiftingTable,
    PermitTable,
    PresumptiveTable,
    SeasonsTable,
    SoilClassTable,
    SpoilTable,
    TiersTable,
)
from service.core.cautions.stated import unmarked
from service.core.job.jurisdiction import (
    TRIGGER_DIMENSION,
    UNDER_TRIGGERS,
    CautionRule,
    EarthRules,
    Jurisdiction,
    Severity,
    Trigger,
)
from service.fields import Id, LongText, PlainText, StrictModel, refused
from service.units import (
    EXAMPLES,
    LONGEST_TEXT,
    SLOPE_EXAMPLES,
    MeasureDimension,
    MeasurementInvalidError,
    found,
    parse_measure,
    parse_slope,
)

# Tables without which no earthwork can be quoted, and those that a place may give beside them.
NEEDED = ("excavation", "soil_class", "grading")
_TABLES = (
    *NEEDED,
    "permit",
    "tiers",
    "guard",
    "spoil",
    "dust",
    "lifting",
    "presumptive",
    "contract",
)
_NEEDED = "Needed, unless `based_on` names a place that has it."
MOST_CAUTIONS = 200
MOST_GENERAL = 6
MOST_REPLACED = 20
RATIO_EXAMPLE = "3"
FIGURE_HINT = 'write it like "over {4 ft}"; no other braces stand in a text'
_RATIO = re.compile("[0-9]{1,6}(?:[.][0-9]{1,6})?", re.ASCII)

CautionCode = Annotated[
    str,
    PlainText(
        "code-invalid",
        "a code of lower-case letters, digits and dashes, at most 64",
        "^[a-z0-9](?:[a-z0-9-]{0,62}[a-z0-9])?$",
        64,
        "permit-height",
    ),
]
LimitText = Annotated[
    str,
    PlainText("limit-invalid", "a limit as text with its unit", "^[^\\s].*$", 40, "4 ft"),
]


class CautionTable(StrictModel):
    """One caution and when it is given."""

    code: CautionCode
    trigger: Trigger
    severity: Severity
    text: LongText = Field(
        description="In your own words. A figure with a unit stands in braces, `{4 ft}`: a request "
        "in the other units then reads `1.22 m (4 ft)`."
    )
    source: Source
    over: LimitText | None = Field(None, description="Given when the figure is more.")
    at_least: LimitText | None = Field(None, description="Given when the figure is this or more.")
    under: LimitText | None = Field(None, description="Given when the figure is less.")
    general: bool = Field(
        False, description="A word for every job: it stands in `always` of the answer."
    )
    replaces: tuple[CautionCode, ...] = Field(
        (),
        strict=False,
        max_length=MOST_REPLACED,
        description="Cautions for which it speaks.",
    )
    asks_design: bool = Field(False, description="The place asks for an engineer's design there.")

    @field_validator("text")
    @classmethod
    def _figures_marked(cls, value: str) -> str:
        """Figures with a unit are marked, so that each request reads them in its own units."""
        found = unmarked(value)
        if found is not None:
            message = f'"{found[:LONGEST_TEXT]}" is no figure with a unit in braces'
            raise refused("figure-unmarked", message, FIGURE_HINT)
        return value

    @field_validator("over", "at_least", "under")
    @classmethod
    def _limit_of_trigger(cls, value: str | None, info: ValidationInfo) -> str | None:
        """A limit is of the trigger's dimension and on the right side of it."""
        trigger: Trigger | None = info.data.get("trigger")
        if value is not None and trigger is not None:
            _check_limit(value, trigger, str(info.field_name))
        return value

    @model_validator(mode="after")
    def _one_limit(self) -> Self:
        """A trigger with a figure has one limit."""
        given = [limit for limit in (self.over, self.at_least, self.under) if limit]
        if TRIGGER_DIMENSION[self.trigger] is not None and len(given) != 1:
            example = _example(self.trigger)
            message = f"{self.trigger} needs one limit, not {len(given)}: {_side(self.trigger)}"
            raise refused("limit-missing", message, f'such as "{example}"')
        return self

    def to_core(self) -> CautionRule:
        """The core's rule, limits in SI."""
        return CautionRule(
            code=self.code,
            trigger=self.trigger,
            severity=self.severity,
            text=self.text,
            source=self.source.citation(),
            over=self._limit(self.over),
            at_least=self._limit(self.at_least),
            under=self._limit(self.under),
            general=self.general,
            replaces=self.replaces,
            asks_design=self.asks_design,
        )

    def _limit(self, text: str | None) -> float | None:
        return None if text is None else _read_limit(text, self.trigger)


def _check_limit(value: str, trigger: Trigger, key: str) -> None:
    if TRIGGER_DIMENSION[trigger] is None:
        message = f"{trigger} has no figure: it holds or it doesn't"
        raise refused("limit-unused", message, "leave the limit out")
    if (key == "under") != (trigger in UNDER_TRIGGERS):
        right = _side(trigger)
        raise refused("limit-unused", f"{trigger} takes {right}", f"{right} in place of {key}")
    try:
        _read_limit(value, trigger)
    except MeasurementInvalidError as error:
        raise refused("measurement-invalid", error.message, error.hint) from None


def _side(trigger: Trigger) -> str:
    """The keys in which a trigger's limit may stand."""
    return "under" if trigger in UNDER_TRIGGERS else "over or at_least"


def _example(trigger: Trigger) -> str:
    dimension = TRIGGER_DIMENSION[trigger]
    if dimension == "ratio":
        return RATIO_EXAMPLE
    if dimension == "slope":
        return SLOPE_EXAMPLES[0]
    return EXAMPLES[cast(MeasureDimension, dimension)][0]


def _read_limit(text: str, trigger: Trigger) -> float:
    dimension = TRIGGER_DIMENSION[trigger]
    if dimension == "ratio":
        return _read_ratio(text)
    if dimension == "slope":
        return parse_slope(text)
    return parse_measure(text, cast(MeasureDimension, dimension))


def _read_ratio(text: str) -> float:
    """A bare figure: a ratio or a count has no unit."""
    if not _RATIO.fullmatch(text):
        message = f"{found(text)} is not a bare figure"
        raise MeasurementInvalidError(message, f'such as "{RATIO_EXAMPLE}"')
    return float(text)


class JurisdictionDocument(EntryDocument):
    """The rules of one place."""

    based_on: Id | None = Field(
        None, description="Another jurisdiction, whose rules hold where this file is silent."
    )
    cautions: tuple[CautionTable, ...] = Field((), strict=False, max_length=MOST_CAUTIONS)
    excavation: CutSlopes | None = Field(None, description=_NEEDED)
    soil_class: SoilClassTable | None = Field(None, description=_NEEDED)
    grading: GradingTable | None = Field(None, description=_NEEDED)
    permit: PermitTable | None = None
    tiers: TiersTable | None = None
    guard: GuardTable | None = None
    spoil: SpoilTable | None = None
    dust: DustTable | None = None
    lifting: LiftingTable | None = None
    seasons: SeasonsTable | None = None
    presumptive: PresumptiveTable | None = None
    contract: ContractTable | None = None

    def on(self, base: JurisdictionDocument) -> JurisdictionDocument:
        """The rules of this place with those of another where it is silent.

        A caution of the same code takes the place of the base's, others follow at the end; a table
        that the place gives stands for the base's as a whole, months apart.
        """
        mine = {rule.code: rule for rule in self.cautions}
        known = [rule.code for rule in base.cautions]
        tables = {name: getattr(self, name) or getattr(base, name) for name in _TABLES}
        return self.model_copy(
            update={
                **tables,
                "seasons": self.seasons.on(base.seasons) if self.seasons else base.seasons,
                "cautions": (
                    *(mine.get(rule.code, rule) for rule in base.cautions),
                    *(rule for rule in self.cautions if rule.code not in known),
                ),
            }
        )

    @property
    def silent_on(self) -> tuple[str, ...]:
        """Tables that every place needs, its own or another's, and that are not there."""
        return tuple(name for name in NEEDED if getattr(self, name) is None)

    def to_core(self) -> Jurisdiction:
        """The core's jurisdiction. Raises ValueError where a table is missing that every place
        needs: what `based_on` names comes in before, by `on`."""
        if self.excavation is None or self.soil_class is None or self.grading is None:
            raise ValueError(f"{self.id} is silent on {', '.join(self.silent_on)}")
        return Jurisdiction(
            id=self.id,
            version=self.version,
            title=self.title,
            cautions=tuple(caution.to_core() for caution in self.cautions),
            earth=EarthRules(
                cut_slopes=self.excavation.to_core(),
                deep_cut_m=self.soil_class.deep_cut,
                disturbed_class=self.soil_class.disturbed,
                grade_within_m=self.grading.to_existing_within,
            ),
            height_from=self.permit.height_from if self.permit else "pad_bottom",
            slope_over=self.permit.slope_over if self.permit else 0.0,
            add_tiers_within=self.tiers.to_core() if self.tiers else None,
            guard_reach_m=self.guard.reach if self.guard else None,
            spoil_back_m=self.spoil.keep_back if self.spoil else None,
            dust=self.dust.to_core() if self.dust else MappingProxyType({}),
            handling=self.lifting.to_core() if self.lifting else None,
            presumptive=self.presumptive.to_core() if self.presumptive else None,
            frost_months=self.seasons.frost if self.seasons else (),
            wet_months=self.seasons.wet if self.seasons else (),
            contract=self.contract.to_core() if self.contract else None,
        )
