"""Look for what only the office may know in everybody else's answers.

python -m tests.leaks --answers 20000 [--seed N]
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from tests.leaks.crawl import crawl, walk
from tests.leaks.service import marked_service


def main() -> int:
    """Run from the command line; 1 where anything leaks."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--answers", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=20260504)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, marked_service(Path(folder)) as service:
        found, read = crawl(service, given.answers, given.seed), walk(service)
    for (who, status), count in sorted(found.statuses.items()):
        sys.stdout.write(f"{who} {status}: {count}\n")
    leaks, said = [*found.leaks, *read.leaks], found.said | read.said
    for call, numbers in leaks:
        sys.stdout.write(f"leak {sorted(numbers)}: {call}\n")
    for marker, line in said.items():
        sys.stdout.write(f"said {marker}: {line}\n")
    sys.stdout.write(f"{len(leaks)} leaks, {len(said)} markers in logs and events\n")
    return int(bool(leaks or said))


if __name__ == "__main__":
    sys.exit(main())
