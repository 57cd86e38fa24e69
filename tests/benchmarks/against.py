"""CPU of quotes by these sources, divided by that of another commit, measured in turns.

Run as `python -m tests.benchmarks.against COMMIT [ROUNDS]`. Both run in the environment of this
interpreter; the catalog of each is its own. Figures are medians of rounds.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.test_quote import request
from tests.given.releases import RUNNER, sources_of

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "openapi" / "examples" / "quote_walls"
REFUSED = ("price_missing", "ten_mistakes")
TIMES = 2
# 200 stations, 10 ft apart, top and front grade up and down, with layers wherever they stand.
STATIONS = 200


class Quoting:
    """A process that quotes with the sources of a folder."""

    def __init__(self, folder: Path) -> None:
        script = Path(__file__).with_name("quoting_process.py")
        self._process = subprocess.Popen(
            [sys.executable, str(RUNNER), str(folder), str(script)],
            cwd=folder,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self._read()

    def quote(self, asked: Path) -> tuple[float, str]:
        """CPU seconds of one quote, and the digest of its answer."""
        if self._process.stdin is None:
            raise RuntimeError("no way to ask")
        self._process.stdin.write(f"{asked} {TIMES}\n")
        self._process.stdin.flush()
        seconds, digest = self._read().split()
        return float(seconds), digest

    def close(self) -> None:
        """End it."""
        self._process.communicate()

    def _read(self) -> str:
        line = self._process.stdout.readline() if self._process.stdout else ""
        if not line:
            raise RuntimeError("the quoting process ended")
        return line


def compare(before: Quoting, after: Quoting, asked: Path, rounds: int) -> str:
    """One line: milliseconds before and after, the ratio, and whether the answer is the same."""
    pairs = [(before.quote(asked), after.quote(asked)) for _ in range(rounds)]
    old = statistics.median(seconds for (seconds, _), _ in pairs)
    new = statistics.median(seconds for _, (seconds, _) in pairs)
    ratio = statistics.median(b[0] / a[0] for a, b in pairs)
    same = "same bytes" if all(a[1] == b[1] for a, b in pairs) else "another answer"
    name = asked.name.partition(".")[0]
    return f"{name:30} {old * 1e3:8.2f} ms {new * 1e3:8.2f} ms {ratio:6.3f}  {same}"


def long_layered_wall(folder: Path) -> Path:
    """The request of a wall of many stations with layers, in a file."""
    document = json.loads(request(STATIONS))
    document |= {
        "soils": {"retained": "silty_sand"},
        "screening": {"reinforcement": "all"},
    }
    path = folder / f"{STATIONS}_stations_with_layers.request.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def main(arguments: Sequence[str]) -> None:
    """Compare the examples of then that are answered with a quote, and a long wall with layers."""
    commit, rounds = arguments[0], int(arguments[1]) if len(arguments) > 1 else 7
    with sources_of(commit) as folder:
        before, after = Quoting(folder), Quoting(ROOT)
        print(f"{'':30} {'then':>11} {'now':>11} {'ratio':>6}")  # noqa: T201
        known = (folder / EXAMPLES.relative_to(ROOT)).glob("*.request.json")
        asked = [*sorted(known), long_layered_wall(folder)]
        for path in asked:
            if path.name.partition(".")[0] not in REFUSED:
                print(compare(before, after, path, rounds), flush=True)  # noqa: T201
        before.close()
        after.close()


if __name__ == "__main__":
    main(sys.argv[1:])
