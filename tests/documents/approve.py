"""Writes the approved pictures anew: `python -m tests.documents.approve [WALL ...]`.

Look at each that changed before it is committed: nobody else does.
"""

from __future__ import annotations

import sys
from pathlib import Path

from tests.given.pictured import NAMES, drawings, first_pages, kept

APPROVED = Path(__file__).with_name("approved")
MADE = {"pages": first_pages, "drawings": drawings}


def approved_file(name: str, what: str) -> Path:
    """Where a picture is kept."""
    return APPROVED / f"{name.replace(' ', '_')}.{what}.png"


def main() -> None:
    """Write all of them, or those of the walls that are named."""
    for name in sys.argv[1:] or NAMES:
        for what, make in MADE.items():
            approved_file(name, what).write_bytes(kept(make(name)))


if __name__ == "__main__":
    main()
