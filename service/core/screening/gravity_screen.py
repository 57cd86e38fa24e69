"""A wall as a plain stack of units: rule 14, at every distinct section.

A first look, never a design. Passive resistance, ground beside the base and the vertical part of
the thrust are left out, all on the safe side.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from service.core.job.basis import CheckName
from service.core.screening.check import Check, Finding, Named, holds, judge, not_checked, worst
from service.core.screening.check_row import StackFormula
from service.core.screening.check_table import CHECK_TABLE
from service.core.screening.formulas.earth_pressure import PressureLimitError
from service.core.screening.stack_case import StackCase, StackSetting
from service.core.screening.stack_checks import factors_in_words, loads_in_words
from service.core.screening.wall_section import Loading, WallSection, distinct

TOO_STEEP = "the slope behind is steeper than the soil's friction angle: no such slope stands"
NO_SOIL = "soil behind: back grade is nowhere above the base"
STACK_ROWS = tuple((row, row.stack) for row in CHECK_TABLE.values() if row.stack)


def screen_gravity(
    sections: Sequence[WallSection],
    ground: StackSetting,
    wall: str,
    assumed: Mapping[CheckName, tuple[str, ...]],
) -> tuple[Check, ...]:
    """All checks of a plain stack, each from its governing section.

    `assumed` are the defaults each check rests on. A check that the basis has no figure for, or
    that lacks data, is not checked and says what is missing.
    """
    held = [_stood(section, ground) for section in distinct(sections) if section.soil_m > 0]
    return tuple(
        _check(row, formula, held, ground, wall, assumed.get(row.name, ()))
        for row, formula in _asked(ground)
    )


@dataclass(frozen=True, slots=True)
class _Stood:
    """A section, and its stack; None where the slope behind it doesn't stand."""

    section: WallSection
    case: StackCase | None


def _stood(section: WallSection, ground: StackSetting) -> _Stood:
    try:
        return _Stood(section, ground.case(section))
    except PressureLimitError:
        return _Stood(section, None)


def _asked(ground: StackSetting) -> Iterator[tuple[Named, StackFormula]]:
    """The checks that apply."""
    return ((row, formula) for row, formula in STACK_ROWS if formula.applies(ground))


def _check(
    row: Named,
    formula: StackFormula,
    held: Sequence[_Stood],
    ground: StackSetting,
    wall: str,
    assumed: tuple[str, ...],
) -> Check:
    required = ground.basis.required(row.name, reinforced=False)
    source = required.source if required else ground.basis.source
    if required is None:
        lacks = f"a limit: the basis {ground.basis.id} has none for {row.name} of a plain stack"
        return not_checked(row, wall, [lacks], source)
    if not held:
        return not_checked(row, wall, [NO_SOIL], source)
    if missing := formula.missing(ground):
        return not_checked(row, wall, [missing], source)
    found = [(_finding(row, formula, each, ground), each) for each in held]
    governing = worst([finding for finding, _ in found])
    stood = next(each for finding, each in found if finding is governing)
    told = replace(governing, told=partial(_how, formula, stood, ground))
    return judge(told, required, wall, "gravity", assumed)


def _finding(row: Named, formula: StackFormula, stood: _Stood, ground: StackSetting) -> Finding:
    station_m = stood.section.station_m
    if stood.case is None:
        return Finding(check=row, station_m=station_m, value=row.worst_value)
    return Finding(
        check=row,
        station_m=station_m,
        value=formula.figure(stood.case),
        missing=formula.left_open(ground),
    )


def _how(formula: StackFormula, stood: _Stood, ground: StackSetting) -> tuple[str, ...]:
    """The arithmetic of a check at a section."""
    if stood.case is None:
        return (TOO_STEEP,)
    words = (loads_in_words(stood.case), formula.words(stood.case))
    return (*words, *factors_in_words(ground.basis.factors))


def tallest_courses(ground: StackSetting, loads: Sequence[Loading], most: int) -> int:
    """Courses of the tallest plain stack that passes every check with soil up to its top, under
    each of these loadings.

    Information only. Level ground in front, no depth of burial; 0 where not even one passes.
    """
    courses = 0
    while courses < most and _passes(ground, loads, courses + 1):
        courses += 1
    return courses


def _passes(ground: StackSetting, loads: Sequence[Loading], courses: int) -> bool:
    height = courses * ground.system.standard.height_m
    return not any(
        fails_as_stack(
            WallSection(station_m=0.0, base=0, top_joint=courses, soil_m=height, load=load), ground
        )
        for load in loads
    )


def fails_as_stack(section: WallSection, ground: StackSetting) -> bool:
    """Whether any check of a plain stack fails at a section, where soil stands behind it."""
    if section.soil_m <= 0:
        return False
    stood = _stood(section, ground)
    return any(
        not holds(_finding(row, formula, stood, ground), required)
        for row, formula in _asked(ground)
        if (required := ground.basis.required(row.name, reinforced=False))
        and not formula.missing(ground)
    )
