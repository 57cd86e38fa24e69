"""The checks of a plain stack at one section: each its figure, and what is divided by what."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from service.core.job.basis import LoadFactors
from service.core.measure import number
from service.core.rounding import percent
from service.core.screening.formulas import gravity
from service.core.screening.stack_case import StackCase, StackSetting

NO_FACTORS = LoadFactors()


def sliding(case: StackCase) -> float:
    """Friction under the base over the thrust."""
    friction = case.ground.soils.base_friction_rad
    return gravity.sliding(case.stack.weight_n_m, friction, case.pushed, case.factors)


def sliding_words(case: StackCase) -> str:
    """What is divided by what."""
    return f"{_mass(case)} x tan {_degrees(case.ground.soils.base_friction_rad)} / (soil + load)"


def overturning(case: StackCase) -> float:
    """Moment of the units over that of the thrust, about the toe."""
    weight, lever = case.stack.weight_n_m, case.stack.lever_m
    return gravity.overturning(weight, lever, case.pushed, case.section.soil_m, case.factors)


def overturning_words(case: StackCase) -> str:
    """What is divided by what."""
    lever = case.ground.units.show(case.stack.lever_m, "length")
    return f"{_mass(case)} x {lever} / ({_arms(case)})"


def eccentricity(case: StackCase) -> float:
    """How far before the middle of the base the load stands, over the base."""
    weight, lever, base = case.stack.weight_n_m, case.stack.lever_m, case.stack.depth_m
    return gravity.eccentricity(weight, lever, base, case.pushed, case.section.soil_m, case.factors)


def eccentricity_words(case: StackCase) -> str:
    """What is divided by what."""
    show = case.ground.units.show
    base, lever = show(case.stack.depth_m, "length"), show(case.stack.lever_m, "length")
    return f"({base} / 2 - {lever} + ({_arms(case)}) / {_mass(case)}) / {base}"


def bearing(case: StackCase) -> float:
    """What the ground bears over what the base presses on it."""
    footing = case.ground.footing(case.stack.depth_m)
    weight, lever = case.stack.weight_n_m, case.stack.lever_m
    return gravity.bearing(weight, lever, footing, case.pushed, case.section.soil_m, case.factors)


def bearing_words(case: StackCase) -> str:
    """What is divided by what."""
    show, footing = case.ground.units.show, case.ground.footing(case.stack.depth_m)
    return (
        f"{_mass(case)} on {show(case.stack.depth_m, 'length')} less twice the eccentricity, "
        f"spread by {show(footing.pad_m, 'length')} of pad, on ground of "
        f"{_degrees(footing.friction_rad)}, {show(footing.depth_m, 'length')} deep"
    )


def falling_ground(ground: StackSetting) -> tuple[str, ...]:
    """What a bearing check lacks: the capacity is that of level ground."""
    return ("bearing on ground that falls away in front",) if ground.front_slope > 0 else ()


def interface_shear(case: StackCase) -> float:
    """Strength of the weakest joint between two courses over the thrust above it."""
    return min(_shear_ratios(case), default=math.inf)


def interface_shear_words(_: StackCase) -> str:
    """What is divided by what."""
    return "the weakest joint between two courses: strength / thrust above it"


def untested_joints(ground: StackSetting) -> str | None:
    """What a check of the joints lacks without tests of the units."""
    if ground.system.interface is not None:
        return None
    return f"wall_systems/{ground.system.id}: interface, tested shear strength between units"


def hinge_height(case: StackCase) -> float:
    """Height whose weight reaches the lowest joint over that of the units."""
    hinge = case.stack.hinge_height_m
    return math.inf if hinge is None else hinge / case.stack.height_m


def hinge_height_words(case: StackCase) -> str:
    """What is divided by what."""
    show = case.ground.units.show
    hinge = show(case.stack.hinge_height_m or 0.0, "length")
    return f"hinge height {hinge} / {show(case.stack.height_m, 'length')} of units"


def leans_enough(ground: StackSetting) -> bool:
    """Whether the units lean so far that the basis looks at their hinge height."""
    return ground.stack(1).batter_rad > ground.basis.hinge_over_rad


def loads_in_words(case: StackCase) -> str:
    """Height, pressure, thrust and weight at one section."""
    show, stack = case.ground.units.show, case.stack
    line = partial(show, dimension="force_per_length")
    return (
        f"{case.section.courses} courses, soil {show(case.section.soil_m, 'length')} over their "
        f"underside, {_pushed_by(case)}: thrust of soil "
        f"{line(case.pushed.soil_n_m)}, of load {line(case.pushed.surcharge_n_m)}"
        f"{_of_tiers(case)}; {_mass(case)} {line(stack.weight_n_m)} at "
        f"{show(stack.lever_m, 'length')} from the toe"
    )


def _pushed_by(case: StackCase) -> str:
    """The coefficient of even ground; else the plane of the wedge, and the soils that it runs
    through by what stands on each."""
    if case.push.pressure is not None:
        return f"Ka {number(case.push.pressure.coefficient, 5)}"
    wedge = case.push.wedge
    words = f"the wedge over a plane of {_degrees(math.atan(wedge.plane))} pushes most"
    if case.ground.cut is None:
        return words
    native = percent(wedge.native_share)
    fill = 100 - native
    return f"{words}, {number(fill)} % of it on fill and {number(native)} % on retained soil"


def _of_tiers(case: StackCase) -> str:
    if not case.pushed.tiers_n_m:
        return ""
    shown = case.ground.units.show(case.pushed.tiers_n_m, "force_per_length")
    return f", of the wall above {shown}"


def factors_in_words(factors: LoadFactors) -> tuple[str, ...]:
    """Load and resistance factors, where the basis has some."""
    if factors == NO_FACTORS:
        return ()
    words = (
        f"factors: weight {number(factors.weight_low, 3)} to {number(factors.weight_high, 3)}, "
        f"soil {number(factors.soil, 3)}, load {number(factors.live, 3)}; of what resists: sliding "
        f"{number(factors.sliding, 3)}, bearing {number(factors.bearing, 3)}"
    )
    return (words,)


def _shear_ratios(case: StackCase) -> Iterator[float]:
    """Shear strength over thrust at every joint between two courses."""
    interface, stack = case.ground.system.interface, case.stack
    if interface is None:
        return
    for joint in range(1, stack.courses):
        yield gravity.interface_shear(
            interface.strength_n_m,
            interface.friction_rad,
            interface.most_n_m,
            case.ground.stack(stack.courses - joint).hinged_weight_n_m,
            case.push.over(joint * stack.course_height_m),
            case.factors,
        )


def _mass(case: StackCase) -> str:
    """What weighs."""
    return "units" if case.stack.cap is None else "units and cap"


def _arms(case: StackCase) -> str:
    """The overturning moment as forces and their arms."""
    show, height = case.ground.units.show, case.section.soil_m
    arm = show(case.pushed.arm_m(height), "length")
    return f"soil x {show(height / 3, 'length')} + load x {arm}"


def _degrees(angle_rad: float) -> str:
    return f"{number(math.degrees(angle_rad), 4)} deg"
