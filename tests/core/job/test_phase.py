"""The table of phases: one row each, in the order of work."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.job.phase import (
    AFTER_WALLS,
    BEFORE_WALLS,
    DEFAULT_PHASE,
    OPEN_PHASES,
    PHASE_ROWS,
    PHASES,
    WALL_PHASES,
    PhaseRow,
    phases_of,
    table_of,
)

ROWS = tuple(PHASE_ROWS.values())


def test_phases_stand_in_the_order_of_work() -> None:
    """What comes down first, the lawn last; from rough cut to cap wall by wall."""
    assert BEFORE_WALLS == ("take_down",)
    assert WALL_PHASES == (
        "rough_cut",
        "trench_and_pad",
        "base_course",
        "backfill_base",
        "build_and_backfill",
        "cap",
    )
    assert AFTER_WALLS == ("grade", "topsoil_and_sod", "clean_up")
    assert (*BEFORE_WALLS, *WALL_PHASES, *AFTER_WALLS) == PHASES
    assert phases_of("after") == ("grade", "topsoil_and_sod", "clean_up")


def test_phases_of_an_open_trench_end_with_its_backfill() -> None:
    """A trench is open from the first shovel until the wall in it is built and backfilled."""
    assert OPEN_PHASES == ("trench_and_pad", "base_course", "backfill_base", "build_and_backfill")
    assert DEFAULT_PHASE in OPEN_PHASES


@pytest.mark.parametrize(
    "rows",
    [
        ROWS[:-1],
        (ROWS[1], ROWS[0], *ROWS[2:]),
        (replace(ROWS[0], part="after"), *ROWS[1:]),
        (*ROWS[:3], replace(ROWS[3], open_trench=False), *ROWS[4:]),
    ],
    ids=["a phase without a row", "another order", "a part twice", "a trench opened twice"],
)
def test_table_of_refuses_rows_that_are_no_order_of_work(rows: tuple[PhaseRow, ...]) -> None:
    """A phase that lacks its row, or stands where it can't, keeps the service from starting."""
    with pytest.raises(LookupError):
        table_of(rows)
