"""The packages that a release runs on: all listed, under licenses that allow it, with no known
fault. The tools have an environment of their own (DEVELOPERS.md, Commands)."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from packaging.utils import NormalizedName, canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
LOCK = ROOT / ".locks" / "production.txt"
TOOLS = Path(os.environ.get("TEST_SUPPLY_ENVIRONMENT", ROOT / ".supply")) / "bin"
# What may stand in a release that is not given away: permissive, or copyleft of the library alone.
ALLOWED = re.compile(
    r"(MIT|MIT-0|MIT-CMU|BSD|BSD-\d-Clause|0BSD|Apache|Apache-2\.0|ISC|PSF|PSF-2\.0|Python-2\.0|MPL-2\.0"
    r"|LGPL|LGPL-3\.0-only|LGPL-3\.0-or-later|Unlicense|CC0-1\.0|Zlib|HPND|OFL-1\.1)"
)
SAME = {
    "MIT License": "MIT",
    "BSD License": "BSD",
    "Apache Software License": "Apache",
    "Apache License 2.0": "Apache-2.0",
    "ISC License (ISCL)": "ISC",
    "Python Software Foundation License": "PSF",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "GNU Lesser General Public License v3 (LGPLv3)": "LGPL",
    "GNU Library or Lesser General Public License (LGPL)": "LGPL",
}
pytestmark = pytest.mark.skipif(
    not (TOOLS / "pip-audit").exists(), reason=f"the tools of .locks/supply.txt are not in {TOOLS}"
)


def pinned() -> dict[NormalizedName, str]:
    """Name and version of each package of a release."""
    pins = re.findall(r"^([^\s=]+)==(\S+)", LOCK.read_text(encoding="utf-8"), re.MULTILINE)
    return {canonicalize_name(name): version for name, version in pins}


def told(tool: str, *arguments: str) -> Any:  # noqa: ANN401  (whatever the tool says)
    """What a tool says as JSON; its exit code is 1 where it found a fault."""
    done = subprocess.run(
        [TOOLS / tool, *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode in (0, 1), done.stderr
    return json.loads(done.stdout)


def allowed(license_: str) -> bool:
    """Whether one of the licenses that may be chosen is allowed, with all that it holds."""
    choices = re.split(r"; | OR ", SAME.get(license_, license_.strip("()")))
    return any(
        all(ALLOWED.fullmatch(SAME.get(part, part)) for part in choice.strip(" ()").split(" AND "))
        for choice in choices
    )


def test_bill_of_materials_lists_every_package() -> None:
    """The CycloneDX document names each package of a release with version and hashes."""
    made = told("cyclonedx-py", "requirements", str(LOCK), "--of", "JSON", "--output-reproducible")
    assert made["bomFormat"] == "CycloneDX"
    listed = {canonicalize_name(each["name"]): each["version"] for each in made["components"]}
    assert listed == pinned()
    assert all(each["externalReferences"][0]["hashes"] for each in made["components"])


def test_licenses_allow_what_is_done_with_them() -> None:
    """Each package says its license, and that is one of those that this service may stand on."""
    rows = told("pip-licenses", "--python", sys.executable, "--format=json", "--from=mixed")
    said = {canonicalize_name(row["Name"]): row["License"] for row in rows}
    # What installs packages is no part of a release.
    needed = pinned().keys() - {canonicalize_name(name) for name in ("pip", "setuptools", "wheel")}
    assert needed <= said.keys()
    assert {name: said[name] for name in sorted(needed) if not allowed(said[name])} == {}


@pytest.mark.parametrize(
    ("license_", "may"),
    [
        ("MIT", True),
        ("ISC License (ISCL)", True),
        ("GPL-2.0-only OR MIT", True),
        ("(MIT AND PSF-2.0)", True),
        ("MIT AND GPL-3.0-only", False),
        ("GNU General Public License v3 (GPLv3)", False),
        ("UNKNOWN", False),
    ],
)
def test_allowed_reads_choices_and_sums(license_: str, may: bool) -> None:
    """One license to choose will do; of several that hold together each has to."""
    assert allowed(license_) == may


def test_no_package_has_a_known_fault() -> None:
    """No advisory of the registry names a version that a release runs on."""
    found = told(
        "pip-audit",
        *("--requirement", str(LOCK), "--require-hashes", "--disable-pip"),
        *("--format", "json", "--progress-spinner", "off"),
    )["dependencies"]
    assert {each["name"]: each["vulns"] for each in found if each.get("vulns")} == {}
    if all("skip_reason" in each for each in found):
        pytest.skip("the registry carries no advisories: nothing could be audited")
