"""What releases kept: one revision each, request and answer, as the service of then answered.

A release adds its own: the example `dug_terrace` as it was answered on the day of the release.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parents[1] / "kept"
RELEASES = tuple(sorted(path.stem for path in FOLDER.glob("*.json")))


def kept_revision(release: str) -> dict[str, Any]:
    """Request and answer of a release."""
    document: dict[str, Any] = json.loads((FOLDER / f"{release}.json").read_text(encoding="utf-8"))
    assert document["answer"]["engine_version"] == release
    return document
