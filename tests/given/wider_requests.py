"""Requests of every sort with what is rarely asked: own prices per other units, stock, surveyed
areas, strips beside a wall, any task beside the walls, further stations. Always the same ones."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random

import service
from tests.given.quote_requests import Json
from tests.given.varied_requests import inches, varied_request

CATALOG = Path(service.__file__).parents[1] / "catalog"
MEASURED = re.compile('^measured_by = "(\\w+)"', re.MULTILINE)
PER = ("each", "ton", "yd3", "ft", "ft2", "load", "pallet", "pack", "bag", "roll", "t", "m3", "m")
SOIL = ("haul_off", "import_fill", "topsoil")
UNITS = {"length": ("ft", "m"), "area": ("ft2", "m2"), "volume": ("yd3", "m3")}


def wider_request(number: int) -> Json:
    """The request of a number with further parts."""
    chance = Random(f"wider {number}")  # noqa: S311  the same each time, no secret
    request = varied_request(number)
    for share, widen in WIDER:
        if chance.random() < share:
            widen(request, chance)
    return request


def _own_prices(request: Json, chance: Random) -> None:
    names = chance.sample([*_priced(), *SOIL * 8], chance.randint(1, 6))
    own = request["prices"].setdefault("overrides", {})
    for name in names:
        price: Json = {"unit_cost": f"{chance.randint(50, 9000) / 100:.2f}"}
        price["per"] = chance.choice(PER)
        if name in SOIL:
            price["per"] = chance.choice(("ton", "yd3", "load", "m3", "t"))
        elif chance.random() < 0.2:
            price["stock"] = True
        own[name] = price


@cache
def _priced() -> list[str]:
    text = (CATALOG / "price_lists" / "demo_2026.toml").read_text("utf-8")
    return [line[7:-1] for line in text.splitlines() if line.startswith("[items.")]


@cache
def _tasks() -> dict[str, str]:
    """The tasks of the catalog, each with what it is measured by."""
    texts = {path.stem: path.read_text("utf-8") for path in (CATALOG / "site_work").glob("*.toml")}
    return {name: MEASURED.findall(texts[name])[0] for name in sorted(texts)}


def _materials_only(request: Json, _chance: Random) -> None:
    request["materials_only"] = True


def _any_work(request: Json, chance: Random) -> None:
    for task, measured in chance.sample(sorted(_tasks().items()), chance.randint(1, 5)):
        work: Json = {"task": task}
        count = chance.randint(1, 60)
        if measured == "count":
            work["quantity"] = count
        elif measured in UNITS:
            work["quantity"] = f"{count} {chance.choice(UNITS[measured])}"
        request.setdefault("site_work", []).append(work)


def _survey(request: Json, chance: Random) -> None:
    """Points around an area and some within, as a total station gives them."""
    corners, inner = chance.randint(3, 6), chance.randint(0, 6)
    lines = []
    for at in range(corners + inner):
        out = chance.uniform(18, 30) if at < corners else chance.uniform(0, 10)
        turn = 2 * math.pi * (at / corners if at < corners else chance.random())
        north, east = 500 + out * math.sin(turn), 100 + out * math.cos(turn)
        lines.append(f"{at + 1},{north:.2f},{east:.2f},{chance.uniform(-1, 2):.2f}")
    survey: Json = {
        "points": "\n".join(lines),
        "columns": ["point", "northing", "easting", "elevation"],
        "units": chance.choice(("ft", "ft", "m")),
        "boundary": [str(at + 1) for at in range(corners)],
    }
    if chance.random() < 0.5:
        survey["finished_level"] = f"{chance.uniform(-0.5, 1):.2f} ft"
    else:
        fall, toward = chance.choice(("2 %", "level", "5 %")), f"{chance.randint(0, 359)} deg"
        survey["finished_plane"] = {"level": "0.5 ft", "at": "1", "fall": fall, "toward": toward}
    request.setdefault("grading", []).append({"name": "surveyed", "survey": survey})


def _beside(request: Json, chance: Random) -> None:
    """An area that lies beside a wall, whole or from one station to another."""
    wall = chance.choice(request["walls"])
    area: Json = {"name": "strip", "wall": wall["name"], "side": chance.choice(("front", "behind"))}
    if chance.random() < 0.6:
        area["from_station"] = f"{chance.randint(0, 4)} ft"
        area["to_station"] = chance.choice(("end", f"{chance.randint(5, 20)} ft"))
    area["from"] = f"{chance.randint(0, 8)} ft"
    rows, columns = chance.randint(2, 3), chance.randint(2, 4)
    levels = [[f"{chance.uniform(-1, 2):.1f} ft" for _ in range(columns)] for _ in range(rows)]
    area["grid"] = {"spacing": f"{chance.randint(4, 9)} ft", "existing": levels}
    if chance.random() < 0.4:
        area["grid"]["row_spacing"] = f"{chance.randint(4, 9)} ft"
    if chance.random() < 0.5:
        area["grid"]["finished"] = [["0.2 ft"] * columns for _ in range(rows)]
    else:
        area["grid"]["finished_level"] = "0 ft"
    request.setdefault("grading", []).append(area)


def _stations(request: Json, chance: Random) -> None:
    """Stations within the first part of a wall, some steps of the ground among them."""
    wall = chance.choice(request["walls"])
    first = wall["profile"][0]
    at = sorted(chance.sample(range(1, 8), chance.randint(1, 3)))
    between = []
    for feet in at:
        entry = {key: each for key, each in first.items() if key != "existing_section"}
        entry |= {"station": f"{feet} ft"}
        raised = chance.choice((0, 0, 2, 4, 8))
        for key in ("front_grade", "top", "existing_grade", "back_grade"):
            if key in entry and chance.random() < 0.5:
                entry[key] = f"{_feet(entry[key]) + raised / 12:.3f} ft"
        if "existing_section" in first:
            entry["existing_section"] = first["existing_section"]
        between.append(entry)
    wall["profile"][1:1] = between


def _feet(text: str) -> float:
    if text.endswith(" m"):
        return float(text[:-2]) / 0.3048
    sign = -1 if text.startswith("-") else 1
    words = text.lstrip("-").split()
    return sign * (float(words[0]) + (float(words[2]) / 12 if len(words) > 2 else 0))


def _long(request: Json, chance: Random) -> None:
    """A longer job: days, weeks, several loads and stretches."""
    wall = chance.choice(request["walls"])
    wall["plan"][0] = {"kind": "straight", "length": inches(chance.randint(600, 2400))}


def _low(request: Json, chance: Random) -> None:
    """A wall of a course or two, or none at all for a stretch."""
    for entry in chance.choice(request["walls"])["profile"]:
        if "exposed" in entry:
            entry["exposed"] = chance.choice(("0 ft", "4 in", "8 in", "1 ft"))


def _tiers(request: Json, chance: Random) -> None:
    for tier in request.get("tiers", ()):
        tier["offset"] = inches(chance.choice((6, 14, 30, 96, 300)))


def _rates(request: Json, chance: Random) -> None:
    text = (CATALOG / "production_rates" / "small_crew.toml").read_text("utf-8")
    tasks = [line[6:-1] for line in text.splitlines() if line.startswith('id = "')][1:]
    own: Json = {}
    for task in chance.sample(tasks, chance.randint(1, 5)):
        own[task] = {"hours": f"{chance.randint(1, 300) / 100:.2f}"}
        if chance.random() < 0.4:
            own[task] = {"hours": {"low": "0.05", "likely": "0.1", "high": "0.4"}, "note": "ours"}
    request["rates"] = {"base": "small_crew", "overrides": own}


def _unscreened(request: Json, _chance: Random) -> None:
    """Without what takes long."""
    request.pop("screening", None)
    request.pop("what_if", None)


Widen = Callable[[Json, Random], None]
WIDER: tuple[tuple[float, Widen], ...] = (
    (0.4, _own_prices),
    (0.04, _materials_only),
    (0.4, _any_work),
    (0.2, _survey),
    (0.25, _beside),
    (0.3, _stations),
    (0.25, _long),
    (0.15, _low),
    (0.5, _tiers),
    (0.2, _rates),
    (0.5, _unscreened),
)
