"""Run a module or a script of sources in a folder, with what is installed for these.

    python other_sources.py FOLDER MODULE|SCRIPT.py WORDS...

Catalog, migrations and code are those of the folder alone, not also those that are installed,
where the folder has its catalog under the name by which it is installed, `service_catalog`.
"""

from __future__ import annotations

import runpy
import sys
from pathlib import Path


def run(folder: str, program: str, *words: str) -> None:
    """Run it as the main program."""
    sys.path[0] = folder  # in the place of this script's own
    if Path(folder, "service_catalog").exists():
        _leave_installed_sources()
    sys.argv[:] = [program, *words]
    if program.endswith(".py"):
        runpy.run_path(program, run_name="__main__")
    else:
        runpy.run_module(program, run_name="__main__", alter_sys=True)


def _leave_installed_sources() -> None:
    sys.meta_path[:] = [
        finder
        for finder in sys.meta_path
        if not getattr(finder, "__module__", "").startswith("__editable__")
    ]
    sys.path[:] = [place for place in sys.path if "__editable__" not in place]


if __name__ == "__main__":
    run(*sys.argv[1:])
