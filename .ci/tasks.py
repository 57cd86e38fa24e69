"""Run the command list that stands in pyproject.toml under [tool.service].

Without arguments every task runs, in the order of the table; with names, those tasks
or chores. The first command that fails ends the run with its exit code.
"""

import os
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def read_commands(table: str) -> dict[str, list[str]]:
    """Return the commands of each entry of a table, `tasks` or `chores`, in its order."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        commands: dict[str, list[str]] = tomllib.load(file)["tool"]["service"][table]
    return commands


def run(command: str) -> int:
    """Run one command with the tools that stand beside this interpreter; return its exit code."""
    tools = str(Path(sys.executable).parent)
    path = os.pathsep.join((tools, os.environ.get("PATH", "")))
    print(f"$ {command}", flush=True)
    words = shlex.split(command)
    if words[0] == "python":
        words[0] = sys.executable
    return subprocess.run(words, cwd=ROOT, env={**os.environ, "PATH": path}, check=False).returncode


def main(names: list[str]) -> int:
    """Run what is named, or all tasks; return the exit code of the first that fails, else 0."""
    tasks = read_commands("tasks")
    known = {**tasks, **read_commands("chores")}
    if unknown := [name for name in names if name not in known]:
        print(f"no task {', '.join(unknown)}; there are: {', '.join(known)}", file=sys.stderr)
        return 2
    for name in names or tasks:
        for command in known[name]:
            if code := run(command):
                print(f"task {name} failed: {command}", file=sys.stderr)
                return code
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
