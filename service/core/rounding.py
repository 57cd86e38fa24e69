"""Every ceiling and every quantisation rule of the service. Nobody else rounds.

Lengths closer than `CLOSE_M` (0.001 in, rule 16.1) to a whole number of units are
whole; levels and joints that close are equal; stretches shorter than that don't exist.
"""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Context, Decimal

from service.core.fraction import Fraction

Exact = Decimal | Fraction

CLOSE_M = 0.0000254
# A count of sold increments closer than this to a whole number is whole: floats from exact
# inputs err by far less, and no yard sells a ten-millionth of an increment.
CLOSE_SHARE = 1e-7
ANGLE_DIGITS = 9

EXACT = Context(prec=60, Emax=999, Emin=-999)

HALF_DAY = Decimal("0.5")
HOUR_STEP = Decimal("0.01")
EXPECTED_DAY_STEP = Decimal("0.01")
MARGIN_STEP = Decimal("0.0001")
CHOICE_COST_STEP = Decimal("0.01")
RATIO_STEP = Decimal("0.0001")
UNIT_COST_STEP = Decimal("0.000001")
WORKED_SHARE_STEP = Decimal("0.000001")


NO_WASTE = Decimal(0)


def whole_units(length_m: float, unit_length_m: float) -> int:
    """Units that cover a length, rounded up, never below 0 (rule 6.1)."""
    return max(0, math.ceil((length_m - CLOSE_M) / unit_length_m))


def whole_courses(height_m: float, course_height_m: float) -> int:
    """Courses that fit into a height, at least 1; nearly a whole course is one."""
    return max(1, math.floor(height_m / course_height_m + CLOSE_SHARE))


def nearest_joint(height_m: float, course_height_m: float) -> int:
    """Number of the joint at a height that is one, but for float noise."""
    return round(height_m / course_height_m)


def joints_between(low_m: float, high_m: float, course_height_m: float) -> range:
    """Numbers of the joints from one height to another, both counted."""
    return range(math.ceil(low_m / course_height_m), math.floor(high_m / course_height_m) + 1)


def same_lengths(length_m: float) -> int:
    """A number that lengths share which differ by float noise alone."""
    return round(length_m / CLOSE_M)


def same_angles(angle_rad: float) -> float:
    """An angle without its float noise."""
    return round(angle_rad, ANGLE_DIGITS)


def joint_at_or_above(height_m: float, course_height_m: float) -> int:
    """Number of the lowest joint at or above a height over the datum."""
    return math.ceil((height_m - CLOSE_M) / course_height_m)


def joint_at_or_below(height_m: float, course_height_m: float) -> int:
    """Number of the highest joint at or below a height over the datum."""
    return math.floor((height_m + CLOSE_M) / course_height_m)


def whole_pieces(net: float, waste: Decimal) -> int:
    """Pieces with waste, rounded up once: ceil(net x (1 + waste)).

    A whole `net` is multiplied exactly, so that 40 x 1.05 is 42 and not 43.
    """
    exact = EXACT.multiply(Decimal(repr(net)), 1 + waste)
    nearest = exact.to_integral_value(ROUND_HALF_UP)
    if abs(exact - nearest) <= Decimal(repr(CLOSE_SHARE)):
        return int(nearest)
    return int(exact.to_integral_value(ROUND_CEILING))


def whole_increments(amount: float, increment: Decimal) -> Decimal:
    """An order rounded up to what the yard sells: the one step from float to Decimal."""
    count = amount / float(increment)
    return increment * math.ceil(count - CLOSE_SHARE * max(1.0, abs(count)))


def whole_lots(pieces: int, lot: Decimal) -> int:
    """Pieces rounded up to lots in which alone they are sold."""
    return int(whole_increments(float(pieces), lot))


def whole_packs(pieces: float, pieces_per_pack: float) -> int:
    """Packs (pallets, rolls, bags, lengths, loads) that hold an amount, rounded up."""
    count = pieces / pieces_per_pack
    return math.ceil(count - CLOSE_SHARE)


def whole_chunks(count: int, chunk_size: int) -> int:
    """Chunks of at most some size that hold so many."""
    return -(-count // chunk_size)


def whole_cuts(roll_length_m: float, piece_length_m: float) -> int:
    """Whole pieces that can be cut from a roll, never below 0."""
    return max(0, math.floor((roll_length_m + CLOSE_M) / piece_length_m))


def compared_m(length_m: float) -> float:
    """A length that is compared with others: those that differ by nothing are one."""
    return round(length_m / CLOSE_M) * CLOSE_M


def days_begun(days: Exact) -> int:
    """Days that work of some length begins: every day begun is a whole one."""
    return math.ceil(days)


def day_number(days: Exact) -> int:
    """The day on which something begins after so many days of work, counted from 1."""
    return math.floor(days) + 1


def half_day_number(days: Exact) -> int:
    """The half day in which something begins after so many days of work, counted from 0."""
    steps, parts = _in_steps(days, HALF_DAY)
    return steps // parts


def half_days_begun(days: Exact) -> int:
    """Half days that work of some length begins."""
    steps, parts = _in_steps(days, HALF_DAY)
    return -(-steps // parts)


def day_of_half(half_day: int) -> int:
    """The day in which a half day lies, both counted from 0."""
    return half_day // 2


def expected_days(value: Exact) -> Decimal:
    """An expected number of days to 0.01, half up."""
    return _half_up(value, EXPECTED_DAY_STEP)


def whole_stretches(length_m: float, shortest_m: float) -> int:
    """How many stretches of at least the shortest length a length can be cut into, at least 1."""
    return max(1, math.floor((length_m + CLOSE_M) / shortest_m))


def tape_mark(length_m: float, mark_m: float, *, up: bool) -> float:
    """The nearest mark of a tape at or beyond a length, upward or downward."""
    return mark_m * (math.ceil if up else math.floor)(length_m / mark_m)


def whole_weeks(days: int, days_of_week: int) -> int:
    """Weeks of so many days that some days hold."""
    return days // days_of_week


def half_days_up(days: Exact) -> Decimal:
    """Crew days rounded up to half days."""
    return EXACT.multiply(HALF_DAY, Decimal(half_days_begun(days)))


def hours(value: Exact) -> Decimal:
    """Task hours to 0.01 h, half up, before they are priced."""
    return _half_up(value, HOUR_STEP)


def margin(value: Exact) -> Decimal:
    """A margin to four decimals, half up."""
    return _half_up(value, MARGIN_STEP)


def choice_cost(value: Exact) -> Decimal:
    """What machines were chosen by, to 0.01, half up, for reading; exact figures are compared."""
    return _half_up(value, CHOICE_COST_STEP)


def percent(share: float) -> Decimal:
    """A share as it is told in words: to a tenth of a percent."""
    return _half_up(Fraction(share) * 100, Decimal("0.1"))


def unit_cost(value: Exact) -> Decimal:
    """A computed unit cost to six decimals, half up."""
    return _half_up(value, UNIT_COST_STEP)


def worked_share(minutes_per_hour: Decimal) -> Decimal:
    """The worked part of an hour, rounded up to six places: 50 of 60 minutes is 0.833334, so that
    a day that just fits never costs another half."""
    count = math.ceil(Fraction(minutes_per_hour) / 60 / Fraction(WORKED_SHARE_STEP))
    return EXACT.multiply(WORKED_SHARE_STEP, Decimal(count))


def to_step(value: Exact, step: Decimal) -> Decimal:
    """The nearest multiple of a step that the caller chose, half up."""
    return _half_up(value, step)


def minor_unit(value: Exact, places: int) -> Decimal:
    """Money to the currency's minor unit, half up."""
    return _half_up(value, Decimal(1).scaleb(-places))


def cut_down(units: int, parts: int) -> tuple[int, int]:
    """Whole units in each of so many parts, toward minus infinity (first step of spreading), and
    what is left over."""
    return divmod(units, parts)


def minor_units(amount: Exact, places: int) -> int:
    """Money in its currency's places as a whole number of minor units."""
    units, parts = _in_steps(amount, Decimal(1).scaleb(-places))
    return units // parts if units >= 0 else -(-units // parts)


def bound_in_minor_units(bound: Decimal, places: int, *, up: bool) -> int:
    """The least (`up`) or largest number of minor units inside a bound on money."""
    units, parts = _in_steps(bound, Decimal(1).scaleb(-places))
    return -(-units // parts) if up else units // parts


def _in_steps(value: Exact, step: Decimal) -> tuple[int, int]:
    """A value divided by a step above 0: a whole number, and by what it is to be divided."""
    up, down = value.as_integer_ratio()
    step_up, step_down = step.as_integer_ratio()
    return up * step_down, down * step_up


def _half_up(value: Exact, step: Decimal) -> Decimal:
    """The nearest multiple of a step; halves go away from zero. Quotients are taken as ratios,
    because a third cut to any number of digits could fall on the wrong side of a half."""
    steps, parts = _in_steps(value, step)
    count = (2 * abs(steps) + parts) // (2 * parts)
    return unsigned_zero(EXACT.multiply(step, Decimal(count if steps >= 0 else -count)))


def written(cost: Decimal, minor_places: int) -> Decimal:
    """A computed cost without trailing zeros, but with the places of its currency."""
    short = cost.normalize(EXACT)
    exponent = short.as_tuple().exponent
    places = -exponent if isinstance(exponent, int) else 0
    return EXACT.quantize(short, Decimal(1).scaleb(-max(places, minor_places)))


def unsigned_zero(value: Decimal) -> Decimal:
    """The same value; -0.00 becomes 0.00."""
    return abs(value) if value.is_zero() else value


def ratio_to_show(value: float, *, up: bool) -> str | None:
    """A ratio of a check to four decimals, toward the unsafe side's neighbor: down where it must
    reach a figure, up where it must not exceed one, so that 1.49999 never reads 1.5. None of an
    endless ratio (nothing pushes)."""
    if not math.isfinite(value):
        return None
    exact = Decimal(repr(value))
    near = exact.quantize(RATIO_STEP, ROUND_HALF_UP)
    if abs(exact - near) > Decimal(repr(CLOSE_SHARE)):
        near = exact.quantize(RATIO_STEP, ROUND_CEILING if up else ROUND_FLOOR)
    return format(unsigned_zero(near).normalize(), "f")
