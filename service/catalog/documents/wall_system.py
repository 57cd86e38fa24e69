"""`wall_systems/<id>.toml`: the units of one wall system and how they stack."""

from __future__ import annotations

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.entry import (
    EntryDocument,
    SourcedTable,
    agree,
    difference,
)
from service.catalog.documents.soil import FrictionAngle
from service.core.job.wall_system import Interface, WallSystem, WallUnit
from service.fields import (
    Area,
    Count,
    ForcePerLength,
    Id,
    LongText,
    Mass,
    NonNegativeLength,
    PositiveForcePerLength,
    PositiveLength,
    StrictModel,
    UnitWeight,
    Volume,
    refused,
)
from service.units import publish_measure


class Piece(SourcedTable):
    """What all kinds of units have."""

    item: Id = Field(description="What the price list calls it.")
    face_length: PositiveLength = Field(description="Along the face.")
    depth: PositiveLength = Field(
        description="Front to back; of a corner unit: what it covers on the other leg."
    )
    weight: Mass | None = Field(None, description="Of one unit.")
    void_volume: Volume | None = Field(
        None, description="Volume to be filled with stone, per unit."
    )
    per_pallet: Count | None = Field(None, description="How many come on a pallet.")

    def unit(self, height_m: float) -> WallUnit:
        """The core's unit of this piece at a height."""
        return WallUnit(
            item=self.item,
            face_length_m=self.face_length,
            height_m=height_m,
            depth_m=self.depth,
            weight_kg=self.weight,
            void_m3=self.void_volume or 0.0,
            per_pallet=self.per_pallet,
        )


class StandardUnit(Piece):
    """The unit that makes the courses."""

    height: PositiveLength = Field(description="Of one course.")
    face_area_note: LongText | None = Field(
        None, description="Why face_area differs from face_length x height, if it does."
    )
    face_area: Area | None = Field(None, description="Within 2 % of face_length x height.")

    @field_validator("face_area")
    @classmethod
    def _face_area_agrees(cls, value: float | None, info: ValidationInfo) -> float | None:
        """The stated face area is that of the stated face, or a note says why not."""
        length, height = info.data.get("face_length"), info.data.get("height")
        if value is None or length is None or height is None or info.data.get("face_area_note"):
            return value
        face = length * height
        if not agree(value, face):
            shown = publish_measure(face, "area", "ft2")
            raise refused(
                "face-area-disagrees",
                f"differs from face_length x height by {difference(value, face)}",
                f"{shown['value']} ft2 ({face:.6g} m2) within 2 %,"
                " or a face_area_note that says why not",
            )
        return value


class CapUnit(Piece):
    """What lies on the top course."""

    height: PositiveLength
    overhang: NonNegativeLength = Field(
        0.0,
        description="How far its front stands before the face of the top course; it moves "
        "the cap's weight, and counts neither in caps nor in backfill.",
    )

    @field_validator("overhang")
    @classmethod
    def _rests_on_the_wall(cls, value: float, info: ValidationInfo) -> float:
        """A cap that stands before the face with all of its depth would fall off."""
        depth = info.data.get("depth")
        if depth is not None and value >= depth:
            raise refused(
                "overhang-too-large",
                "is not smaller than the depth of the cap",
                "how far the cap's front stands before the face, such as 1 in or 20 mm",
            )
        return value


class Units(StrictModel):
    """The kinds of units. Without a corner, corners are cut from standard units; without a cap,
    the wall ends at its top joint."""

    standard: StandardUnit
    corner: Piece | None = Field(
        None, description="As high as the standard unit; without it corners are cut from those."
    )
    cap: CapUnit | None = None

    @field_validator("standard", "cap")
    @classmethod
    def _void_fits(cls, value: StandardUnit | CapUnit | None) -> StandardUnit | CapUnit | None:
        """A void is smaller than the unit around it."""
        if value is None or value.void_volume is None:
            return value
        if value.void_volume >= value.face_length * value.height * value.depth:
            raise refused(
                "void-too-large",
                "is not smaller than face_length x height x depth",
                "the volume of the holes in one unit",
                at=("void_volume",),
            )
        return value

    @field_validator("corner")
    @classmethod
    def _corner_void_fits(cls, value: Piece | None, info: ValidationInfo) -> Piece | None:
        """The void of a corner unit is smaller than the unit, which is as high as the standard."""
        standard = info.data.get("standard")
        if value is None or value.void_volume is None or standard is None:
            return value
        if value.void_volume >= value.face_length * standard.height * value.depth:
            raise refused(
                "void-too-large",
                "is not smaller than face_length x depth x height of the standard unit",
                "the volume of the holes in one unit",
                at=("void_volume",),
            )
        return value


class Stacking(SourcedTable):
    """How courses stand on each other."""

    setback: NonNegativeLength = Field(description="How far each course sits behind the one below.")
    minimum_outside_radius: PositiveLength | None = Field(
        None, description="Where the wall bulges out: of its top face."
    )
    minimum_inside_radius: PositiveLength | None = Field(
        None, description="Where the wall bends in: of its base face."
    )


class InPlace(SourcedTable):
    """The laid wall, for screening."""

    unit_weight: UnitWeight = Field(description="Units and fill together.")


class InterfaceTable(SourcedTable):
    """Shear strength between courses, from tests on the units, for screening."""

    strength: ForcePerLength = Field(description="Per length of wall, without weight on the joint.")
    friction_angle: FrictionAngle = Field(description="Its tangent is gained by the weight on it.")
    most: PositiveForcePerLength | None = Field(
        None, description="Never over this; without it no limit was stated."
    )

    @field_validator("most")
    @classmethod
    def _most_is_reached(cls, value: float | None, info: ValidationInfo) -> float | None:
        """A limit under what holds without weight would never let it be reached."""
        strength = info.data.get("strength")
        if value is not None and strength is not None and value < strength:
            raise refused("most-below-strength", "is less than strength", "strength or more")
        return value

    def to_core(self) -> Interface:
        """The core's interface, in SI."""
        return Interface(
            strength_n_m=self.strength, friction_rad=self.friction_angle, most_n_m=self.most
        )


class WallSystemDocument(EntryDocument):
    """A wall system: a family of modular units that stack together."""

    units: Units
    stacking: Stacking
    in_place: InPlace | None = None
    interface: InterfaceTable | None = None

    @field_validator("stacking")
    @classmethod
    def _setback_within_depth(cls, value: Stacking, info: ValidationInfo) -> Stacking:
        """A course that sits farther back than a unit is deep would hang in the air."""
        units = info.data.get("units")
        if units is not None and value.setback >= units.standard.depth:
            raise refused(
                "setback-too-large",
                "is not smaller than the depth of the standard unit",
                "how far each course sits behind the one below, such as 3/4 in or 20 mm",
                at=("setback",),
            )
        return value

    def to_core(self) -> WallSystem:
        """The core's wall system, in SI."""
        units = self.units
        height_m = units.standard.height
        return WallSystem(
            id=self.id,
            version=self.version,
            title=self.title,
            standard=units.standard.unit(height_m),
            setback_m=self.stacking.setback,
            corner=units.corner.unit(height_m) if units.corner else None,
            cap=units.cap.unit(units.cap.height) if units.cap else None,
            cap_overhang_m=units.cap.overhang if units.cap else 0.0,
            minimum_outside_radius_m=self.stacking.minimum_outside_radius,
            minimum_inside_radius_m=self.stacking.minimum_inside_radius,
            in_place_weight_n_m3=self.in_place.unit_weight if self.in_place else None,
            interface=self.interface.to_core() if self.interface else None,
        )
