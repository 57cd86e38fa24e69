"""How many files and connections a process may have open at once."""

from __future__ import annotations

import resource
from contextlib import suppress


def raise_open_files() -> None:
    """Raise the soft limit of open files to the hard one (getrlimit(2)): many a system begins with
    1,024, which a few addresses can fill with connections. Processes that are started after it
    have it too. Where the system won't, it stays as it is."""
    _, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    with suppress(ValueError, OSError):  # some systems name a hard limit that they don't grant
        resource.setrlimit(resource.RLIMIT_NOFILE, (hard, hard))
