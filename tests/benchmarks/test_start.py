"""What it costs to start, as ratios to the least application on the same server.

Run by name (`python .ci/tasks.py benchmarks`), on a machine that does nothing else.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
from pathlib import Path
from tempfile import gettempdir

import pytest

ROOT = Path(__file__).resolve().parents[2]
BODY = ROOT / "openapi" / "examples" / "quote_walls" / "straight_wall.request.json"
ROUNDS = 5
# First answer of a bare application on the machine on which the goals were set.
BARE_SECONDS = 0.3
# As installed: Python keeps what it compiled. The first round, which compiles, is left out.
ENVIRONMENT = {name: os.environ[name] for name in os.environ if name != "PYTHONDONTWRITEBYTECODE"}
ENVIRONMENT["PYTHONPYCACHEPREFIX"] = str(Path(gettempdir()) / "wall-quotes-compiled")
# A service without a database, as whoever only quotes has it.
ENVIRONMENT["XDG_DATA_HOME"] = str(Path(gettempdir()) / "wall-quotes-no-data")


def started(which: str) -> tuple[float, float]:
    """CPU seconds to the first answer, and resident MiB after it."""
    script = Path(__file__).with_name("starting_process.py")
    command = [sys.executable, str(script), which, str(BODY)]
    done = subprocess.run(
        command, cwd=ROOT, check=True, capture_output=True, text=True, env=ENVIRONMENT
    )
    seconds, resident = done.stdout.split()
    return float(seconds), float(resident)


def test_start_costs_a_few_bare_applications() -> None:
    """CPU to the first answer and resident memory / those of a bare application."""
    rounds = [(started("bare"), started("service")) for _ in range(ROUNDS + 1)][1:]
    cpu = statistics.median(ours[0] / bare[0] for bare, ours in rounds)
    memory = statistics.median(ours[1] / bare[1] for bare, ours in rounds)
    (_, bare), (seconds, resident) = rounds[-1]
    print(f"first answer {seconds:.2f} s, ratio {cpu:.2f}")  # noqa: T201
    print(f"resident {resident:.0f} MiB, bare {bare:.0f} MiB, ratio {memory:.2f}")  # noqa: T201
    assert cpu <= 3.5
    assert memory <= 2


@pytest.mark.parametrize(
    ("arguments", "most"), [(("--help",), 0.5), (("quote", str(BODY)), 1.0)], ids=["help", "quote"]
)
def test_commands_start_soon(arguments: tuple[str, ...], most: float) -> None:
    """CPU of a command, from start to end, in the seconds of a machine on which a bare
    application takes 0.3 s to its first answer."""
    spent = []
    for _ in range(ROUNDS + 1):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        command = [sys.executable, "-m", "service", *arguments]
        subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL, env=ENVIRONMENT)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        seconds = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        spent.append((seconds, seconds / started("bare")[0] * BARE_SECONDS))
    here, there = (statistics.median(each) for each in zip(*spent[1:], strict=True))
    print(f"{arguments[0]}: {here:.2f} s, {there:.2f} s on that machine")  # noqa: T201
    assert there <= most
