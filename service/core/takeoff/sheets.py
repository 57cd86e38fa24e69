"""Sheets of reinforcement in place and the pieces cut for them, layer by layer of one wall.

The strong direction runs along the roll and lies across the wall: a piece is as long as its layer
and covers one roll width along the wall. Each leg is covered from end to end, on a curve along the
longer of the layer's two edges, so that no gap opens. Rules 1.4 and 12.5.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import assert_never

from service.core.job.reinforcement import Layer
from service.core.layout.corner import CornerJoint
from service.core.layout.layout import WallLayout
from service.core.layout.legs import inner_corners, split_legs
from service.core.rounding import CLOSE_M, same_angles, same_lengths, whole_units

_RIGHT_ANGLE = math.pi / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidLayer:
    """One layer as it is laid. `course` lies on it, counted from 1; `widths_m` are to be covered
    along each leg with so many `pieces`; `area_m2` is all sheet in place, of which `overlap_m2`
    lies double at outside corners and `carried_m2` closes the gap at inside ones. `bends`: pieces
    overlap along a curve."""

    layer: Layer
    course: int
    widths_m: tuple[float, ...]
    pieces: tuple[int, ...]
    area_m2: float
    overlap_m2: float
    carried_m2: float
    bends: bool


def measure_sheets(
    layout: WallLayout, layers: Sequence[Layer], roll_width_m: float
) -> tuple[LaidLayer, ...]:
    """The layers of a wall as they are laid, from the lowest joint up; layers that go on at the
    same joint with the same length are one."""
    joined = tuple(_joined(layers))
    joints = sorted(dict.fromkeys(layer.joint for layer in joined))
    return tuple(
        _lay(layout, layer, joints.index(layer.joint) % 2 == 0, roll_width_m) for layer in joined
    )


def _joined(layers: Sequence[Layer]) -> Iterator[Layer]:
    """The layers, joined where one goes on where the other ends."""
    open_layer: Layer | None = None
    for layer in sorted(layers, key=lambda each: (each.joint, each.from_m)):
        if open_layer and _goes_on(open_layer, layer):
            open_layer = replace(open_layer, to_m=layer.to_m)
            continue
        if open_layer:
            yield open_layer
        open_layer = layer
    if open_layer:
        yield open_layer


def _goes_on(one: Layer, other: Layer) -> bool:
    return (
        one.joint == other.joint
        and abs(one.length_m - other.length_m) < CLOSE_M
        and abs(one.to_m - other.from_m) < CLOSE_M
    )


def _lay(layout: WallLayout, layer: Layer, longer_leads: bool, roll_width_m: float) -> LaidLayer:
    """One layer, leg by leg; `longer_leads` says which leg is carried on at inside corners."""
    plan, length, near = layout.plan, layer.length_m, layout.offset_m(layer.joint)
    stations = split_legs(plan, layer.from_m, layer.to_m)
    bands = [tuple(plan.bands(a, b, near, near + length)) for a, b in stations]
    plain = [math.fsum(max(band.near_m, band.far_m) for band in leg) for leg in bands]
    areas = [band.area_m2 for leg in bands for band in leg]
    joints = [plan.corners[i][1] for i in inner_corners(plan, layer.from_m, layer.to_m)]
    widths, overlap, carried = list(plain), 0.0, 0.0
    for i, joint in enumerate(joints):
        match joint.side:
            case "inside":
                first_leads = _is_longer_before(plain, joints, i) == longer_leads
                widths[i if first_leads else i + 1] += _carried_m(joint, length)
                carried += length * length * math.tan(joint.angle_rad / 2)
            case "outside":
                overlap += _overlap_m2(joint, length)
                areas += [-_cut_off_m2(joint, length, plain[leg]) for leg in (i, i + 1)]
            case _:
                assert_never(joint.side)
    return LaidLayer(
        layer=layer,
        course=layer.joint - layout.lowest + 1,
        widths_m=tuple(widths),
        pieces=tuple(whole_units(width, roll_width_m) for width in widths),
        area_m2=math.fsum((*areas, carried)),
        overlap_m2=overlap,
        carried_m2=carried,
        bends=any(abs(band.near_m - band.far_m) > CLOSE_M for leg in bands for band in leg),
    )


def _overlap_m2(joint: CornerJoint, length_m: float) -> float:
    """What lies double where both legs' sheets run to an outside corner: at a right angle the
    square of the length; less turn, the kite between the two ends; more, the rhombus of the
    strips."""
    turn = joint.angle_rad
    share = math.tan(turn / 2) if turn <= _RIGHT_ANGLE else 1 / math.sin(turn)
    return length_m * length_m * share


def _cut_off_m2(joint: CornerJoint, length_m: float, width_m: float) -> float:
    """What the other face cuts off a sheet's end at a corner that turns by more than 90 deg."""
    if joint.angle_rad <= _RIGHT_ANGLE:
        return 0.0
    return length_m * min(length_m * math.tan(joint.angle_rad - _RIGHT_ANGLE), width_m) / 2


def _carried_m(joint: CornerJoint, length_m: float) -> float:
    """How far one leg's layer goes on behind the other at an inside corner to leave no gap."""
    return length_m * max(math.sin(joint.angle_rad), math.tan(joint.angle_rad / 2))


def _is_longer_before(widths: Sequence[float], joints: Sequence[CornerJoint], at: int) -> bool:
    """Whether the leg before a corner is the longer one. Where they are equal what lies beyond
    decides, so that a mirrored wall counts the same."""
    if abs(widths[at] - widths[at + 1]) > CLOSE_M:
        return widths[at] > widths[at + 1]
    turns = [same_angles(joint.turn_rad) for joint in joints]
    sizes = [same_lengths(width) for width in widths]
    before = [*zip(sizes[at::-1], (*turns[:at][::-1], 0.0), strict=True)]
    after = [*zip(sizes[at + 1 :], (*turns[at + 1 :], 0.0), strict=True)]
    return before >= after
