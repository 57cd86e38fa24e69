"""Columns of measures, aligned by their decimal points."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import UnsetType

from service.cli.columns import aligned
from service.operations.answer_figures import Measure
from service.operations.readable import length_text, measure_parts


def measure_cells(measures: Iterable[Measure | UnsetType], *, exact: bool = False) -> list[str]:
    """A column of measures, for reading or exact; an absent one is an empty cell."""
    return aligned(
        ("", "") if isinstance(measure, UnsetType) else measure_parts(measure, exact=exact)
        for measure in measures
    )


def length_cells(lengths: Sequence[Measure]) -> list[str]:
    """A column of lengths as a tape reads."""
    return [length_text(length) for length in lengths]
