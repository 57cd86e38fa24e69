"""Measurements and slopes as text into SI floats, and back."""

from service.units.measure import (
    LARGEST_SI,
    LONGEST_TEXT,
    PLACES,
    VALUE_PATTERN,
    measure_pattern,
    nearest_writing,
    parse_measure,
    publish_measure,
    read_amount,
    read_units,
)
from service.units.refusal import MeasurementInvalidError, found
from service.units.slope import LONGEST_SLOPE, SLOPE_EXAMPLES, SLOPE_PATTERN, parse_slope
from service.units.symbols import DIMENSIONS, EXAMPLES, MeasureDimension

__all__ = [
    "DIMENSIONS",
    "EXAMPLES",
    "LARGEST_SI",
    "LONGEST_SLOPE",
    "LONGEST_TEXT",
    "PLACES",
    "SLOPE_EXAMPLES",
    "SLOPE_PATTERN",
    "VALUE_PATTERN",
    "MeasureDimension",
    "MeasurementInvalidError",
    "found",
    "measure_pattern",
    "nearest_writing",
    "parse_measure",
    "parse_slope",
    "publish_measure",
    "read_amount",
    "read_units",
]
