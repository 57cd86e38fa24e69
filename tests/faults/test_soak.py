"""The soak finds nothing in some seconds, and finds what it looks for."""

from pathlib import Path

from tests.faults.soak import Soaked, Tenth, drifts, faults, mib_an_hour, run
from tests.given.busy_season import OF_THE_CRM, OF_THE_OFFICE, OF_THE_WEBSITE, Season

SECONDS = 8.0
HOUR = 3600.0


def test_a_season_of_callers_leaves_nothing_behind(tmp_path: Path) -> None:
    """No call fails, each save is there; all kinds of calls were made and did what they should.
    What is rare among the calls of the many need not have come yet."""
    soaked = run(SECONDS, 1, 0.6, tmp_path)
    print(dict(soaked.season.seen), soaked.tenths[-1])  # noqa: T201  the counts belong here
    assert faults(soaked) == []
    assert {"lead 200"} | soaked.season.seen.keys() == {
        *("form 200", "range 200", "lead 200", "quote 200", "read 200", "list 200", "systems 200"),
        *("save 201", "latest 200", "prices 200", "publish 201", "preview 201", "write 201"),
        *("batch 207", "paper 200", "reload 200", "backup 200"),
    }
    assert soaked.paces[1] < soaked.paces[0]


def test_of_400_calls_and_the_office() -> None:
    """Website and CRM share 400 calls; the office does each of its things at least twice in ten
    minutes."""
    assert sum([*OF_THE_WEBSITE.values(), *OF_THE_CRM.values()]) == 400
    assert max(OF_THE_OFFICE.values()) <= 300


def soaked_with(season: Season, *there: str) -> Soaked:
    """What callers met, and the quotes that are there afterwards."""
    return Soaked(season, [], (2.0, 1.0), set(there))


def test_faults_finds_failures_and_losses(tmp_path: Path) -> None:
    """A 500, a refusal, a call that broke off, a backup that failed, and a save that is not there
    are each told."""
    season = Season(0, ("", ""), tmp_path, {})
    season.seen.update(["save 500", "read ConnectionResetError", "quote 200", "list 404"])
    season.seen.update(["backup the copy is damaged", "batch 207", "batch 503"])
    season.kept += ["gone", "other"]
    assert faults(soaked_with(season, "other")) == [
        "1 x save 500",
        "1 x read ConnectionResetError",
        "1 x list 404",
        "1 x backup the copy is damaged",
        "1 x batch 503",
        "gone is gone",
    ]


def tenths(p99s: list[float], memory: list[float], open_files: list[int]) -> list[Tenth]:
    """How ten tenths went."""
    return [Tenth(1, *each) for each in zip(p99s, memory, open_files, strict=True)]


def test_drifts_finds_growth() -> None:
    """Memory that grows by 70 MiB and 70 descriptors from the third tenth on are told of ten
    minutes, not of less: caches fill at first."""
    grows = tenths([1.0] * 10, [100.0 + 10 * n for n in range(10)], [10 * n for n in range(10)])
    told = ["memory grew by 70 MiB", "descriptors grew to 90"]
    assert drifts(grows, 600.0) == told
    assert drifts(grows, 599.0) == []
    assert drifts(grows, HOUR) == [*told, "memory rises by 100.0 MiB an hour"]


def test_drifts_allows_what_was_promised() -> None:
    """The last tenth may take 1.2 times the first, memory may rise by 2 MiB an hour, 32 MiB and 16
    descriptors may come from the third tenth on; what caches take before is no growth."""
    level = tenths([5.0, *[9.0] * 8, 6.0], [10.0, 60.0] + [90.0] * 8, [1, 1] + [7] * 7 + [23])
    assert drifts(level, 2 * HOUR) == []
    slow = tenths([5.0] * 9 + [6.1], [90.0] * 10, [7] * 10)
    assert drifts(slow, 2 * HOUR) == ["the last tenth takes 1.22 x the first"]
    more = tenths([5.0] * 10, [90.0] * 10, [7] * 9 + [24])
    assert drifts(more, 600.0) == ["descriptors grew to 24"]


def test_mib_an_hour_is_the_slope_of_the_nearest_line() -> None:
    """A tenth of two hours is a fifth of one: 0.5 MiB each is 2.5 an hour. Of 0, 1, 0, 1, ... the
    nearest line rises by 2 of 42 a step: sum of (x - 3.5)(y - 0.5) = 2 over sum of (x - 3.5)^2 =
    42, so 5 x 2 / 42 an hour."""
    rises = tenths([1.0] * 10, [9.0, 9.0, *[50 + 0.5 * n for n in range(8)]], [1] * 10)
    assert abs(mib_an_hour(rises, 2 * HOUR) - 2.5) < 1e-9
    waves = tenths([1.0] * 10, [9.0, 9.0, *[50.0, 51.0] * 4], [1] * 10)
    assert abs(mib_an_hour(waves, 2 * HOUR) - 10 / 42) < 1e-9
