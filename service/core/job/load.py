"""A load above a wall."""

from __future__ import annotations

from dataclasses import dataclass

from service.core.job.spec import LoadAbove, NearWord


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One word of the catalog for what may stand above a wall, with its load in Pa.

    A `sloped` one is ground that rises, and whoever names it says how steeply. An `engineer` one
    is a case for an engineer where it stands near a wall.
    """

    id: str
    version: str
    title: str
    load_pa: float
    sloped: bool = False
    near: tuple[NearWord, ...] = ()
    engineer: bool = False

    def above(self, from_m: float, slope: float = 0.0) -> LoadAbove:
        """The load where it begins behind one wall."""
        return LoadAbove(
            what=self.id,
            title=self.title,
            load_pa=self.load_pa,
            from_m=from_m,
            slope=slope,
            near=self.near,
            engineer=self.engineer,
        )
