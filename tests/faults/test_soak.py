"""The soak finds nothing in some seconds, and finds what it looks for."""

from pathlib import Path

from tests.faults.soak import Soak, Tenth, faults, run

SECONDS = 8.0


def test_a_day_of_callers_leaves_nothing_behind(tmp_path: Path) -> None:
    """No call fails on the service's side, each save is there, nothing creeps; all kinds of calls
    were made and did what they should."""
    soak, tenths, there = run(SECONDS, tmp_path)
    print(dict(soak.seen), soak.backups, tenths[-1])  # noqa: T201  the counts belong here
    assert faults(soak, tenths, there) == []
    assert soak.seen.keys() == {
        "quote 200", "save 201", "read 200", "list 200", "preview 201", "reload 200",
    }  # fmt: skip
    assert soak.backups > 0


def test_faults_finds_failures_losses_and_growth(tmp_path: Path) -> None:
    """A 500, a call that broke off, a save that is not there, memory and descriptors that grow
    are each told."""
    soak = Soak("", tmp_path)
    soak.seen.update(["save 500", "read ConnectionResetError", "quote 200", "list 404"])
    soak.kept.append("gone")
    tenths = [Tenth(1, 1.0, 100.0 + 10 * number, 10 * number) for number in range(10)]
    assert faults(soak, tenths, {"other"}) == [
        "1 x save 500",
        "1 x read ConnectionResetError",
        "gone is gone",
        "memory grew by 70 MiB",
        "descriptors grew to 90",
    ]
