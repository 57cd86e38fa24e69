"""Look for inputs that break what reads them.

python -m tests.fuzzing [--seconds 600] [--inputs N] [--seed N] [TARGET ...]
"""

from __future__ import annotations

import argparse
import sys
import time

from tests.fuzzing.search import search
from tests.fuzzing.targets import TARGETS


def main() -> int:
    """Run from the command line: seconds are shared by the targets, each takes so many inputs at
    most; 1 where an input breaks one."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("targets", nargs="*", default=list(TARGETS))
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--inputs", type=int, default=sys.maxsize)
    parser.add_argument("--seed", type=int, default=20260504)
    given = parser.parse_args()
    broken = 0
    for name in given.targets:
        began = time.monotonic()
        seconds = given.seconds / len(given.targets)
        found = search(TARGETS[name], seconds, given.seed, most=given.inputs)
        line = f"{name}: {found.tried} inputs, {len(found.lines)} lines, {len(found.kept)} kept"
        sys.stdout.write(f"{line}, {len(found.breaks)} break it, seed {given.seed}, ")
        sys.stdout.write(f"{time.monotonic() - began:.0f} s\n")
        sys.stdout.flush()
        for data, why in found.breaks:
            sys.stdout.write(f"    {data!r}: {why}\n")
        broken += bool(found.breaks)
    return int(broken > 0)


if __name__ == "__main__":
    sys.exit(main())
