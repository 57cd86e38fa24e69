"""The changelog keeps pace with the version."""

import re
import tomllib
from pathlib import Path

from service.core import ENGINE_VERSION

ROOT = Path(__file__).resolve().parents[2]
TEXT = (ROOT / "openapi" / "CHANGELOG.md").read_text(encoding="utf-8")


def test_changelog_begins_with_the_current_version() -> None:
    """The newest entry is that of the version in pyproject.toml."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert re.findall(r"^## (\S+)", TEXT, re.MULTILINE)[0] == project["version"]


def test_changelog_names_the_newest_engine_version() -> None:
    """The newest entry about numbers is that of the engine version that answers carry."""
    assert re.findall(r"^- Engine version (\S+):", TEXT, re.MULTILINE)[0] == ENGINE_VERSION
