"""Catalog folders for tests: a small sound file of each kind, and folders made of texts."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

WALL_SYSTEM = """\
id = "demo"
version = "1"
title = "Demo block"
[source]
kind = "invented"
[units.standard]
item = "demo_block"
face_length = "18 in"
height = "8 in"
depth = "12 in"
[stacking]
setback = "1 in"
"""

SOIL = """\
id = "demo"
version = "1"
title = "Demo soil"
[source]
kind = "invented"
[strength]
friction_angle = "30 deg"
cohesion = "0 psf"
[weight]
bank = "108 pcf"
loose = "86.4 pcf"
compacted = "120 pcf"
[volume]
swell = "0.25"
shrink = "0.10"
[excavation]
class = "C"
reusable = true
"""


def write_folder(folder: Path, files: Mapping[str, str | bytes]) -> Path:
    """A catalog folder with these files, by their path in it."""
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
    return folder
