"""A PostgreSQL server of our own for tests: in a temporary folder, in memory where there is room,
on a socket, gone at the end.

    python -m tests.cluster COMMAND...

starts one, names it in TEST_POSTGRES_URL and runs the command. PostgreSQL refuses to run
as root, so there it runs as the user `postgres`, which Debian's package makes.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

VARIABLE = "TEST_POSTGRES_URL"
USER = "postgres"
PROGRAMS = Path("/usr/lib/postgresql")
MEMORY = Path("/dev/shm")  # noqa: S108  only a folder of our own is made in it
ROOM_BYTES = 1 << 30


class ClusterStartError(Exception):
    """There is no PostgreSQL that could be started."""


class Cluster:
    """A server in a folder, `data` below it; it listens on a socket in the folder alone."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.programs = find_programs()

    @property
    def url(self) -> str:
        """How to reach its first database."""
        return f"postgresql+psycopg://{USER}@/{USER}?host={self.folder}"

    def make(self) -> None:
        """Lay out the files of the server."""
        if os.geteuid() == 0:
            shutil.chown(self.folder, USER)
        options = ("--auth=trust", f"--username={USER}", "--encoding=UTF8", "--locale=C.UTF-8")
        self._run("initdb", "--pgdata", str(self.folder / "data"), "--no-sync", *options)

    def start(self) -> None:
        """Start it, and wait until it answers."""
        # Room for tests that open many connections at once.
        options = f"-k {self.folder} -c listen_addresses= -c max_connections=200"
        log = str(self.folder / "log")
        self._control("start", "--log", log, "--options", options)

    def stop(self, mode: str = "immediate") -> None:
        """Stop it; `immediate` is as if it had been killed."""
        self._control("stop", "--mode", mode)

    def _control(self, *words: str) -> None:
        self._run("pg_ctl", "--wait", "--silent", "--pgdata", str(self.folder / "data"), *words)

    def _run(self, program: str, *words: str) -> None:
        user = ("runuser", "-u", USER, "--") if os.geteuid() == 0 else ()
        command = (*user, str(self.programs / program), *words)
        # Through a file: the server would hold a pipe open for as long as it runs.
        with tempfile.TemporaryFile() as talk:
            done = subprocess.run(
                command, cwd=self.folder, stdout=talk, stderr=talk, check=False, timeout=120
            )
            if done.returncode:
                talk.seek(0)
                said = talk.read().decode("utf-8", "replace")
                raise ClusterStartError(f"{program} failed: {said}")


def find_programs() -> Path:
    """The folder of the newest PostgreSQL that is installed."""
    found = sorted(PROGRAMS.glob("*/bin/pg_ctl"), key=lambda file: float(file.parts[-3]))
    if not found:
        raise ClusterStartError(
            f"no PostgreSQL below {PROGRAMS}: install Debian's package `postgresql`, or name a "
            f"server that tests may use in {VARIABLE}"
        )
    return found[-1].parent


def lacks_memory(folder: Path) -> str | None:
    """Why a server can't lie in a folder in memory; None where it can."""
    if not (folder.is_dir() and os.access(folder, os.W_OK)):
        return f"{folder} isn't there, or can't be written to"
    free = shutil.disk_usage(folder).free
    if free < ROOM_BYTES:
        return f"{folder} has {free >> 20} MiB free, fewer than {ROOM_BYTES >> 20}"
    return None


def parent_folder() -> Path | None:
    """Where the folder of a server is made: in memory, or where temporary files lie (None), and
    then it is said why."""
    if lack := lacks_memory(MEMORY):
        sys.stderr.write(f"PostgreSQL's files lie on the disk: {lack}\n")
        return None
    return MEMORY


@contextmanager
def running_cluster() -> Iterator[Cluster]:
    """A server that runs for as long as the block."""
    find_programs()  # without it no word on where its files lie
    with tempfile.TemporaryDirectory(
        prefix="walls-", dir=parent_folder(), ignore_cleanup_errors=True
    ) as name:
        cluster = Cluster(Path(name))
        cluster.make()
        cluster.start()
        try:
            yield cluster
        finally:
            cluster.stop()


def main(command: Sequence[str]) -> int:
    """Run a command beside a server, or beside the one that is named already."""
    if VARIABLE in os.environ:
        return subprocess.run(command, check=False).returncode
    try:
        with running_cluster() as cluster:
            environment = {**os.environ, VARIABLE: cluster.url}
            return subprocess.run(command, env=environment, check=False).returncode
    except ClusterStartError as error:
        sys.stderr.write(f"{error}\n")
        return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
