"""Compacting: layers, output of a machine, and what is left for one beside the strip by hand."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from service.core.closed_list import check_words
from service.core.fraction import Fraction
from service.core.job.machine import Compaction, Machine
from service.core.job.measured import Measured, measured_at
from service.core.job.soil import SoilKind
from service.core.measure import UnitSet, number
from service.core.shares import Shares
from service.core.three_point import ThreePoint, one_figure


def layer_m(compaction: Compaction, kind: SoilKind | None) -> float | None:
    """The thickest layer of a soil; None where the machine can't compact it. Of a soil that
    nobody said the kind of, the thinnest layer that the machine takes of any."""
    if kind is None:
        return min(compaction.layers_m.values())
    return compaction.layers_m.get(kind)


def compacted_m3_per_hour(compaction: Compaction, thickness_m: float) -> Fraction:
    """Compacted volume of an hour: width x travel x layer x efficiency / passes.

    Source: FM 5-434, 11-24, Q = 16.3 W S L E / N, where 16.3 only converts units.
    """
    swept = _shown(compaction.width_m) * _shown(compaction.travel_m_per_minute) * 60
    return swept * _shown(thickness_m) * compaction.efficiency / compaction.passes


def compaction_rate(
    machine: Machine, kind: SoilKind | None, units: UnitSet
) -> tuple[ThreePoint, str] | None:
    """Machine-hours per m3 compacted, with their arithmetic; None where the machine doesn't
    compact this soil."""
    compaction = machine.compaction
    thickness = layer_m(compaction, kind) if compaction else None
    if compaction is None or thickness is None:
        return None
    output = compacted_m3_per_hour(compaction, thickness)
    length, small = units.length, units.small_length
    soil = f"{kind} soil" if kind else "a soil of no stated kind"
    words = (
        f"{machine.title}, {soil}: {units.show(compaction.width_m, 'length', length)} wide x "
        f"{units.show(compaction.travel_m_per_minute, 'length', length)} a minute x 60 x layers "
        f"of {units.show(thickness, 'length', small)} x {number(float(compaction.efficiency), 6)} "
        f"/ {compaction.passes} passes = {units.show(float(output), 'volume')} per h"
    )
    return one_figure(1 / output), words


def measure_machine_backfill(measured: Mapping[Measured, Shares]) -> Mapping[Measured, Shares]:
    """The backfill that is left for a machine, wall by wall, of what takeoff and earthwork have
    `measured`: drainage stone lies in the strip that is compacted by hand first, and only what
    reaches beyond the stone is backfill (rule 18.14)."""
    by_hand, stone = dict(measured["hand_strip_volume"]), dict(measured["drainage_volume"])
    left = (
        (name, max(0.0, volume - max(0.0, by_hand.get(name, 0.0) - stone.get(name, 0.0))))
        for name, volume in measured["backfill_volume"]
    )
    return {"machine_backfill_volume": tuple(sorted(left))}


check_words(measured_at("machine_backfill"), ("machine_backfill_volume",))


def _shown(value: float) -> Fraction:
    """A length as its nine digits say it, exactly."""
    return Fraction(Decimal(number(value)))
