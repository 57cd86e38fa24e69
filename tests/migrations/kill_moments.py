"""Kill a migration at any moment, again and again, and see that no half work is found.

    python -m tests.migrations.kill_moments URL KILLS [SEED]

A child migrates to the newest revision, or back to none, and is killed by the clock; the next one
goes on from there. Prints how many of the kills found each revision. Ends with 1 at the first
state that is not one of a revision.
"""

import os
import random
import signal
import sys
import time
from collections import Counter

from alembic import command
from alembic.script import ScriptDirectory

from tests.migrations.kill_points import configure, move, read_state

State = tuple[str | None, list[str]]


def known_states(url: str) -> list[State]:
    """The state at each revision, from none to the newest; the database is left at none."""
    script = ScriptDirectory.from_config(configure(url))
    names = [each.revision for each in script.walk_revisions()][::-1]
    states = [read_state(url)]
    for name in names:
        command.upgrade(configure(url), name)
        states.append(read_state(url))
    move(url, "base")
    return [*states, read_state(url)]


def seconds_there_and_back(url: str) -> float:
    """How long the longer way takes, unbroken."""
    took = []
    for target in ("head", "base"):
        began = time.monotonic()
        move(url, target)
        took.append(time.monotonic() - began)
    return max(took)


def killed_on_its_way(url: str, target: str, after: float) -> bool:
    """Migrate in a child that is killed after so many seconds; whether it got to its end."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.write(writing, b".")
        move(url, target)
        os._exit(0)
    os.read(reading, 1)
    os.close(reading)
    os.close(writing)
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return os.WIFEXITED(status) and os.WEXITSTATUS(status) == 0


def main(url: str, kills: str, seed: str = "20260504") -> int:
    """Kill so often; 1 where half work was found."""
    chance = random.Random(int(seed))  # noqa: S311  repeatable, no secret
    states, took = known_states(url), seconds_there_and_back(url)
    newest, found, whole = states[-2][0], Counter[str](), 0
    target = "head"
    for _ in range(int(kills)):
        whole += killed_on_its_way(url, target, chance.uniform(0, took))
        state = read_state(url)
        found[str(state[0])] += 1
        if state not in states:
            print(f"half work: {state}")  # noqa: T201  what the command is for
            return 1
        target = {newest: "base", None: "head"}.get(state[0], target)
    print(f"{kills} kills, {whole} too late, found {dict(sorted(found.items()))}; seed {seed}")  # noqa: T201
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
