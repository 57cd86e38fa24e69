"""The locks are whole: installed without a resolver, nothing is missing and nothing is too much.

What a release needs is read from the metadata of what is installed, extras and all.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import NormalizedName, canonicalize_name

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parent.parent
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
LOCKS = ("runtime", "production", "dev")
# What each lock holds beyond what every release needs.
EXTRAS = {"runtime": (), "production": ("postgres", "queue"), "dev": ("dev",)}
# Locks are made with Python 3.11: its first release, and one later than any will be.
PYTHONS = [
    {"python_version": "3.11", "python_full_version": full} for full in ("3.11.0", "3.11.99")
]

Pins = Mapping[NormalizedName, str]


def read_lock(name: str) -> str:
    """The text of a file of pinned requirements."""
    return (ROOT / ".locks" / f"{name}.txt").read_text(encoding="utf-8")


def read_pins(text: str) -> dict[NormalizedName, str]:
    """The version of each release that a lock pins."""
    pins = re.findall(r"^([^\s=]+)==(\S+)", text, re.MULTILINE)
    return {canonicalize_name(name): version for name, version in pins}


def asked_for(lock: str) -> list[Requirement]:
    """What the project itself needs: to run, to be built, with PostgreSQL and its queue in
    `production`, and to be tested in `dev`."""
    needed = [*PROJECT["project"]["dependencies"], *PROJECT["build-system"]["requires"]]
    for extra in EXTRAS[lock]:
        needed += PROJECT["project"]["optional-dependencies"][extra]
    return [Requirement(line) for line in needed]


def needed_by(name: str, extra: str) -> Iterator[Requirement]:
    """What an installed release needs for one of its extras, or without any (an empty text)."""
    for line in distribution(name).requires or ():
        need = Requirement(line)
        marker = need.marker
        if marker is None or any(marker.evaluate({**one, "extra": extra}) for one in PYTHONS):
            yield need


def find_gaps(needed: list[Requirement], pins: Pins) -> tuple[set[str], set[NormalizedName]]:
    """What is needed and not pinned, with who asks for it; and what is pinned and never needed."""
    waiting = [("the project", need) for need in needed]
    seen: set[tuple[NormalizedName, str]] = set()
    gaps: set[str] = set()
    while waiting:
        asking, need = waiting.pop()
        name = canonicalize_name(need.name)
        if name not in pins or not need.specifier.contains(pins[name], prereleases=True):
            gaps.add(f"{asking} needs {need}, pinned is {pins.get(name, 'nothing')}")
            continue
        for extra in {"", *need.extras}:
            if (name, extra) not in seen:
                seen.add((name, extra))
                asks = f"{name}[{extra}]" if extra else name
                waiting += [(asks, more) for more in needed_by(name, extra)]
    return gaps, set(pins) - {name for name, _ in seen}


@pytest.mark.parametrize("lock", [*LOCKS, "clients", "supply"])
def test_locks_pin_with_hashes_and_no_address(lock: str) -> None:
    """Every pin carries a hash, and no line says where packages come from."""
    text = read_lock(lock)
    pins = re.findall(
        r"^[a-z0-9][a-z0-9._-]*==\S+(?: ; [^\\\n]+)? \\\n    --hash=", text, re.MULTILINE
    )
    assert len(pins) == len(re.findall(r"^\w", text, re.MULTILINE))
    assert not re.search(r"://|^-|^ *--(?!hash=)", text, re.MULTILINE)


@pytest.mark.parametrize("lock", LOCKS)
def test_locks_hold_what_is_needed_and_no_more(lock: str) -> None:
    """Every dependency of a dependency, by any extra, is pinned in a version that will do; every
    pin is needed by something."""
    assert find_gaps(asked_for(lock), read_pins(read_lock(lock))) == (set(), set())


@pytest.mark.parametrize("lock", LOCKS)
def test_locks_are_what_the_tests_run_on(lock: str) -> None:
    """The metadata read here is that of the pinned releases: each is installed as pinned."""
    pins = read_pins(read_lock(lock))
    assert {name: distribution(name).version for name in pins} == pins


@pytest.mark.parametrize(
    ("pattern", "instead", "gap"),
    [
        (r"^flexparser==", "other==", r"pint needs flexparser.*, pinned is nothing"),
        (
            r"^psycopg-binary==",
            "other==",
            r"psycopg\[binary\] needs psycopg-binary.*is nothing",
        ),
        (r"^coverage==\S+", "coverage==7.0", r"pytest-cov needs coverage\[toml\].* is 7\.0"),
        (r"^setuptools==", "other==", r"the project needs setuptools.*, pinned is nothing"),
    ],
    ids=["dependency", "extra", "version", "build"],
)
def test_find_gaps_sees_a_doctored_lock(pattern: str, instead: str, gap: str) -> None:
    """A lock that lost a dependency, one that only an extra needs, one that the build needs, or a
    version that will do, is found out."""
    doctored = re.sub(pattern, instead, read_lock("dev"), flags=re.MULTILINE)
    gaps, _ = find_gaps(asked_for("dev"), read_pins(doctored))
    assert [line for line in gaps if re.match(gap, line)], gaps


def test_find_gaps_sees_a_pin_too_many() -> None:
    """A release that nothing needs any more is found out."""
    pins = {**read_pins(read_lock("runtime")), canonicalize_name("left-over"): "1"}
    assert find_gaps(asked_for("runtime"), pins) == (set(), {"left-over"})


def test_development_lock_agrees_with_the_runtime_locks() -> None:
    """Tests run on the very versions that are installed to serve, with PostgreSQL or without."""
    runtime, production, development = (read_pins(read_lock(name)).items() for name in LOCKS)
    assert runtime <= production <= development
