"""`screening_bases/<id>.toml`: the rule book of a screening, every figure with its source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator, model_validator

from service.catalog.documents.entry import EntryDocument, Source, SourcedTable
from service.catalog.documents.tolerance import ToleranceTable
from service.core.fraction import Fraction
from service.core.job.basis import (
    CHECKS,
    Basis,
    BesideRules,
    CheckName,
    LayerRules,
    LoadFactors,
    Required,
    TierRules,
)
from service.core.screening.check_table import CHECK_TABLE
from service.fields import (
    FractionText,
    NonNegativeAngle,
    PositiveDecimalText,
    PositiveLength,
    Slope,
    refused,
)

MOST_TOLERANCES = 40


class RequiredTable(SourcedTable):
    """What checks must reach, whatever the build; `eccentricity` is the most that it may be."""

    base_sliding: PositiveDecimalText | None = None
    overturning: PositiveDecimalText | None = None
    eccentricity: FractionText | None = None
    bearing: PositiveDecimalText | None = None
    interface_shear: PositiveDecimalText | None = None

    @model_validator(mode="before")
    @classmethod
    def _asks_for_its_checks(cls, value: object) -> object:
        """A check that this table can't ask for is told where it can be."""
        keys = value if isinstance(value, Mapping) else {}
        for name in CHECKS:
            if name in keys and name not in cls.model_fields:
                message = f"{name} is no check of this table"
                raise refused("check-elsewhere", message, _asked_where(name), at=(name,))
        return value

    def to_core(self, source: str) -> Mapping[CheckName, Required]:
        """The figures that are given, in the order of the checks."""
        cited = self.source.citation() if self.source else source
        given: dict[CheckName, Required] = {}
        for name in CHECKS:
            figure: Decimal | Fraction | None = getattr(self, name, None)
            if figure is not None:
                given[name] = Required(value=float(figure), text=_text(figure), source=cited)
        return MappingProxyType(given)


class GravityTable(RequiredTable):
    """What the checks of a plain stack must reach."""

    hinge_height: PositiveDecimalText | None = None


class LayeredTable(RequiredTable):
    """What the checks of a wall with layers must reach."""

    layer_tension: PositiveDecimalText | None = None
    pullout: PositiveDecimalText | None = None
    connection: PositiveDecimalText | None = None


def hold_every_check(table: type[RequiredTable], checks: Iterable[CheckName]) -> None:
    """Raises ValueError where a table has no key for a check of its build, or one for no check."""
    keys, names = {*table.model_fields} - {"source"}, {*checks}
    if keys != names:
        raise ValueError(f"{table.__name__} has keys {sorted(keys)}, checks are {sorted(names)}")


hold_every_check(GravityTable, (row.name for row in CHECK_TABLE.values() if row.stack))
hold_every_check(LayeredTable, (row.name for row in CHECK_TABLE.values() if row.layered))


class FactorsTable(SourcedTable):
    """Load and resistance factors; left out, all are 1."""

    weight_low: PositiveDecimalText = Decimal(1)
    weight_high: PositiveDecimalText = Decimal(1)
    soil: PositiveDecimalText = Decimal(1)
    live: PositiveDecimalText = Decimal(1)
    sliding: PositiveDecimalText = Decimal(1)
    bearing: PositiveDecimalText = Decimal(1)
    tension: PositiveDecimalText = Decimal(1)
    pullout: PositiveDecimalText = Decimal(1)

    def to_core(self) -> LoadFactors:
        """The core's factors."""
        return LoadFactors(
            weight_low=float(self.weight_low),
            weight_high=float(self.weight_high),
            soil=float(self.soil),
            live=float(self.live),
            sliding=float(self.sliding),
            bearing=float(self.bearing),
            tension=float(self.tension),
            pullout=float(self.pullout),
        )


class WallTable(SourcedTable):
    """Rules of the stack of units."""

    wall_friction_share: FractionText = Field(
        description="Wall friction as a share of the soil's, where its file gives none."
    )
    hinge_over: NonNegativeAngle = Field(description="Batter over which hinge height is checked.")
    plumb_under: NonNegativeAngle | None = Field(
        None, description="Batter under which a face counts as plumb, where the method says so."
    )


class BesideTable(SourcedTable):
    """What beside a wall counts."""

    load_reach: PositiveDecimalText = Field(
        description="In wall heights: cautions go by loads and slopes that begin nearer."
    )
    steep: Slope = Field(
        description="Ground from which the slope as a whole is in question, in front or behind."
    )

    def to_core(self) -> BesideRules:
        """The core's rules."""
        return BesideRules(load_reach=float(self.load_reach), steep=self.steep)


class LayersTable(SourcedTable):
    """How layers of reinforcement are laid out."""

    shortest_share: FractionText = Field(description="Shortest length, as a share of the height.")
    shortest_share_sloping: FractionText = Field(description="The same under a back slope.")
    shortest: PositiveLength = Field(description="Shortest length, whatever the height.")
    anchorage: PositiveLength = Field(description="Least length beyond the failure plane.")
    spacing: PositiveLength = Field(description="Largest spacing.")
    spacing_depths: PositiveDecimalText = Field(description="Largest spacing in unit depths.")
    length_step: PositiveLength = Field(description="Lengths are rounded up to it.")
    longest_share: PositiveDecimalText = Field(description="Where the search for a length ends.")
    no_data_factor: PositiveDecimalText = Field(description="Reduction of a sheet without factors.")
    top_depths: PositiveDecimalText | None = Field(
        None, description="Uppermost layer under the top, in unit depths."
    )
    top_most: PositiveLength | None = Field(
        None, description="The same as a length; the lesser counts."
    )
    first_most: PositiveLength | None = Field(
        None, description="Lowest layer over the base, at most; a unit's depth counts beside it."
    )
    cover: PositiveLength | None = Field(
        None, description="Fill over a layer before tracked machines drive there, at least."
    )
    friction_share: FractionText | None = Field(
        None,
        description="Friction of a sheet as a share of the soil's; without it as its file says.",
    )
    scale: FractionText = Field(
        default_factory=lambda: Fraction(1),
        description="Scale factor of the hold of a sheet.",
    )
    soil_between: PositiveLength = Field(
        description="Between two sheets that lie over each other at a corner or along a curve."
    )

    def to_core(self) -> LayerRules:
        """The core's rules."""
        return LayerRules(
            shortest_share=float(self.shortest_share),
            shortest_share_sloping=float(self.shortest_share_sloping),
            shortest_m=self.shortest,
            anchorage_m=self.anchorage,
            spacing_m=self.spacing,
            spacing_depths=float(self.spacing_depths),
            length_step_m=self.length_step,
            longest_share=float(self.longest_share),
            no_data_factor=float(self.no_data_factor),
            top_depths=None if self.top_depths is None else float(self.top_depths),
            top_most_m=self.top_most,
            first_most_m=self.first_most,
            cover_m=self.cover,
            friction_share=None if self.friction_share is None else float(self.friction_share),
            scale=float(self.scale),
            soil_between_m=self.soil_between,
        )


class TierRulesTable(SourcedTable):
    """When tiers are walls of their own."""

    independent_share: PositiveDecimalText = Field(
        description="Offset in exposed heights of the taller wall from which two walls are two."
    )

    def to_core(self, source: str) -> TierRules:
        """The core's rules."""
        return TierRules(
            independent_share=float(self.independent_share), source=_cited(self.source, source)
        )


class ScreeningBasisDocument(EntryDocument):
    """One rule book."""

    id: Literal["association", "fhwa"]
    gravity: GravityTable
    reinforced: LayeredTable
    factors: FactorsTable | None = None
    wall: WallTable
    beside: BesideTable
    layers: LayersTable
    tiers: TierRulesTable
    tolerances: Annotated[
        tuple[ToleranceTable, ...], Field(strict=False, max_length=MOST_TOLERANCES)
    ] = ()

    @field_validator("wall")
    @classmethod
    def _highway_faces_are_plumb(cls, value: WallTable, info: ValidationInfo) -> WallTable:
        """The highway manual's pressure and plane are those of a plumb face up to a batter."""
        if info.data.get("id") == "fhwa" and value.plumb_under is None:
            message = "is needed: the method of fhwa takes a face as plumb under a batter"
            raise refused("plumb-missing", message, 'such as "10 deg"', at=("plumb_under",))
        return value

    def to_core(self) -> Basis:
        """The core's basis."""
        cited = self.source.citation()
        return Basis(
            id=self.id,
            version=self.version,
            title=self.title,
            source=cited,
            gravity=self.gravity.to_core(cited),
            reinforced=self.reinforced.to_core(cited),
            layers=self.layers.to_core(),
            tiers=self.tiers.to_core(cited),
            beside=self.beside.to_core(),
            wall_friction_share=float(self.wall.wall_friction_share),
            hinge_over_rad=self.wall.hinge_over,
            plumb_under_rad=self.wall.plumb_under or 0.0,
            factors=self.factors.to_core() if self.factors else LoadFactors(),
            tolerances=tuple(row.to_core(cited) for row in self.tolerances),
        )


def _asked_where(name: CheckName) -> str:
    """Where a basis can ask for a check."""
    row = CHECK_TABLE[name]
    tables = ["[gravity]"] if row.stack else []
    tables += ["[reinforced]"] if row.layered else []
    if tables:
        return f"{name} in {' or '.join(tables)}"
    return f"{name} is asked for beside every wall: no figure in [gravity] or [reinforced]"


def _cited(own: Source | None, source: str) -> str:
    return own.citation() if own else source


def _text(figure: Decimal | Fraction) -> str:
    """A figure as the answer prints it: `1.5`, and `0.25` for a quarter."""
    return f"{float(figure):.6g}"
