"""Kill a migration after each of its statements, and see that the next run finds no half work.

    python -m tests.migrations.kill_points URL EVERY FROM TO [FROM TO ...]

A child migrates from one revision to another and kills itself after its n-th statement, for every
so many-th n from 1 until it comes to its end; on a way that doesn't begin at `base` for about twice
as many. Prints one line per kill: from, to, n, and the revision found afterwards. Ends with 1 at
the first state that is neither the old nor the new one.
"""

import os
import sys
from pathlib import Path
from typing import TextIO

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Connection, inspect

from service.storage import open_engine
from tests.given.kills import die_after

ROOT = Path(__file__).resolve().parents[2]


def configure(url: str | None = None, output: TextIO | None = None) -> Config:
    """The project's own configuration, aimed at a database."""
    config = Config(toml_file=ROOT / "pyproject.toml", output_buffer=output)
    if url is not None:
        config.set_main_option("sqlalchemy.url", url.replace("%", "%%"))
    return config


def migrate_and_die(url: str, target: str, after: int) -> bool:
    """Migrate in a child that kills itself after so many statements; whether it got to its end."""
    child = os.fork()
    if child == 0:
        die_after(after)
        move(url, target)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.WIFEXITED(status) and os.WEXITSTATUS(status) == 0


def move(url: str, target: str) -> None:
    """Migrate to a revision, whichever way it lies."""
    if target == "base" or (read_state(url)[0] or "") > target:
        command.downgrade(configure(url), target)
    else:
        command.upgrade(configure(url), target)


def read_state(url: str) -> tuple[str | None, list[str]]:
    """The revision a database is at, and its tables."""
    with open_engine(url).connect() as connection:
        return state_of(connection)


def state_of(connection: Connection) -> tuple[str | None, list[str]]:
    """The same, by a connection."""
    revision = MigrationContext.configure(connection).get_current_revision()
    return revision, sorted(inspect(connection).get_table_names())


def kill_each(url: str, start: str, target: str, every: int) -> bool:
    """Kill at every point; whether the old state or the new one was found each time.

    Each child begins where the one before it was killed, and the last one comes to its end.
    """
    move(url, target)
    new = read_state(url)
    move(url, start)
    old = read_state(url)
    after, killed = 1, True
    while killed:
        killed = not migrate_and_die(url, target, after)
        found = read_state(url)
        print(start, target, after, found[0], flush=True)  # noqa: T201  what the command is for
        if found not in (old, new) or (not killed and found != new):
            return False
        if found == new:
            move(url, start)
        after += every
    return True


def main(url: str, every: str, *revisions: str) -> int:
    """Kill on every way that is given; 1 where half work was found."""
    ways, apart = zip(revisions[::2], revisions[1::2], strict=True), int(every)
    return int(
        not all(
            kill_each(url, start, target, apart if start == "base" else -(-apart // 2))
            for start, target in ways
        )
    )


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
