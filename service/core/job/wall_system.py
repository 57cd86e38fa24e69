"""A wall system: a family of modular units that stack together."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class WallUnit:
    """A standard or corner unit, or a cap. `depth_m` of a corner unit is what it covers on the
    other leg; `void_m3` is filled with stone."""

    item: str
    face_length_m: float
    height_m: float
    depth_m: float
    weight_kg: float | None = None
    void_m3: float = 0.0
    per_pallet: int | None = None

    @property
    def pallet_kg(self) -> float | None:
        """Weight of a full pallet of them, where it is known."""
        if self.weight_kg is None or self.per_pallet is None:
            return None
        return self.weight_kg * self.per_pallet


@dataclass(frozen=True, slots=True, kw_only=True)
class Interface:
    """Shear strength between courses: `strength_n_m` + tan(`friction_rad`) x the weight on the
    joint (N per m of wall), never over `most_n_m`; from tests on the system's own units."""

    strength_n_m: float
    friction_rad: float
    most_n_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSystem:
    """Units of one system and how they stack. Without `corner`, corners are cut from standard
    units; without `cap`, the wall ends at its top joint. The cap's front stands `cap_overhang_m`
    before the face of the top course."""

    id: str
    version: str
    title: str
    standard: WallUnit
    setback_m: float
    corner: WallUnit | None = None
    cap: WallUnit | None = None
    cap_overhang_m: float = 0.0
    minimum_outside_radius_m: float | None = None
    minimum_inside_radius_m: float | None = None
    in_place_weight_n_m3: float | None = None
    interface: Interface | None = None

    @property
    def cap_height_m(self) -> float:
        """Height of the cap, 0 without one."""
        return self.cap.height_m if self.cap else 0.0

    @property
    def corner_piece(self) -> WallUnit:
        """What stands at an outside corner: the corner unit, else a standard unit."""
        return self.corner or self.standard
