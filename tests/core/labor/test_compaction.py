"""What compacting takes of a machine, and what of the backfill is left for one (rule 18.14)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from service.core.job.measured import Measured
from service.core.job.soil import SoilKind
from service.core.labor.compaction import compaction_rate, measure_machine_backfill
from service.core.labor.fit import SiteLimits, misfit
from service.core.labor.output import rate_of_output
from service.core.measure import UNITS, US
from service.core.shares import Shares
from service.core.three_point import ThreePoint, one_figure
from tests.given.machines import PLATE, digger, machine_task, three


@pytest.mark.parametrize(
    ("kind", "soil", "layers"),
    [("granular", "granular soil", "4 in"), (None, "a soil of no stated kind", "3 in")],
)
def test_compaction_rate_says_of_which_soil(kind: SoilKind | None, soil: str, layers: str) -> None:
    """Where nobody said the kind, the layer is the thinnest of any: 3 in of silt."""
    found = compaction_rate(digger("plate", compaction=PLATE), kind, US)
    assert found is not None
    assert found[1].startswith(f"Plate, {soil}: 1.75 ft wide x 70.4 ft a minute x 60 x layers of")
    assert f"layers of {layers} x 0.75 / 4 passes" in found[1]


@pytest.mark.parametrize("compacts", [False, True])
def test_misfit_asks_for_the_soil_only_where_it_is_compacted(*, compacts: bool) -> None:
    """A plate doesn't compact clay; a task of stated hours that moves clay doesn't ask."""
    plate = digger("plate", compaction=PLATE)
    found = misfit(plate, machine_task(compacts=compacts), SiteLimits(soil_kind="clay"), US)
    assert (found.code if found else None) == ("soil-not-compacted" if compacts else None)


def test_measure_machine_backfill_leaves_what_hands_do_not_compact() -> None:
    """Of 10 m3 behind `a` half a cubic meter of the strip is beyond its stone; the stone of `b`
    fills its strip, and `c` has neither. Of half a cubic meter behind `d` its strip of one, with
    no stone in it, leaves nothing."""
    measured: dict[Measured, Shares] = {
        "hand_strip_volume": (("a", 3.0), ("b", 2.0), ("d", 1.0)),
        "drainage_volume": (("a", 2.5), ("b", 4.0)),
        "backfill_volume": (("a", 10.0), ("b", 10.0), ("c", 10.0), ("d", 0.5)),
    }
    assert measure_machine_backfill(measured)["machine_backfill_volume"] == (
        ("a", 9.5),
        ("b", 10.0),
        ("c", 10.0),
        ("d", 0.0),
    )


@pytest.mark.parametrize(
    ("output", "words"), [(one_figure(Fraction(10)), ""), (three("8", "10", "16"), " (8 to 16)")]
)
def test_rate_of_output_tells_a_range_where_there_is_one(output: ThreePoint, words: str) -> None:
    """Ten an hour, worked for three quarters of it, are 7.5."""
    found = rate_of_output(output, Fraction(3, 4), UNITS["yd3"])
    assert found[0].likely == Fraction(2, 15)
    assert found[1] == f"10 yd3 per h{words} x 0.75 worked = 7.5 yd3 per h"
