"""What one wall needs of each item, and how it was counted, in words an estimator can re-add."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from service.core.job.measured import Measured
from service.core.job.reinforcement import WallReinforcement
from service.core.job.section import Group, Section
from service.core.job.wall_system import WallSystem, WallUnit
from service.core.layout.courses import Course, Run
from service.core.layout.layout import WallLayout
from service.core.measure import Dimension, UnitSet, number
from service.core.takeoff.sheets import LaidLayer
from service.core.takeoff.stone import (
    drain_pipe,
    drainage_by_course,
    fabric_area_m2,
    leveling_pad,
    pad_sides_m2,
)


@dataclass(frozen=True, slots=True)
class UseKind:
    """What an item is used for: its group, how it is counted, a name for want of a file's, and
    what work on it is measured by."""

    group: Group
    dimension: Dimension
    title: str
    measured: Measured | None = None


STANDARD = UseKind("units", "count", "standard unit", "standard_units")
CORNER = UseKind("units", "count", "corner unit", "corner_units")
CAP = UseKind("units", "count", "cap", "cap_units")
# In the order in which their lines stand.
UNIT_KINDS = (STANDARD, CORNER, CAP)
PAD = UseKind("stone", "volume", "leveling pad stone", "pad_volume")
DRAINAGE = UseKind("stone", "volume", "drainage stone", "drainage_volume")
CORE_FILL = UseKind("stone", "volume", "core fill stone", "core_fill_volume")
PIPE = UseKind("pipe", "length", "drain pipe", "pipe_length")
OUTLET = UseKind("pipe", "length", "outlet pipe")
FABRIC = UseKind("fabric", "area", "filter fabric", "fabric_area")
ADHESIVE = UseKind("adhesive", "count", "cap adhesive")
REINFORCEMENT = UseKind("reinforcement", "area", "soil reinforcement", "reinforcement_area")
USE_KINDS = (
    STANDARD,
    CORNER,
    CAP,
    PAD,
    DRAINAGE,
    CORE_FILL,
    PIPE,
    OUTLET,
    FABRIC,
    ADHESIVE,
    REINFORCEMENT,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What one wall needs of one item (SI, or pieces); `unit` is the wall unit, if it is one.
    `cuts` are the pieces to be cut from rolls: (length in m, how many)."""

    wall: str
    item: str
    kind: UseKind
    amount: float
    how: str
    unit: WallUnit | None = None
    cuts: tuple[tuple[float, int], ...] = ()


def count_uses(
    layout: WallLayout, system: WallSystem, section: Section, units: UnitSet
) -> Iterator[Use]:
    """Everything that one wall needs and its section asks for."""
    yield from _unit_uses(layout, system)
    yield _pad_use(layout, section, units)
    yield _drainage_use(layout, section, units)
    yield from _core_fill_use(layout, system, section, units)
    yield from _pipe_uses(layout, section, units)
    yield from _pad_fabric_use(layout, section, units)
    yield from _fabric_use(layout, section, units)
    yield from _adhesive_use(layout, section, units)


def reinforcement_use(
    layout: WallLayout,
    wanted: WallReinforcement,
    laid: Sequence[LaidLayer],
    roll_width_m: float,
    units: UnitSet,
) -> Use:
    """The sheets of one wall: area in place, and the pieces to cut."""
    width = units.show(roll_width_m, "length")
    area = math.fsum(each.area_m2 for each in laid)
    layers = _by_words([(each.course, _layer_words(each, width, units)) for each in laid])
    words = (
        f"soil reinforcement in pieces {width} wide, the length of the roll across the wall, "
        f"without laps in that direction: {'; '.join(layers)}; {units.show(area, 'area')} in place"
    )
    if any(each.overlap_m2 or each.bends for each in laid):
        soil = units.show(wanted.soil_between_m, "length", units.small_length)
        words += f"; {soil} of soil between sheets that overlap"
    cuts = tuple((each.layer.length_m, sum(each.pieces)) for each in laid)
    return replace(_use(layout, wanted.item, REINFORCEMENT, area, words), cuts=cuts)


def _layer_words(laid: LaidLayer, roll_width: str, units: UnitSet) -> str:
    """What one layer takes, leg by leg."""
    layer = laid.layer
    length, start, end = (
        units.show(value, "length") for value in (layer.length_m, layer.from_m, layer.to_m)
    )
    widths = " + ".join(units.show(value, "length") for value in laid.widths_m)
    words = (
        f"{length} from the face into the soil, station {start} to {end}, {widths} to cover / "
        f"{roll_width}: {' + '.join(str(count) for count in laid.pieces)} pieces, "
        f"{units.show(laid.area_m2, 'area')}"
    )
    if laid.overlap_m2:
        overlap = units.show(laid.overlap_m2, "area")
        words += f" with {overlap} of overlap, as both legs run to the outside corner"
    if laid.carried_m2:
        carried = units.show(laid.carried_m2, "area")
        words += f" with {carried} of one leg carried on behind the other at the inside corner"
    return words


def _by_words(layers: Sequence[tuple[int, str]]) -> Iterator[str]:
    """`under courses 3, 6: ...` of layers that take the same, one after another."""
    for words, group in groupby(layers, key=lambda pair: pair[1]):
        courses = [str(course) for course, _ in group]
        each = "each " if len(courses) > 1 else ""
        yield f"under course{'s' if each else ''} {', '.join(courses)}: {each}{words}"


def cap_length_m(layout: WallLayout) -> float:
    """Capped length, returns included."""
    return math.fsum(cap.length_m for cap in layout.caps)


def unit_counts(layout: WallLayout) -> tuple[int, int, int]:
    """Standard units, corner units and caps of a wall, before waste."""
    runs = [run for course in layout.courses for run in course.runs]
    return (
        sum(run.standard_units for run in runs),
        sum(run.corner_units for run in runs),
        sum(cap.units for cap in layout.caps),
    )


def _use(layout: WallLayout, item: str, kind: UseKind, amount: float, words: str) -> Use:
    return Use(wall=layout.name, item=item, kind=kind, amount=amount, how=f"{layout.name}: {words}")


def _unit_uses(layout: WallLayout, system: WallSystem) -> Iterator[Use]:
    standard, corners, caps = unit_counts(layout)
    words = _course_words(layout.courses, lambda run: run.standard_units)
    yield replace(
        _use(layout, system.standard.item, STANDARD, standard, words), unit=system.standard
    )
    if system.corner:
        words = _course_words(layout.courses, lambda run: run.corner_units)
        yield replace(_use(layout, system.corner.item, CORNER, corners, words), unit=system.corner)
    if system.cap:
        runs = " + ".join(str(cap.units) for cap in layout.caps)
        words = f"caps in {len(layout.caps)} runs: {runs} = {caps}"
        words = words if len(layout.caps) > 1 else f"caps in one run: {caps}"
        yield replace(_use(layout, system.cap.item, CAP, caps, words), unit=system.cap)


def _course_words(courses: tuple[Course, ...], count: Callable[[Run], int]) -> str:
    """`courses 1 to 6: 6 x 27, course 7: 14; 176 in all`."""
    counts = [(course.number, sum(count(run) for run in course.runs)) for course in courses]
    words = []
    for pieces, group in groupby(counts, key=lambda pair: pair[1]):
        numbers = [number for number, _ in group]
        if len(numbers) == 1:
            words.append(f"course {numbers[0]}: {pieces}")
        else:
            words.append(f"courses {numbers[0]} to {numbers[-1]}: {len(numbers)} x {pieces}")
    return f"{', '.join(words)}; {sum(pieces for _, pieces in counts)} in all"


def _pad_use(layout: WallLayout, section: Section, units: UnitSet) -> Use:
    pad = section.leveling_pad
    strip = leveling_pad(layout, pad)
    rear = layout.system.standard.depth_m + pad.rear_extension_m + pad.overdig_m
    width = units.show(pad.front_extension_m + rear, "length", units.small_length)
    thickness = units.show(strip.thickness_m, "length", units.small_length)
    words = f"pad strip {width} wide, {units.show(strip.area_m2, 'area')} in plan, x {thickness}"
    return _use(layout, pad.item, PAD, strip.volume_m3, _with_volume(words, strip.volume_m3, units))


def _drainage_use(layout: WallLayout, section: Section, units: UnitSet) -> Use:
    volumes = drainage_by_course(layout, section.drainage)
    parts = ", ".join(
        f"course {course}: {units.show(volume, 'volume', units.small_volume)}"
        for course, volume in volumes.items()
    )
    width = units.show(section.drainage.width_m, "length", units.small_length)
    words = f"drainage stone {width} wide behind the units, {parts}"
    total = math.fsum(volumes.values())
    return _use(layout, section.drainage.item, DRAINAGE, total, _with_volume(words, total, units))


def _core_fill_use(
    layout: WallLayout, system: WallSystem, section: Section, units: UnitSet
) -> Iterator[Use]:
    if section.core_fill_item is None:
        return
    pieces = zip(unit_counts(layout), (system.standard, system.corner, system.cap), strict=True)
    filled = [(count, unit) for count, unit in pieces if unit and unit.void_m3 and count]
    words = "core fill " + " + ".join(
        f"{count} x {units.show(unit.void_m3, 'volume', units.small_volume)} in {unit.item}"
        for count, unit in filled
    )
    total = math.fsum(count * unit.void_m3 for count, unit in filled)
    words = _with_volume(words, total, units)
    yield _use(layout, section.core_fill_item, CORE_FILL, total, words)


def _with_volume(words: str, volume_m3: float, units: UnitSet) -> str:
    small = units.show(volume_m3, "volume", units.small_volume)
    total = units.show(volume_m3, "volume")
    return f"{words} = {small}" + (f" = {total}" if total != small else "")


def _pipe_uses(layout: WallLayout, section: Section, units: UnitSet) -> Iterator[Use]:
    if section.pipe is None:
        return
    pipe, run = section.pipe, drain_pipe(layout, section.pipe)
    words = f"rear line of the base course {units.show(run.length_m, 'length')}"
    yield _use(layout, pipe.item, PIPE, run.length_m, words)
    reason = "one for each low stretch of base"
    if run.by_spacing >= run.low_stretches:
        reason = f"one for each {units.show(pipe.outlet_spacing_m, 'length')} begun"
    length = run.outlets * pipe.outlet_length_m
    each, total = (units.show(value, "length") for value in (pipe.outlet_length_m, length))
    words = f"outlets, {reason}: {run.outlets} x {each} = {total}"
    yield _use(layout, pipe.outlet_item, OUTLET, length, words)


def _pad_fabric_use(layout: WallLayout, section: Section, units: UnitSet) -> Iterator[Use]:
    """Fabric between the pad's stone and the ground: its underside and both its long sides."""
    pad = section.leveling_pad
    if pad.fabric is None:
        return
    under, sides = leveling_pad(layout, pad).area_m2, pad_sides_m2(layout, pad)
    parts = [units.show(value, "area") for value in (under, sides, under + sides)]
    words = f"under the pad {parts[0]} + up both its sides {parts[1]} = {parts[2]}"
    yield _use(layout, pad.fabric, FABRIC, under + sides, words)


def _fabric_use(layout: WallLayout, section: Section, units: UnitSet) -> Iterator[Use]:
    fabric = section.filter_fabric
    if fabric is None:
        return
    face, laps = fabric_area_m2(layout, section.drainage, fabric)
    lap = units.show(fabric.lap_m, "length", units.small_length)
    face_words, lap_words, total = (
        units.show(value, "area") for value in (face, laps, face + laps)
    )
    words = (
        f"rear face of the drainage stone {face_words} + laps of {lap} "
        f"at top and bottom {lap_words} = {total}"
    )
    yield _use(layout, fabric.item, FABRIC, face + laps, words)


def _adhesive_use(layout: WallLayout, section: Section, units: UnitSet) -> Iterator[Use]:
    glue = section.cap_adhesive
    if glue is None or not layout.caps:
        return
    length = cap_length_m(layout)
    amount = glue.beads * length / glue.yield_m
    caps, each = (units.show(value, "length") for value in (length, glue.yield_m))
    words = f"{glue.beads} beads x {caps} of caps / {each} a piece = {number(amount, 6)}"
    yield _use(layout, glue.item, ADHESIVE, amount, words)
