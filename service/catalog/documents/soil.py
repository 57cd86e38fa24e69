"""`soils/<id>.toml`: strength, weight in each state, and how volume changes with state."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import AfterValidator, Field, ValidationInfo, field_validator

from service.catalog.documents.entry import (
    BrokenRule,
    EntryDocument,
    SourcedTable,
    agree,
    difference,
    raise_broken,
)
from service.core.job.soil import Digs, ExcavationClass, Soil, SoilGroup, SoilKind, Undug
from service.fields import (
    Density,
    NonNegativeAngle,
    Pressure,
    RatioBelowOneText,
    RatioText,
    refused,
)
from service.units import publish_measure

# No soil has more; a larger figure is a slip of the pen.
STEEPEST_FRICTION_RAD = math.radians(60)


def _friction(value: float) -> float:
    if value > STEEPEST_FRICTION_RAD:
        raise refused("angle-out-of-range", "is over 60 deg", "from 0 deg to 60 deg")
    return value


FrictionAngle = Annotated[NonNegativeAngle, AfterValidator(_friction)]


class Strength(SourcedTable):
    """Placed and compacted: the strength that screening goes by."""

    friction_angle: FrictionAngle
    cohesion: Pressure = Field(
        description="Stated for whoever reads the file; every check leaves it out."
    )
    wall_friction: FrictionAngle | None = Field(
        None, description="Between soil and units; 2/3 of the friction angle without it."
    )


class Undisturbed(SourcedTable):
    """Strength of the ground as it lies, neither dug nor loosened; told, never screened with."""

    friction_angle: FrictionAngle
    cohesion: Pressure = 0.0

    def to_core(self) -> Undug:
        """The core's strength, in SI."""
        return Undug(friction_angle_rad=self.friction_angle, cohesion_pa=self.cohesion)


class Weight(SourcedTable):
    """What one volume weighs in each state: turns volume into mass, and loads the wall."""

    bank: Density
    loose: Density
    compacted: Density


class VolumeChange(SourcedTable):
    """loose = bank x (1 + swell), compacted = bank x (1 - shrink), by volume."""

    swell: RatioText
    shrink: RatioBelowOneText


class SoilExcavation(SourcedTable):
    """How it is dug and whether it is used again."""

    class_: ExcavationClass = Field(
        alias="class", description="A, B or C: decides the slope of a deep cut."
    )
    reusable: bool = Field(description="May go back as fill.")
    kind: SoilKind | None = Field(None, description="Says which machines compact it.")
    digs: Digs | None = Field(
        None, description="The choice of a condition `by_soil`; its neutral one without it."
    )


class SoilDocument(EntryDocument):
    """A soil."""

    strength: Strength
    undisturbed: Undisturbed | None = None
    weight: Weight
    volume: VolumeChange
    excavation: SoilExcavation
    group: SoilGroup | None = Field(
        None, description="Unified Soil Classification; codes give table values by it."
    )

    @field_validator("volume")
    @classmethod
    def _weights_agree(cls, value: VolumeChange, info: ValidationInfo) -> VolumeChange:
        """What swells gets lighter: swell and shrink agree with the weights within 2 %."""
        weight: Weight | None = info.data.get("weight")
        if weight is None:
            return value
        loose = weight.bank / (1 + float(value.swell))
        compacted = weight.bank / (1 - float(value.shrink))
        broken: list[BrokenRule] = []
        if not agree(weight.loose, loose):
            broken.append(_disagrees("swell", "loose", weight.loose, loose))
        if not agree(weight.compacted, compacted):
            broken.append(_disagrees("shrink", "compacted", weight.compacted, compacted))
        raise_broken(broken)
        return value

    def to_core(self) -> Soil:
        """The core's soil, in SI."""
        return Soil(
            id=self.id,
            version=self.version,
            title=self.title,
            friction_angle_rad=self.strength.friction_angle,
            loose_kg_m3=self.weight.loose,
            compacted_kg_m3=self.weight.compacted,
            swell=self.volume.swell,
            shrink=self.volume.shrink,
            excavation_class=self.excavation.class_,
            reusable=self.excavation.reusable,
            wall_friction_rad=self.strength.wall_friction,
            kind=self.excavation.kind,
            digs=self.excavation.digs,
            group=self.group,
            undisturbed=self.undisturbed.to_core() if self.undisturbed else None,
        )


def _disagrees(key: str, state: str, stated: float, implied: float) -> BrokenRule:
    pcf = float(publish_measure(implied, "density", "pcf")["value"])
    formula = "bank / (1 + swell)" if key == "swell" else "bank / (1 - shrink)"
    return (key,), refused(
        "weights-disagree",
        f"disagrees with weight.{state} by {difference(stated, implied)}",
        f"weight.{state} = {formula} = {pcf:.1f} pcf ({implied:.0f} kg/m3) within 2 %",
    )
