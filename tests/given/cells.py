"""Processes that are set up differently: hash seed, time zone and locale."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping
from itertools import product
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# Where a locale isn't installed the process runs in C, which still holds the rest.
SEEDS = ("0", "4294967295", "1", "42")
ZONES = ("UTC", "Pacific/Auckland", "America/St_Johns")
LOCALES = ({"LC_ALL": "C", "PYTHONUTF8": "0"}, {"LC_ALL": "de_DE.UTF-8"}, {"LC_ALL": "C.UTF-8"})
EVERY = [
    {"PYTHONHASHSEED": seed, "TZ": zone, **locale}
    for seed, zone, locale in product(SEEDS, ZONES, LOCALES)
]


def cells(count: int) -> list[dict[str, str]]:
    """So many of all; three are those in which each zone and each locale comes once."""
    return [EVERY[0], EVERY[13], EVERY[26]] if count == 3 else EVERY[:count]


def elsewhere(settings: Mapping[str, str], *words: str) -> subprocess.CompletedProcess[bytes]:
    """What a module does with some words in a process of its own, set up like that."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("LC_", "LANG"))}
    command = [sys.executable, "-m", *words]
    return subprocess.run(
        command, cwd=ROOT, env={**kept, **settings}, capture_output=True, check=False
    )
