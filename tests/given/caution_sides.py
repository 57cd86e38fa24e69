"""Jobs on both sides of each shipped caution: one that it must leave alone, one that it is for.

Each pair differs in nothing but the matter of the caution, at its limit where it has one.
"""

from __future__ import annotations

from collections.abc import Mapping

from tests.given.lawn_walls import LAWN
from tests.given.quote_requests import Json, level_wall, shipped_request, straight

Pair = tuple[Json, Json]
# 40 ft of wall, 24 in exposed, before a lawn on level ground that was measured.
_BANK: Json = {"existing_grade": "1 ft"}


def yard(exposed: str = "24 in", *, entry: Json | None = None, **more: object) -> Json:
    """A wall before a lawn in ground that was measured: `entry` changes its profile."""
    wall = level_wall(exposed=exposed) | LAWN | more
    for each in wall["profile"]:
        each.update(_BANK if entry is None else entry)
    wall.setdefault("graded_behind", "10 ft")
    wall.setdefault("graded_in_front", "4 ft")
    return wall


def job(*walls: Json, **more: object) -> Json:
    """The walls on silty sand, drained, priced."""
    soils = {"retained": "silty_sand", "fill": "sand_gravel"}
    asked: Json = {"soils": soils, "water": {"outlet": "daylight"}, "terms": "standard"}
    return shipped_request(*(walls or (yard(),)), **(asked | more))


def _near(what: str, near: str, far: str) -> Pair:
    """The same thing above the wall, just far enough and just too near."""
    there, here = (job(yard(above=[{"what": what, "from": at}])) for at in (far, near))
    return there, here


def _exposed(low: str, high: str, above: object = LAWN["above"]) -> Pair:
    return job(yard(low, above=above)), job(yard(high, above=above))


def _water(**stated: object) -> Json:
    return job(water={"outlet": "daylight", **stated})


def _outlet(name: str) -> Pair:
    other = "daylight" if name != "daylight" else "around_end"
    return job(water={"outlet": other}), job(water={"outlet": name})


def _seen(word: str) -> Pair:
    return job(site={"seen": []}), job(site={"seen": [word]})


def _seen_water(word: str) -> Pair:
    return _water(), _water(seen=[word])


def _tiers(offset: str) -> Json:
    """Two walls of 24 in: 3 ft high with what is buried, so that 6 ft is twice the height."""
    lower, upper = yard(name="lower"), yard(name="upper")
    for wall, level in ((lower, 0), (upper, 2)):
        for each in wall["profile"]:
            each.pop("existing_grade", None)
            each["front_grade"] = f"{level} ft"
    for wall in (lower, upper):
        del wall["graded_behind"], wall["graded_in_front"]
    return job(lower, upper, tiers=[{"lower": "lower", "upper": "upper", "offset": offset}])


def _ends(start: str) -> Json:
    return job(yard(ends={"start": start, "finish": "into_grade"}))


def _corner(degrees: int) -> Json:
    plan = [
        straight("20 ft"),
        {"kind": "corner", "side": "outside", "angle": f"{degrees} deg"},
        straight("20 ft"),
    ]
    return job(level_wall(plan=plan, exposed="24 in", **LAWN))


def _curve(radius: str) -> Json:
    curve = {"kind": "curve", "side": "outside", "radius": radius, "angle": "90 deg"}
    return job(level_wall(plan=[curve], exposed="24 in", **LAWN))


def _step_at(station: str) -> Json:
    """The base steps where the ground in front does."""
    wall = level_wall(exposed="24 in", **LAWN)
    wall["profile"] = [
        {"station": "0 ft", "top": "4 ft", "front_grade": "0 ft"},
        {"station": station, "top": "4 ft", "front_grade": "0 ft"},
        {"station": station, "top": "4 ft", "front_grade": "1 ft"},
        {"station": "end", "top": "4 ft", "front_grade": "1 ft"},
    ]
    return job(wall)


def _in_month(day: str) -> Json:
    return job(issued_on=day)


def _bare_pad(soil: str) -> Json:
    return job(soils={"retained": soil, "fill": "loam"})


def _deep(short: str, reached: str) -> Pair:
    """Level ground that high: 24 in exposed, 12 in of units and 6 in of pad lie below 0 ft, so
    that the cut is 18 in deeper."""
    low, high = (job(yard(entry={"existing_grade": level})) for level in (short, reached))
    return low, high


def _kept(distance: str) -> Json:
    """A cut of 5 ft into a bank on which paving stays."""
    return _bank("3.5 ft", site={"to_keep": [{"what": "paving", "distance": distance}]})


def _bank(level: str, **more: object) -> Json:
    """Ground that is as high as in front up to the wall, and so high behind it."""
    points = (("-30 ft", "0 ft"), ("0 ft", "0 ft"), ("1 ft", level), ("60 ft", level))
    section = [{"offset": offset, "elevation": at} for offset, at in points]
    return job(yard(entry={"existing_section": section}), **more)


def _reused(**more: object) -> Json:
    """What is cut goes back as fill."""
    return job(soils={"retained": "loam"}, **more)


_FLAT = level_wall(exposed="24 in", **LAWN)
_UNKNOWN = job(_FLAT, soils={})
# A wall that fails as a plain stack, and passes with layers.
_HIGH = yard("4 ft", **LAWN)
_ALL_LAYERS: Json = {"screening": {"reinforcement": "all"}}

SIDES: Mapping[str, Pair] = {
    # 30 + 6 buried + 6 of pad are 42 in; 30.5 in take a course more: 44 + 6 = 50
    "permit-height": _exposed("30 in", "30.5 in"),
    "permit-surcharge": (job(), job(yard(above=[{"what": "patio", "from": "5 ft"}]))),
    "permit-combined-height": (_tiers("6 ft"), _tiers("5.99 ft")),
    "permit-grading": (job(), job(yard(graded_behind="60 ft"))),
    "erosion-control": (job(yard(graded_behind="2 ft")), job(yard(graded_behind="40 ft"))),
    "tiers": (job(), _tiers("20 ft")),
    "engineer-height": _exposed("38 in", "38.5 in"),
    "engineer-unbalanced-fill": _exposed("48 in", "48.1 in"),
    "engineer-unbalanced-fill-loaded": _exposed(
        "24 in", "24.1 in", above=[{"what": "patio", "from": "2 ft"}]
    ),
    "seismic-backfill": _exposed("62 in", "62.5 in"),
    "workers-near-edge": _exposed("71.9 in", "72 in"),
    "engineer-surcharge": (
        job(yard(above=[{"what": "driveway", "from": "6 ft"}])),
        job(yard(above=[{"what": "driveway", "from": "5.99 ft"}])),
    ),
    "engineer-back-slope": (job(yard(back_slope="3:1")), job(yard(back_slope="2.9:1"))),
    "steep-front-slope": (job(yard(front_slope="3.1:1")), job(yard(front_slope="3:1"))),
    "bench-in-front": (job(yard(front_slope="level")), job(yard(front_slope="50:1"))),
    "trench-egress": _deep("2.49 ft", "2.5 ft"),
    "trench-protection": _deep("3.49 ft", "3.5 ft"),
    "cut-slope": _deep("3.49 ft", "3.5 ft"),
    "falls-into-cut": _deep("4.49 ft", "4.5 ft"),
    "trench-engineer": _deep("18.5 ft", "18.6 ft"),
    "trench-shoring": (_kept("30 ft"), _kept("3 ft")),
    "ground-left-standing": (_bank("23 in"), _bank("22.9 in")),
    "topsoil-not-stated": (_reused(topsoil={"strip": "6 in", "replace": "0 in"}), _reused()),
    # a course and the cap are 12 in, 6 of them buried
    "fill-every-course": _exposed("6 in", "6.5 in"),
    # 24 units of 17 in are 34 ft: nothing is cut
    "dust-when-cutting": (
        job(level_wall("34 ft", "6 in", **LAWN)),
        job(level_wall("33 ft", "6 in", **LAWN)),
    ),
    "pad-without-fabric": (_bare_pad("loam"), _bare_pad("clay")),
    "soil-not-stated": (job(), _UNKNOWN),
    "not-screened": (job(), _UNKNOWN),
    "screening-only": (_UNKNOWN, job()),
    "load-not-stated": (job(_FLAT), job(level_wall(exposed="24 in"))),
    "frost-depth": (_in_month("2026-05-04"), _in_month("2026-03-31")),
    "frozen-fill": (_in_month("2026-11-30"), _in_month("2026-12-01")),
    "wet-fill": (_in_month("2026-05-01"), _in_month("2026-04-30")),
    "two-rule-books": (job(), job(screening={"basis": "fhwa"})),
    "outlet-not-stated": (job(), job(water={})),
    "outlet-none": _outlet("none"),
    "outlet-through-face": _outlet("through_face"),
    "outlet-around-end": _outlet("around_end"),
    "outlet-daylight": _outlet("daylight"),
    "outlet-storm-drain": _outlet("storm_drain"),
    "outlet-pit": _outlet("pit"),
    "pipe-below-outlet": (_water(run="20 ft", fall="0 in"), _water(run="20 ft", fall="-1 in")),
    "outlet-fall": (_water(run="25 ft", fall="3 in"), _water(run="25 ft", fall="2.9 in")),
    "downspouts-above": (_water(downspouts_above=0), _water(downspouts_above=1)),
    "seen-standing-water": _seen_water("standing_water"),
    "seen-wet-ground": _seen_water("wet_ground"),
    "seen-runoff": _seen_water("runoff"),
    "seen-washout": _seen_water("washout"),
    "line-distance": (
        job(site={"distance_to_line": "10 ft"}),
        job(site={"distance_to_line": "9.9 ft"}),
    ),
    # 24 in exposed and 12 in buried
    "line-within-height": (
        job(site={"distance_to_line": "3 ft"}),
        job(site={"distance_to_line": "2.9 ft"}),
    ),
    "easement": (job(site={"easement": False}), job(site={"easement": True})),
    "private-lines": (job(site={"private_lines": []}), job(site={"private_lines": ["gas"]})),
    "power-lines": (job(site={}), job(site={"power_lines": "100 ft"})),
    "septic-near": _near("septic_field", "24.9 ft", "25 ft"),
    "pool-near": _near("pool", "19.9 ft", "20 ft"),
    "building-near": _near("house", "19.9 ft", "20 ft"),
    "fence-near": _near("fence", "3.9 ft", "4 ft"),
    "machine-near": _near("machine", "9.9 ft", "10 ft"),
    "old-wall-near": _near("old_wall", "19.9 ft", "20 ft"),
    "tree-near": (
        job(site={"trees": [{"distance": "15 ft"}]}),
        job(site={"trees": [{"distance": "14.9 ft"}]}),
    ),
    "street-used": (
        job(access={"distance": "9 ft", "truck_drops": "driveway"}),
        job(access={"distance": "9 ft", "truck_drops": "street"}),
    ),
    **{
        f"seen-{word.replace('_', '-')}": _seen(word)
        for word in ("crack", "lean", "spring", "slide", "fill", "rock", "stumps", "old_wall")
    },
    "engineer-gravity-fails": (job(), job(_HIGH)),
    "engineer-reinforcement-fails": (
        job(_HIGH, **_ALL_LAYERS),
        job(yard("4 ft", back_slope="1:1"), **_ALL_LAYERS),
    ),
    "engineer-reinforced": (job(_HIGH), job(_HIGH, **_ALL_LAYERS)),
    "layer-cover": (job(_HIGH), job(_HIGH, **_ALL_LAYERS)),
    # twice the 2 ft that either shows; together they are 5 ft
    "engineer-tiers": (_tiers("4 ft"), _tiers("3.99 ft")),
    "overall-slope": (job(), job(yard(back_slope="3:1"))),
    "radius-below-minimum": (_curve("10 ft"), _curve("2 ft")),
    "sharp-corner": (_corner(110), _corner(111)),
    "end-against-structure": (_ends("into_grade"), _ends("against_structure")),
    "footing-undermined": (_ends("into_grade"), _ends("against_structure")),
    "exposed-end": (_ends("into_grade"), _ends("open")),
    # level ground, 24 in of finished ground behind
    "raised-side": (
        job(yard(entry={"existing_grade": "6 in"})),
        job(yard(entry={"existing_grade": "5.9 in"})),
    ),
    "base-step-near-end": (_step_at("10 ft"), _step_at("9.9 ft")),
    "guard-height": _exposed("30 in", "30.1 in"),
    "guard-at-walkway": (
        job(yard("36 in", above=[{"what": "path", "from": "36.1 in"}])),
        job(yard("36 in", above=[{"what": "path", "from": "36 in"}])),
    ),
    "prices-not-effective": (_in_month("2026-01-01"), _in_month("2025-12-31")),
    "ground-not-measured": (job(), job(level_wall(exposed="24 in"))),
}
