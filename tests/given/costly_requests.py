"""Requests by what makes them costly: stations, height, layers, ground to dig, survey points."""

from __future__ import annotations

import math

from tests.given.graded import scattered
from tests.given.quote_requests import Json

LABOR: Json = {"rates": "small_crew", "terms": "standard"}


def zigzag_wall(entries: int, high_ft: float = 4.0, *, dug: bool = False, parts: int = 1) -> Json:
    """A wall of 400 ft whose top falls and rises by a foot between its profile entries."""
    stations = [f"{n * 392 / (entries - 1):.2f} ft" for n in range(entries - 1)]
    profile: list[Json] = [
        {"station": station, "front_grade": "0 ft", "top": f"{high_ft - n % 2:.2f} ft"}
        for n, station in enumerate([*stations, "end"])
    ]
    plan = [{"kind": "straight", "length": f"{400 / parts:.2f} ft"}] * parts
    if not dug:
        return {"plan": plan, "profile": profile}
    profile[0]["existing_grade"] = "2 ft"
    graded = {"graded_in_front": "3 ft", "graded_behind": "3 ft", "existing_slope": "20:1"}
    return {"plan": plan, "profile": profile, **graded}


def sloped_wall(entries: int, high_ft: float) -> Json:
    """The same, whose top falls by a third of its height over its length: no two sections alike."""
    wall = zigzag_wall(entries)
    last = len(wall["profile"]) - 1
    for n, entry in enumerate(wall["profile"]):
        entry["top"] = f"{high_ft * (1 - n / last / 3) - 0.1 * (n % 2):.3f} ft"
    return wall


def measured_wall(entries: int) -> Json:
    """A wall of 400 ft and one height, with so many profile entries."""
    level: Json = {"front_grade": "0 ft", "top": "3.9 ft"}
    stations = [f"{n * 399 / (entries - 1):.3f} ft" for n in range(entries - 1)]
    profile = [{"station": station, **level} for station in [*stations, "end"]]
    return {"plan": [{"kind": "straight", "length": "400 ft"}], "profile": profile}


def dug_terraces(walls: int, parts: int) -> Json:
    """Walls of so many curves, each a foot above and 2 ft behind the one before, in level ground:
    what is added to a quote."""
    plan = [
        {"kind": "curve", "side": ("inside", "outside")[n % 2], "radius": "40 ft", "length": "4 ft"}
        for n in range(parts)
    ]
    found = []
    for n in range(walls):
        levels = {"top": f"{n + 0.9} ft", "front_grade": f"{n} ft"}
        profile = [
            {"station": "0 ft", **levels, "existing_grade": f"{n} ft"},
            {"station": "end", **levels},
        ]
        graded = {"graded_in_front": "1 ft", "graded_behind": "1 ft", "existing_slope": "2:1"}
        found.append({"name": f"wall {n}", "plan": plan, "profile": profile, **graded})
    tiers = [
        {"lower": f"wall {n}", "upper": f"wall {n + 1}", "offset": "2 ft"} for n in range(walls - 1)
    ]
    return {"walls": found, "tiers": tiers, "soils": {"retained": "loam"}}


def stepped_walls(walls: int, high_ft: float) -> Json:
    """Straight walls as high as that, each on the one before and as far behind it, not dug: what
    is added to a quote."""
    plan = [{"kind": "straight", "length": "60 ft"}]
    found = []
    for n in range(walls):
        levels = {"top": f"{(n + 1) * high_ft - 0.1:.2f} ft", "front_grade": f"{n * high_ft} ft"}
        profile = [{"station": station, **levels} for station in ("0 ft", "end")]
        found.append({"name": f"wall {n}", "plan": plan, "profile": profile})
    tiers = [
        {"lower": f"wall {n}", "upper": f"wall {n + 1}", "offset": f"{high_ft} ft"}
        for n in range(walls - 1)
    ]
    return {"walls": found, "tiers": tiers, "soils": {"retained": "silty_sand"}}


def sectioned_wall(entries: int, pairs: int) -> Json:
    """A wall whose ground was measured across it at each entry, by so many uneven pairs."""
    wall = zigzag_wall(entries)
    for n, entry in enumerate(wall["profile"]):
        entry["existing_section"] = [
            {
                "offset": f"{-30 + 60 * k / (pairs - 1):.3f} ft",
                "elevation": f"{1 + math.sin(k * 1.7 + n):.3f} ft",
            }
            for k in range(pairs)
        ]
    return {**wall, "graded_in_front": "5 ft", "graded_behind": "10 ft"}


def surveyed_yard(points: int) -> Json:
    """An area of so many survey points, graded to one level."""
    found = scattered(lambda east, north: math.sin(east / 3) + north / 15 - 0.5, points)
    text = "\n".join(f"{i},{n:.3f},{e:.3f},{z:.3f},g" for i, (e, n, z) in enumerate(found))
    corners = ((0.5, 0.5), (0.5, 19.0), (19.0, 19.0), (19.0, 0.5))
    survey = {
        "points": text,
        "columns": ["point", "northing", "easting", "elevation", "description"],
        "units": "m",
        "boundary": [{"northing": f"{n} m", "easting": f"{e} m"} for n, e in corners],
        "finished_level": "0.2 m",
    }
    return {"survey": survey}
