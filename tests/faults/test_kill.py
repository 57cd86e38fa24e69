"""Killed while it writes, the service loses nothing it acknowledged and doubles nothing."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.given.counts import count_of

pytestmark = pytest.mark.no_cover  # processes that are killed tell of no coverage

ROOT = Path(__file__).resolve().parents[2]
CYCLES = count_of("KILLS", 10)


def killed(url: str, kind: str, *options: str) -> tuple[int, dict[str, int], str]:
    """Exit code, counts and words of so many kills."""
    words = (sys.executable, "-m", "tests.faults.kill", url, kind, str(CYCLES), *options)
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    counts = {name: int(number) for name, number in re.findall(r"(\w+)=(\d+)", done.stdout)}
    return done.returncode, counts, done.stdout + done.stderr


@pytest.mark.parametrize("kind", ["publish", "import"])
def test_a_kill_loses_and_doubles_nothing(empty_url: str, kind: str) -> None:
    """What was acknowledged is there once and whole; a call with its key ends with exactly one."""
    code, counts, words = killed(empty_url, kind)
    print(words)  # noqa: T201  the counts belong into the log
    assert code == 0, words
    assert (counts["cycles"], counts["lost"], counts["doubled"], counts["torn"]) == (
        CYCLES,
        0,
        0,
        0,
    )
    assert counts["acknowledged"] > 0


def test_the_judge_finds_out_who_acknowledges_too_early(tmp_path: Path) -> None:
    """The control: a writer that says done before it has written is seen to lose."""
    code, counts, words = killed(f"sqlite:///{tmp_path / 'store.sqlite'}", "publish", "--early")
    assert code == 1, words
    assert counts["lost"] > 0
