"""The changelog keeps pace with the version."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_changelog_begins_with_the_current_version() -> None:
    """The newest entry is that of the version in pyproject.toml."""
    text = (ROOT / "openapi" / "CHANGELOG.md").read_text(encoding="utf-8")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert re.findall(r"^## (\S+)", text, re.MULTILINE)[0] == project["version"]
