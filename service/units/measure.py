"""Measurements as text or `{"value", "unit"}` into SI floats, and back.

A bounded pattern reads the text and a closed table names the units.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import lru_cache

from service.core.measure import UNITS, Unit, number
from service.units.factor import EXACT, factor
from service.units.refusal import MeasurementInvalidError, found
from service.units.rewriting import rewritten
from service.units.symbols import DIMENSIONS, EXAMPLES, NAMES, READ, MeasureDimension

LONGEST_TEXT = 40
PLACES = 12  # digits before the point, and after it
LARGEST_SI = 1e9


_WHOLE = rf"[0-9]{{1,{PLACES}}}"
_NUMBER = rf"{_WHOLE}(?:\.{_WHOLE})?"
_UNDER_12 = r"(?:[0-9]|1[01])"
# Proper fractions as a tape has them, down to 1/64.
_TAPE = (
    r"(?:1/2|[13]/4|[1-7]/8|(?:[1-9]|1[0-5])/16|(?:[1-9]|[12][0-9]|3[01])/32"
    r"|(?:[1-9]|[1-5][0-9]|6[0-3])/64)"
)
_FEET_AND_INCHES = (
    rf"({_WHOLE}) ft (?:({_UNDER_12}(?:\.{_WHOLE})?)|(?:({_UNDER_12}) )?({_TAPE})) in"
)
_FRACTION = rf"(?:({_WHOLE}) )?({_TAPE}) (in|ft|yd)"
VALUE_PATTERN = rf"^-?{_NUMBER}$"


def read_units(dimension: MeasureDimension) -> tuple[str, ...]:
    """Unit symbols that are read for a dimension."""
    return tuple(READ[dimension])


def measure_pattern(dimension: MeasureDimension, *, signed: bool = True) -> str:
    """The pattern of a measurement's text, as it is checked and as schemas publish it."""
    forms = [_FEET_AND_INCHES, _FRACTION] if dimension == "length" else []
    forms.append(_figure_pattern(dimension))
    return rf"^({'-?' if signed else ''})(?:{'|'.join(forms)})$"


def _figure_pattern(dimension: MeasureDimension) -> str:
    units = "|".join(re.escape(symbol) for symbol in READ[dimension])
    return rf"({_NUMBER}) ({units})"


# What most measurements are, found twice as fast as among the forms of a tape.
_FIGURES = {
    dimension: re.compile(f"(-?){_figure_pattern(dimension)}", re.ASCII) for dimension in DIMENSIONS
}
_PATTERNS = {
    dimension: re.compile(measure_pattern(dimension), re.ASCII) for dimension in DIMENSIONS
}
_VALUE = re.compile(VALUE_PATTERN, re.ASCII)
_AMOUNT = re.compile(rf"({_NUMBER}) ({'|'.join(UNITS)})", re.ASCII)


def parse_measure(value: object, dimension: MeasureDimension) -> float:
    """A measurement in SI (m, m2, m3, kg, kg/m3, Pa, N/m3, N/m, rad), the float nearest to its
    exact value. `value` is text with a unit or `{"value", "unit"}`.

    Raises MeasurementInvalidError for everything else, bare numbers included.
    """
    if isinstance(value, str):
        if len(value) > LONGEST_TEXT:
            raise _refused(value, dimension, f"is longer than {LONGEST_TEXT} characters")
        return _parse_text(value, dimension)
    if isinstance(value, Mapping):
        return _parse_pair(value, dimension)
    if isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
        why = f"is a bare number; {NAMES[dimension]} needs a unit"
        raise _with_a_unit(value, _refused(value, dimension, why), dimension)
    raise _refused(value, dimension, f"is not {NAMES[dimension]}")


def read_amount(value: object) -> tuple[Decimal, Unit]:
    """An amount in the unit in which something is sold, such as `"0.5 ton"` or `"50 ft"`: the
    exact figure, never negative, and the core's unit.

    Raises MeasurementInvalidError.
    """
    text = value
    if isinstance(value, Mapping) and set(value) == {"value", "unit"}:
        exact, unit = _pair_value(value["value"]), value["unit"]
        text = f"{exact:f} {unit}" if exact is not None and isinstance(unit, str) else None
    match = None
    if isinstance(text, str) and len(text) <= LONGEST_TEXT:
        match = _AMOUNT.fullmatch(text)
    if match is None:
        message = f'{found(value)} is not an amount with a unit; write it like "0.5 ton" or "50 ft"'
        raise MeasurementInvalidError(message, f"units: {' '.join(UNITS)}")
    return Decimal(match[1]), UNITS[match[2]]


def publish_measure(value: float, dimension: MeasureDimension, symbol: str) -> dict[str, str]:
    """An SI value as it comes out: `{"value": "12.5", "unit": "ft"}`."""
    return {"value": number(value / float(factor(dimension, symbol))), "unit": symbol}


@lru_cache(maxsize=8192)
def _parse_text(text: str, dimension: MeasureDimension) -> float:
    # `fullmatch` leaves no newline over, as `$` would.
    if figure := _FIGURES[dimension].fullmatch(text):
        sign, plain, unit = figure.groups()
        exact = _worth(Decimal(plain), dimension, unit)
    elif tape := _PATTERNS[dimension].fullmatch(text):
        sign, *figures, _, _ = tape.groups()
        exact = _tape_length(figures)
    else:
        raise _unread(text, dimension)
    return _nearest(text, dimension, exact, negative=bool(sign))


def _worth(figure: Decimal, dimension: MeasureDimension, symbol: str) -> Decimal:
    return EXACT.multiply(figure, factor(dimension, symbol))


def _tape_length(figures: list[str | None]) -> Decimal:
    """A length in metres as a tape has it, from the groups of its pattern."""
    feet, inches, inches_whole, inches_tape, whole, tape, unit = figures
    if feet is None:
        return _worth(_mixed(whole, tape), "length", unit or "")
    figure = Decimal(inches) if inches else _mixed(inches_whole, inches_tape)
    return EXACT.add(_worth(Decimal(feet), "length", "ft"), _worth(figure, "length", "in"))


def _mixed(whole: str | None, fraction: str | None) -> Decimal:
    top, _, bottom = (fraction or "0/1").partition("/")
    return Decimal(whole or 0) + Decimal(top) / Decimal(bottom)


def _parse_pair(value: Mapping[object, object], dimension: MeasureDimension) -> float:
    if set(value) != {"value", "unit"}:
        raise _refused(value, dimension, 'needs the keys "value" and "unit" and no others')
    unit, exact = value["unit"], _pair_value(value["value"])
    if exact is None:
        raise _refused(
            value["value"],
            dimension,
            "is not a number of at most 12 + 12 digits",
        )
    if not isinstance(unit, str) or unit not in READ[dimension]:
        raise _refused(unit, dimension, f"is not a unit that is read for {NAMES[dimension]}")
    worth = _worth(exact.copy_abs(), dimension, unit)
    return _nearest(value, dimension, worth, negative=exact.is_signed())


def _pair_value(value: object) -> Decimal | None:
    """The number of a pair, exactly, or None: as JSON number or as the text that came out."""
    if isinstance(value, str):
        sound = len(value) <= LONGEST_TEXT and _VALUE.fullmatch(value)
        return Decimal(value) if sound else None
    if isinstance(value, bool) or not isinstance(value, (int, float, Decimal)):
        return None
    if isinstance(value, int) and abs(value) >= 10**PLACES:
        return None
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not exact.is_finite() or (exact and exact.adjusted() >= PLACES):
        return None
    exponent = exact.as_tuple().exponent
    return exact if isinstance(exponent, int) and -PLACES <= exponent <= PLACES else None


def _nearest(
    given: object, dimension: MeasureDimension, exact: Decimal, *, negative: bool
) -> float:
    size = float(exact)
    if size > LARGEST_SI:
        raise _refused(given, dimension, "is larger than anything that is built")
    return -size if negative and size else size


def nearest_writing(text: str, dimensions: Iterable[MeasureDimension]) -> str | None:
    """The nearest right writing of a measurement of any of these dimensions, if one is near."""
    return rewritten(text, tuple(_PATTERNS[dimension] for dimension in dimensions))


def _unread(text: str, dimension: MeasureDimension) -> MeasurementInvalidError:
    """Why text doesn't match: another dimension's unit, an unknown unit, or the form."""
    symbol = text.rpartition(" ")[2]
    for other in DIMENSIONS:
        if symbol in READ[other] and _PATTERNS[other].fullmatch(text):
            return _refused(text, dimension, f"is {NAMES[other]}, not {NAMES[dimension]}")
    if _VALUE.fullmatch(text):
        return _with_a_unit(text, _refused(text, dimension, "has no unit"), dimension)
    refused = _refused(text, dimension, f"can't be read as {NAMES[dimension]}")
    near = rewritten(text, (_PATTERNS[dimension],))
    return refused.hinting(f'did you mean "{near}"?') if near else refused


def _with_a_unit(
    value: object, refused: MeasurementInvalidError, dimension: MeasureDimension
) -> MeasurementInvalidError:
    """The refusal of a bare figure, with how it is written in the unit of the first example."""
    figure = _pair_value(value)
    if figure is None:
        return refused
    unit = EXAMPLES[dimension][0].rpartition(" ")[2] if dimension != "length" else "ft"
    return refused.hinting(f'such as "{figure:f} {unit}"; {refused.hint}')


def _refused(value: object, dimension: MeasureDimension, why: str) -> MeasurementInvalidError:
    shown = " or ".join(f'"{example}"' for example in EXAMPLES[dimension])
    units = " ".join(READ[dimension])
    return MeasurementInvalidError(
        f"{found(value)} {why}; write it like {shown}",
        f"one space before the unit, a point for decimals; units read here: {units}",
    )
