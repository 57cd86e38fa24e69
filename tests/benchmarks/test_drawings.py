"""CPU of a drawing against that of its quote, side by side in one run."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from functools import partial

import pytest

from service.core.quote import quote
from service.operations.quoting.quote import prepare_document
from tests.given.catalogs import shipped_catalog
from tests.given.drawn import DRAW, WALLS, requested, writing_of

ROUNDS = 5


def seconds(work: Callable[[], object]) -> float:
    """CPU of one run."""
    start = time.process_time()
    work()
    return time.process_time() - start


@pytest.mark.parametrize(("name", "most"), [("straight", 1.0), ("falling", 1.0), ("long", 2.0)])
def test_a_drawing_costs_no_more_than_its_quote(name: str, most: float) -> None:
    """Each SVG takes at most as long as the quote it is drawn from, to 60 ft; twice at 300 ft."""
    prepared = prepare_document(requested(WALLS[name]), shipped_catalog())
    found = quote(prepared.job, prepared.prices)
    quoting = partial(quote, prepared.job, prepared.prices)
    writing = writing_of(found)
    for kind, draw in DRAW.items():
        drawing = partial(draw, found, writing, None)
        drawing()
        ratio = statistics.median(seconds(drawing) / seconds(quoting) for _ in range(ROUNDS))
        print(f"{name} {kind}: {ratio:.3f} of its quote")  # noqa: T201  a chore that tells
        assert ratio <= most, kind
