"""Run what is tried in large numbers, and print count, seed, seconds and versions of each.

    python -m tests.large [NAME ...] [--share 0.1] [--seed N]

Without names everything, which takes hours. `--share` takes that part of each count. Ends with 1
where something failed.
"""

from __future__ import annotations

import argparse
import os
import platform
import sqlite3
import subprocess
import sys
import time
from importlib.metadata import version
from pathlib import Path

from service.core import ENGINE_VERSION
from tests.cluster import find_programs
from tests.large.rows import ROWS, Row

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("fastapi", "pydantic", "sqlalchemy", "psycopg", "uvicorn", "h11", "hypothesis")


def versions() -> str:
    """What the figures were found with."""
    own = f"engine {ENGINE_VERSION}, Python {platform.python_version()}"
    databases = f"SQLite {sqlite3.sqlite_version}, PostgreSQL {find_programs().parent.name}"
    return ", ".join([own, databases, *(f"{name} {version(name)}" for name in PACKAGES)])


def command(row: Row, count: int, seed: int) -> list[str]:
    """A row's command."""
    given = {"count": count, "seed": seed}
    return [sys.executable, "-m", *(word.format_map(given) for word in row.words)]


def run(name: str, row: Row, share: float, seed: int) -> bool:
    """Run a row and print what it came to; whether nothing failed."""
    count = max(1, round(row.count * share))
    environment = {**os.environ, **({f"TEST_{row.variable}": str(count)} if row.variable else {})}
    began = time.monotonic()
    print(f"## {name}: {count}, seed {seed}", flush=True)  # noqa: T201  what the command is for
    done = subprocess.run(command(row, count, seed), cwd=ROOT, env=environment, check=False)
    took = time.monotonic() - began
    print(f"## {name}: exit {done.returncode}, {took:.0f} s", flush=True)  # noqa: T201
    return done.returncode == 0


def main(words: list[str]) -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(ROWS))
    parser.add_argument("--share", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=20260504)
    given = parser.parse_args(words)
    if unknown := [name for name in given.names if name not in ROWS]:
        parser.error(f"nothing is called {', '.join(unknown)}; there are: {', '.join(ROWS)}")
    print(f"# {versions()}", flush=True)  # noqa: T201
    names = given.names or list(ROWS)
    found = [run(name, ROWS[name], given.share, given.seed) for name in names]
    return int(not all(found))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
