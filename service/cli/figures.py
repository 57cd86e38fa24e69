"""Measures of an answer as a table shows them: cut to the six digits of its arithmetic."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import UnsetType

from service.cli.columns import aligned
from service.core.measure import TRACE_DIGITS, number
from service.operations.answer_figures import Measure


def measure_cells(measures: Sequence[Measure | UnsetType]) -> list[str]:
    """A column of measures; an absent one is an empty cell."""
    return aligned(
        ("", "") if isinstance(measure, UnsetType) else (figure_text(measure.value), measure.unit)
        for measure in measures
    )


def measure_text(measure: Measure) -> str:
    """A measure with its unit."""
    return f"{figure_text(measure.value)} {measure.unit}"


def figure_text(value: str) -> str:
    """A figure in at most six significant digits; whole ones keep all of theirs."""
    return value if "." not in value else number(float(value), TRACE_DIGITS)
