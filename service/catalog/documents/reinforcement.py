"""The table `[reinforcement]` of a material: what a sheet holds, and the roll it comes on."""

from __future__ import annotations

from decimal import Decimal

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.entry import BrokenRule, SourcedTable, raise_broken
from service.catalog.documents.soil import FrictionAngle
from service.core.job.reinforcement import Connection, Polymer, Sheet
from service.fields import (
    FactorText,
    ForcePerLength,
    Id,
    PositiveForcePerLength,
    PositiveLength,
    RatioText,
    refused,
)


class ConnectionTable(SourcedTable):
    """Strength of the joint between sheet and units, from tests on one system with this sheet."""

    wall_system: Id
    strength: ForcePerLength = Field(description="Per length of wall, without weight on the joint.")
    friction_angle: FrictionAngle = Field(description="Its tangent is gained by the weight on it.")
    most: PositiveForcePerLength = Field(description="Never over this.")

    @field_validator("most")
    @classmethod
    def _most_is_reached(cls, value: float, info: ValidationInfo) -> float:
        """A limit under what holds without weight would never let it be reached."""
        strength = info.data.get("strength")
        if strength is not None and value < strength:
            raise refused("most-below-strength", "is less than strength", "strength or more")
        return value

    def to_core(self) -> Connection:
        """The core's connection, in SI."""
        return Connection(
            wall_system=self.wall_system,
            strength_n_m=self.strength,
            friction_rad=self.friction_angle,
            most_n_m=self.most,
        )


class SheetTable(SourcedTable):
    """A reinforcement as its maker states it. The strong direction runs along the roll; each
    factor divides the ultimate strength."""

    ultimate_strength: PositiveForcePerLength = Field(description="Along the roll, per width.")
    roll_width: PositiveLength
    roll_length: PositiveLength
    polymer: Polymer | None = Field(
        None,
        description="What the sheet is made of: `catalog check` holds its creep_factor against "
        "what is published of this polymer.",
    )
    creep_factor: FactorText | None = Field(None, description="1 or more; left out: not stated.")
    durability_factor: FactorText | None = Field(None, description="1 or more, as above.")
    damage_factor: FactorText | None = Field(
        None, description="For damage when it is laid; 1 or more, as above."
    )
    interaction: RatioText | None = Field(
        None, description="Share of the soil's friction that holds the sheet."
    )
    connection: tuple[ConnectionTable, ...] = Field((), strict=False, max_length=50)

    @field_validator("creep_factor", "durability_factor", "damage_factor")
    @classmethod
    def _factors_reduce(cls, value: Decimal | None) -> Decimal | None:
        """What divides a strength never raises it."""
        if value is not None and value < 1:
            raise refused("factor-below-one", f"is {value}: it divides the strength", "1 or more")
        return value

    @field_validator("interaction")
    @classmethod
    def _interaction_holds(cls, value: Decimal | None) -> Decimal | None:
        """Without friction nothing would hold the sheet."""
        if value is not None and not value:
            raise refused("interaction-zero", "is 0: nothing would hold the sheet", "such as 0.7")
        return value

    @field_validator("connection")
    @classmethod
    def _systems_once(cls, value: tuple[ConnectionTable, ...]) -> tuple[ConnectionTable, ...]:
        """One row for each wall system."""
        broken: list[BrokenRule] = []
        seen: list[str] = []
        for place, row in enumerate(value):
            if row.wall_system in seen:
                message = f'"{row.wall_system}" stands twice'
                broken.append(((place, "wall_system"), refused("id-twice", message)))
            seen.append(row.wall_system)
        raise_broken(broken)
        return value

    def to_core(self) -> Sheet:
        """The core's sheet, in SI."""
        return Sheet(
            ultimate_n_m=self.ultimate_strength,
            roll_width_m=self.roll_width,
            roll_length_m=self.roll_length,
            polymer=self.polymer,
            creep=_bare(self.creep_factor),
            durability=_bare(self.durability_factor),
            damage=_bare(self.damage_factor),
            interaction=_bare(self.interaction),
            connections=tuple(row.to_core() for row in self.connection),
        )


def _bare(value: Decimal | None) -> float | None:
    return None if value is None else float(value)
