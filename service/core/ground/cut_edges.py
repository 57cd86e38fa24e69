"""Edges of trench and cut: how high each stands alone, how far the cut reaches (rule 13.19)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

from service.core.ground.cross_section import CrossSection
from service.core.job.graded import WallSide


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """How far earthwork reaches from the plan line at a station, in front (negative where it begins
    behind the line) and behind, in meters."""

    station_m: float
    front_m: float
    behind_m: float

    def on(self, side: WallSide) -> float:
        """How far it reaches on one side."""
        match side:
            case "front":
                return self.front_m
            case "behind":
                return self.behind_m
            case other:
                assert_never(other)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutEdges:
    """Edges of trench and cut at a station: how high each stands alone (the upright front of the
    trench, the face behind its floor, in meters), and how far the cut reaches."""

    front_edge_m: float
    face_m: float
    reach: Extent

    @property
    def station_m(self) -> float:
        """Where along the wall."""
        return self.reach.station_m


def cut_edges(section: CrossSection) -> CutEdges:
    """The edges of one section."""
    return CutEdges(
        front_edge_m=section.front_edge_m,
        face_m=section.face_m,
        reach=Extent(
            station_m=section.station_m,
            front_m=-section.trench.front_m,
            behind_m=section.cut_ends_at_m,
        ),
    )
