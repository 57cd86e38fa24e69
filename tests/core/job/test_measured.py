"""The list of what work can be measured by is that of those who measure."""

from __future__ import annotations

from typing import get_args

import pytest

from service.core.job.measured import MEASURED, Step, measured_at, measured_dimension


def test_measured_at_shares_the_list_out() -> None:
    """Every quantity is measured at one step, and no other is."""
    steps = get_args(Step)
    assert sorted(name for step in steps for name in measured_at(step)) == sorted(MEASURED)


@pytest.mark.parametrize(
    ("ending", "dimension"),
    [("_length", "length"), ("_area", "area"), ("_volume", "volume"), ("_mass", "mass")],
)
def test_measured_dimension_is_that_of_the_name(ending: str, dimension: str) -> None:
    """A name says what is measured; loads are loads, and all else is counted."""
    named = [name for name in MEASURED if name.endswith(ending)]
    assert named
    assert {measured_dimension(name) for name in named} == {dimension}


def test_measured_dimension_counts_the_rest() -> None:
    """What is no length, area, volume or mass comes by the load or by the piece."""
    endings = ("_length", "_area", "_volume", "_mass")
    rest = [name for name in MEASURED if not name.endswith(endings)]
    loads = [name for name in rest if name.endswith("_loads")]
    assert {name: measured_dimension(name) for name in rest} == {
        name: "load" if name in loads else "count" for name in rest
    }
