"""After a power cut at any moment every save that was acknowledged is there, and nothing half."""

import pytest

from tests.faults.power_cut import CONTROLS, run
from tests.given.counts import count_of

pytestmark = pytest.mark.no_cover  # processes that are killed tell of no coverage

CUTS = count_of("CUTS", 250)
SEED = 20260504


def test_a_power_cut_loses_nothing_that_was_acknowledged() -> None:
    """Whatever part of the writes that were not synced reached the drive, the file is sound, all
    that was acknowledged is in it once and whole, and what was not is whole or absent."""
    report = run(CUTS, SEED)
    print(report, SEED)  # noqa: T201  the counts belong into the log
    assert (report.cuts, report.lost, report.torn, report.corrupt) == (CUTS, 0, 0, 0)
    assert report.acknowledged > 10 * CUTS
    assert report.unacknowledged_whole > 0


@pytest.mark.parametrize("control", CONTROLS)
def test_the_judge_finds_out_who_syncs_too_little_or_acknowledges_too_early(control: str) -> None:
    """The controls: with NORMAL and OFF, and where the caller is told before the commit, cuts
    lose what was acknowledged; with OFF they damage the file too."""
    report = run(60, SEED, control)
    print(control, report, SEED)  # noqa: T201
    assert report.lost > 0
    assert (report.corrupt > 0) == (control == "synchronous=OFF")
