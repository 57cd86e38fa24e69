"""`sections/<id>.toml`: the contractor's standard detail."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.entry import (
    BrokenRule,
    EntryDocument,
    SourcedTable,
    raise_broken,
)
from service.catalog.documents.ratio import RunPerRiseText
from service.catalog.documents.soil import FrictionAngle
from service.core.fraction import Fraction
from service.core.job import section as core
from service.fields import (
    FractionText,
    Id,
    NonNegativeLength,
    PartText,
    PositiveLength,
    StrictModel,
    refused,
)
from service.units import MeasurementInvalidError, parse_slope

Beads = Annotated[int, Field(ge=1, le=10)]


class LevelingPadTable(SourcedTable):
    """The strip of stone under the base course."""

    item: Id
    thickness: PositiveLength = Field(description="Under the base course.")
    front_extension: NonNegativeLength = Field(description="Before the face of the base course.")
    rear_extension: NonNegativeLength = Field(description="Behind the units of the base course.")
    end_extension: NonNegativeLength = Field(0.0, description="Beyond each end of the wall.")
    friction_angle: FrictionAngle | None = Field(None, description="For screening.")
    fabric: Id | None = Field(
        None, description="Under the stone and up its sides, against soft ground."
    )


class EmbedmentTable(SourcedTable):
    """How deep the wall is buried: the larger of the minimum and a share of the exposed height."""

    minimum: NonNegativeLength = Field(description="Never less than this.")
    share_of_exposed: FractionText = Field(description="On level ground in front.")
    shortest_base_run: NonNegativeLength = Field(
        0.0, description="Least length of wall between two steps of the base."
    )
    basis: core.RuleBook | None = Field(
        None, description="The rule book that the figures come from; checks ought to go by it too."
    )
    share_by_front_slope: dict[str, FractionText] = Field(
        default_factory=dict,
        description='Share by slope of the ground that falls away in front, such as "3:1" = "0.1".',
        max_length=20,
    )

    @field_validator("share_by_front_slope")
    @classmethod
    def _shares_rise(cls, value: dict[str, Fraction], info: ValidationInfo) -> dict[str, Fraction]:
        """Steeper ground in front never asks for less embedment."""
        level: Fraction | None = info.data.get("share_of_exposed")
        rows, broken = _rows(value)
        before = ("level", 0.0, level if level is not None else Fraction(0))
        for row in rows:
            if row[1] == before[1]:
                broken.append(((row[0],), refused("slope-twice", f"is as steep as {before[0]}")))
            elif row[2] < before[2]:
                broken.append(
                    (
                        (row[0],),
                        refused(
                            "share-falls",
                            f"is less than the share of {before[0]}, which is less steep",
                            f"{before[2]} or more",
                        ),
                    )
                )
            before = row
        raise_broken(broken)
        return value

    def to_core(self) -> core.Embedment:
        """The core's embedment rule; shares from level to the steepest slope."""
        rows, _ = _rows(self.share_by_front_slope)
        shares = [(0.0, float(self.share_of_exposed))]
        shares += [(slope, float(share)) for _, slope, share in rows]
        return core.Embedment(
            minimum_m=self.minimum,
            shares=tuple(shares),
            shortest_base_run_m=self.shortest_base_run,
            basis=self.basis,
        )


def _rows(
    table: dict[str, Fraction],
) -> tuple[list[tuple[str, float, Fraction]], list[BrokenRule]]:
    """(slope as written, rise over run, share), least steep first, and rows with a bad slope."""
    rows: list[tuple[str, float, Fraction]] = []
    broken: list[BrokenRule] = []
    for text, share in table.items():
        try:
            slope = parse_slope(text)
        except MeasurementInvalidError as error:
            broken.append(((text,), refused("slope-invalid", error.message, error.hint)))
            continue
        if slope <= 0:
            message = "must fall away in front; the share on level ground is share_of_exposed"
            broken.append(((text,), refused("slope-invalid", message, 'a slope such as "3:1"')))
            continue
        rows.append((text, slope, share))
    return sorted(rows, key=lambda row: row[1]), broken


class DrainageTable(SourcedTable):
    """Drainage stone behind the units."""

    item: Id
    width: PositiveLength = Field(description="Behind the units.")
    starts_at: Literal["pad", "buried_course"] = Field(
        description="At the top of the pad, or of the buried course (native soil below that)."
    )
    stops_below_top: NonNegativeLength = Field(
        description="How far the stone ends below the top of the courses."
    )


class CoreFillTable(SourcedTable):
    """Stone inside the units."""

    item: Id


class PipeTable(SourcedTable):
    """Drain pipe along the rear of the base course, with solid outlets."""

    item: Id
    outlet_item: Id = Field(description="What the price list calls the solid pipe of the outlets.")
    outlet_spacing: PositiveLength = Field(description="Largest distance from outlet to outlet.")
    outlet_length: PositiveLength = Field(description="Of one outlet.")


class FilterFabricTable(SourcedTable):
    """Fabric behind the drainage stone."""

    item: Id
    lap: NonNegativeLength = Field(description="Over the stone, at top and bottom each.")


class CapAdhesiveTable(SourcedTable):
    """Beads of adhesive under the caps."""

    item: Id
    beads: Beads = Field(description="How many run along the wall.")
    yield_: PositiveLength = Field(alias="yield", description="Bead length of one piece.")


class ReinforcementTable(SourcedTable):
    """Sheets between the courses, where a wall needs them."""

    item: Id = Field(description="A material whose file has a table [reinforcement].")


class WasteTable(StrictModel):
    """Waste by item group, on pieces or volumes, before packs; a group left out is 0."""

    units: PartText = Decimal(0)
    stone: PartText = Decimal(0)
    pipe: PartText = Decimal(0)
    fabric: PartText = Decimal(0)
    adhesive: PartText = Decimal(0)
    reinforcement: PartText = Decimal(0)

    def to_core(self) -> Mapping[str, Decimal]:
        """Waste by item group."""
        return MappingProxyType({group: getattr(self, group) for group in type(self).model_fields})


class ExcavationTable(SourcedTable):
    """How the trench and the cut behind the wall are dug."""

    working_room: NonNegativeLength = Field(
        description="Behind the drainage stone or the pad, before the slope begins."
    )
    overdig: NonNegativeLength = Field(
        0.0, description="Below and behind the pad, refilled with pad stone."
    )
    cut_slope: RunPerRiseText | None = Field(
        None, description="Horizontal:vertical; by soil class where it is left out."
    )


class SectionDocument(EntryDocument):
    """A typical section."""

    leveling_pad: LevelingPadTable
    embedment: EmbedmentTable
    drainage: DrainageTable
    core_fill: CoreFillTable | None = None
    pipe: PipeTable | None = None
    filter_fabric: FilterFabricTable | None = None
    cap_adhesive: CapAdhesiveTable | None = None
    reinforcement: ReinforcementTable | None = None
    waste: WasteTable = Field(default_factory=WasteTable)
    excavation: ExcavationTable | None = None

    def to_core(self) -> core.Section:
        """The core's section, in SI."""
        return core.Section(
            id=self.id,
            version=self.version,
            title=self.title,
            leveling_pad=self._leveling_pad(),
            embedment=self.embedment.to_core(),
            drainage=core.Drainage(
                item=self.drainage.item,
                width_m=self.drainage.width,
                starts_at=self.drainage.starts_at,
                stops_below_top_m=self.drainage.stops_below_top,
            ),
            core_fill_item=self.core_fill.item if self.core_fill else None,
            pipe=self._pipe(),
            filter_fabric=self._filter_fabric(),
            cap_adhesive=self._cap_adhesive(),
            waste=self.waste.to_core(),
            excavation=self._excavation(),
            reinforcement_item=self.reinforcement.item if self.reinforcement else None,
        )

    def _leveling_pad(self) -> core.LevelingPad:
        pad = self.leveling_pad
        return core.LevelingPad(
            item=pad.item,
            thickness_m=pad.thickness,
            front_extension_m=pad.front_extension,
            rear_extension_m=pad.rear_extension,
            end_extension_m=pad.end_extension,
            friction_angle_rad=pad.friction_angle,
            fabric=pad.fabric,
            overdig_m=self.excavation.overdig if self.excavation else 0.0,
        )

    def _pipe(self) -> core.Pipe | None:
        if self.pipe is None:
            return None
        return core.Pipe(
            item=self.pipe.item,
            outlet_item=self.pipe.outlet_item,
            outlet_spacing_m=self.pipe.outlet_spacing,
            outlet_length_m=self.pipe.outlet_length,
        )

    def _filter_fabric(self) -> core.FilterFabric | None:
        fabric = self.filter_fabric
        return core.FilterFabric(item=fabric.item, lap_m=fabric.lap) if fabric else None

    def _cap_adhesive(self) -> core.CapAdhesive | None:
        glue = self.cap_adhesive
        if glue is None:
            return None
        return core.CapAdhesive(item=glue.item, beads=glue.beads, yield_m=glue.yield_)

    def _excavation(self) -> core.Excavation | None:
        cut = self.excavation
        if cut is None:
            return None
        return core.Excavation(working_room_m=cut.working_room, cut_slope=cut.cut_slope)
