"""Walls as a crew sets them out: lowest course, steps of the base, setback."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from service.cli.app import app
from tests.given.catalog_files import WALL_SYSTEM, write_folder

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "quote_walls"
UNIT_PRICE = {"unit_cost": "5.00", "per": "each"}
Json = dict[str, Any]


def printed(example: str, profile: list[Json] | None = None, **more: object) -> str:
    """The quote of an example as tables, in one line; with a profile of its first wall."""
    request: Json = json.loads((EXAMPLES / f"{example}.request.json").read_text("utf-8")) | more
    if profile:
        request["walls"][0]["profile"] = profile
    done = CliRunner().invoke(app, ["quote", "-"], input=json.dumps(request).encode())
    assert (done.exit_code, done.stderr) == (0, "")
    return " ".join(done.stdout.split())


def at_20_ft(top: str, before: str, after: str) -> list[Json]:
    """40 ft under one top whose front grade jumps half way."""
    places = (("0 ft", before), ("20 ft", before), ("20 ft", after), ("end", after))
    return [{"station": at, "top": top, "front_grade": front} for at, front in places]


def test_print_walls_shows_the_steps_of_the_base() -> None:
    """Joints of 8 in hang from 44 in. 6 in under 0 the first is -12 in, under 16 in it is 4 in:
    two courses up."""
    up = printed("straight_wall", at_20_ft("4 ft", "0 ft", "16 in"))
    assert (
        "back yard wall: underside of the lowest course at level -1 ft; "
        "base begins at level -1 ft; steps up 2 courses at station 20 ft to level 4 in; "
        "each course 1 in behind the one below"
    ) in up
    down = printed("straight_wall", at_20_ft("4 ft", "16 in", "0 ft"))
    assert (
        "underside of the lowest course at level -1 ft; base begins at level 4 in; "
        "steps down 2 courses at station 20 ft to level -1 ft; each course"
    ) in down


def test_print_walls_shows_steps_by_the_rod() -> None:
    """The same wall with a rod that reads 2 ft on its top and 6 ft on the grade of 0: the base
    reads 7 ft, after the step 5 ft 8 in, 5.67 ft."""
    text = printed("straight_wall", at_20_ft("2 ft", "6 ft", "56 in"), levels_are="rod")
    assert "base begins at rod reading 7 ft; steps up 2 courses" in text
    assert "at station 20 ft to rod reading 5.67 ft; each course 1 in behind" in text


def test_print_walls_of_one_level_have_no_steps() -> None:
    """A level base begins where its lowest course stands; metric details are millimeters."""
    assert "steps up" not in printed("straight_wall")
    assert "base begins" not in printed("straight_wall")
    assert "level 11.92 m; each course 20 mm behind the one below" in printed("curved_terrace")


def test_print_walls_tells_a_plumb_wall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Units that stand straight above each other have no setback to set out."""
    plumb = WALL_SYSTEM.replace('setback = "1 in"', 'setback = "0 in"')
    write_folder(tmp_path, {"wall_systems/demo.toml": plumb})
    monkeypatch.setenv("SERVICE_CATALOG_PATH", str(tmp_path))
    prices = {"price_list": "demo_2026", "overrides": {"demo_block": UNIT_PRICE}}
    text = printed("straight_wall", wall_system="demo", prices=prices)
    assert "back yard wall: underside of the lowest course at level -8 in; plumb" in text
