"""Requests of every sort for whole quotes on the shipped catalog, the same ones each time.

Each is put together from parts by chance, by a number that is its seed: most are sound, the rest
are refused, and what is said then is an answer too.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from random import Random

from tests.given.quote_requests import Json

US = ("terrace_8in", "garden_6in", "terrace_deep_8in", "border_4in")
METRIC = ("metric_200", "metric_150_plain")
US_SECTIONS = ("plain_gravity", "plain_gravity", "buried_course", "deep_pad")
SOILS = ("sand_gravel", "silty_sand", "loam", "clay")
SLOPES = ("level", "10:1", "4:1", "3:1", "2:1", "12 deg", "8 %")
LOADS = (
    *("driveway", "fence", "garden_bed", "house", "lawn", "machine", "old_wall", "parking"),
    *("path", "patio", "pool", "septic_field", "shed", "slope"),
)
ENDS = ("open", "finished", "into_grade", "against_structure")
OUTLETS = ("through_face", "around_end", "daylight", "storm_drain", "pit", "none")
LINES = ("irrigation", "lighting", "gas", "septic", "drain", "pet_fence")
SEEN = ("crack", "lean", "spring", "slide", "fill", "rock", "stumps", "old_wall")
WET = ("standing_water", "wet_ground", "runoff", "washout")
MACHINES = ("mini_excavator", "skid_steer", "narrow_excavator", "stand_on_loader", "plate")
EXCLUDED = ("permit", "engineering", "guard", "freight", "pallets", "run", "drainage")
KINDS = ("material", "labor", "equipment", "delivery", "disposal", "fee", "subcontract")
CHOICES = {
    "access_ease": ("machine", "wheelbarrow", "by_hand"),
    "ground": ("firm", "rooty", "wet"),
    "layout": ("plain", "curved", "many_corners"),
    "lift": ("to_4_ft", "to_6_ft", "over_6_ft"),
    "digging": ("loose", "firm", "clay", "hard"),
    "beside_building": ("open", "against_building"),
}
SITE_WORK = {
    "each": ("pull_driven_post", "pull_concrete_post", "remove_stump_6_to_12_in", "move_light"),
    "ft": ("remove_hedge", "silt_fence", "sawcut", "reset_wood_fence", "relay_edging"),
    "ft2": ("lay_sod", "strip_sod", "lift_pavers", "relay_pavers", "take_down_timber_wall"),
    "yd3": ("spread_topsoil", "dig_trench_by_hand"),
}


class _Drawn:
    """One request in the making: chance, and the units that it is written in."""

    def __init__(self, seed: int) -> None:
        self.chance = Random(seed)  # noqa: S311  the same each time, no secret
        self.metric = self.happens(0.2)

    def happens(self, share: float) -> bool:
        """True in so many of all cases."""
        return self.chance.random() < share

    def one(self, *among: str) -> str:
        """One of some words."""
        return self.chance.choice(among)

    def some(self, among: tuple[str, ...]) -> list[str]:
        """One to three of some words, in their order."""
        chosen = self.chance.sample(among, self.chance.randint(1, 3))
        return [word for word in among if word in chosen]

    def feet(self, low: float, high: float) -> str:
        """A length between two numbers of feet, on the inch or the centimeter."""
        feet = self.chance.uniform(low, high)
        return f"{feet * 0.3048:.2f} m" if self.metric else inches(round(feet * 12))

    def whole(self, low: int, high: int, unit: str) -> str:
        """A whole number of a unit."""
        return f"{self.chance.randint(low, high)} {unit}"


def inches(count: int) -> str:
    """A length or level in feet and inches."""
    feet, rest = divmod(abs(count), 12)
    return f"{'-' if count < 0 else ''}{feet} ft {rest} in"


def varied_request(seed: int) -> Json:
    """The request of a number: one to three walls and whatever goes with them."""
    drawn = _Drawn(seed)
    chance = drawn.chance
    names = ("lower", "upper", "side")[: chance.choice((1, 1, 1, 2, 2, 3))]
    metric = drawn.metric
    request: Json = {
        "units": "metric" if metric else "us",
        "issued_on": "2026-05-04",
        "wall_system": drawn.one(*(METRIC if metric else US)),
        "section": "plain_gravity_metric" if metric else drawn.one(*US_SECTIONS),
        "walls": [_wall(drawn, name, 2.0 * index) for index, name in enumerate(names)],
        "prices": _prices(drawn),
    }
    for key, (share, made) in PARTS.items():
        if drawn.happens(share):
            request[key] = made(drawn)
    if "rates" not in request:
        request.pop("conditions", None)
    if request["section"] in {"buried_course", "deep_pad"} and drawn.happens(0.9):
        request.pop("screening", None)  # they name no sheet to reinforce with
    if len(names) > 1 and drawn.happens(0.7):
        request["tiers"] = [
            {"lower": lower, "upper": upper, "offset": drawn.feet(2, 12)}
            for lower, upper in pairwise(names)
        ]
    return request


def _wall(drawn: _Drawn, name: str, front: float) -> Json:
    plan = _plan(drawn)
    ground = drawn.one("not stated", "not stated", "at the line", "at the line", "across")
    wall: Json = {"name": name, "plan": plan, "profile": _profile(drawn, len(plan), front, ground)}
    if ground == "at the line":
        wall["existing_slope"] = drawn.one(*SLOPES)
    for key, (share, made) in OF_A_WALL.items():
        if drawn.happens(share):
            wall[key] = made(drawn)
    if drawn.happens(0.5):
        wall |= _behind(drawn)
    for key in ("graded_in_front", "graded_behind"):
        if drawn.happens(0.1 if ground == "not stated" else 0.9):
            wall[key] = drawn.feet(0, 15)
    return wall


def _profile(drawn: _Drawn, parts: int, front: float, ground: str) -> list[Json]:
    chance = drawn.chance
    by_top, tall = drawn.happens(0.5), chance.choice((2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0))
    stations: list[object] = ["0 m" if drawn.metric else "0 ft"]
    stations += [{"after": part} for part in range(1, parts) if drawn.happens(0.4)]
    profile: list[Json] = []
    for station in [*stations, "end"]:
        low = front + chance.choice((0.0, 0.0, 0.0, 0.5, 1.0))
        entry: Json = {"station": station, "front_grade": drawn.feet(low, low)}
        if by_top:
            top = front + tall - chance.choice((0.0, 0.0, 0.0, 0.7))
            entry["top"] = drawn.feet(top, top)
        else:
            exposed = tall - (low - front)
            entry["exposed"] = drawn.feet(exposed, exposed)
        if ground == "across":
            entry["existing_section"] = _ground(drawn, low, tall)
        elif ground == "at the line":
            entry["existing_grade"] = drawn.feet(low - 0.5, low + 0.7 * tall)
        if drawn.happens(0.1):
            entry["back_grade"] = drawn.feet(front + tall - 1, front + tall - 0.2)
        profile.append(entry)
    return profile


def _behind(drawn: _Drawn) -> Json:
    if drawn.happens(0.4):
        return {"surcharge": drawn.one("50 psf", "100 psf", "250 psf", "12 kPa")}
    return {"above": _above(drawn)}


def _plan(drawn: _Drawn) -> list[Json]:
    plan: list[Json] = [{"kind": "straight", "length": drawn.feet(8, 50)}]
    for _ in range(drawn.chance.choice((0, 0, 1, 1, 2))):
        side = drawn.one("outside", "outside", "inside")
        if drawn.happens(0.5):
            angle = drawn.one("90 deg", "90 deg", "45 deg", "120 deg")
            plan.append({"kind": "corner", "side": side, "angle": angle})
        elif drawn.happens(0.6):
            angle = drawn.one("30 deg", "45 deg", "90 deg")
            radius = drawn.feet(7, 25)
            plan.append({"kind": "curve", "side": side, "radius": radius, "angle": angle})
        else:
            chord, rise = drawn.feet(12, 25), drawn.feet(1, 4)
            plan.append({"kind": "curve", "side": side, "chord": chord, "rise": rise})
        plan.append({"kind": "straight", "length": drawn.feet(6, 30)})
    return plan


def _ground(drawn: _Drawn, front: float, tall: float) -> list[Json]:
    """The ground across a wall, as it was found: flat, a bank, flat."""
    foot, head = drawn.chance.uniform(-6, 0), drawn.chance.uniform(2, 14)
    risen = front + tall * drawn.chance.uniform(0.5, 1.1)
    across = ((-60.0, front), (foot, front), (head, risen), (60.0, risen + 0.3))
    return [
        {"offset": drawn.feet(out, out), "elevation": drawn.feet(level, level)}
        for out, level in across
    ]


def _above(drawn: _Drawn) -> list[Json]:
    loads: list[Json] = []
    for what in drawn.some(LOADS)[:2]:
        load: Json = {"what": what, "from": drawn.feet(0, 12)}
        if what == "slope":
            load["slope"] = drawn.one(*SLOPES[1:])
        loads.append(load)
    return loads


def _grading(drawn: _Drawn) -> list[Json]:
    if drawn.happens(0.4):
        area = drawn.whole(20, 90, "m2") if drawn.metric else drawn.whole(100, 900, "ft2")
        work = drawn.one("cut", "fill")
        return [{"area": area, "average_depth": drawn.feet(0.2, 1.5), "work": work}]
    rows, columns = drawn.chance.randint(2, 4), drawn.chance.randint(2, 4)
    levels = [[drawn.feet(-1, 1.5) for _ in range(columns)] for _ in range(rows)]
    grid: Json = {"spacing": drawn.feet(5, 15), "existing": levels}
    return [{"name": "lawn", "grid": grid | {"finished_level": drawn.feet(0, 0.5)}}]


def _site_work(drawn: _Drawn) -> list[Json]:
    work: list[Json] = []
    for unit in drawn.some(tuple(SITE_WORK)):
        count = (
            drawn.chance.randint(1, 9) if unit in {"each", "yd3"} else drawn.chance.randint(10, 300)
        )
        quantity = count if unit == "each" else f"{count} {unit}"
        work.append({"task": drawn.one(*SITE_WORK[unit]), "quantity": quantity})
    return work


def _access(drawn: _Drawn) -> Json:
    access: Json = {"distance": drawn.feet(10, 200)}
    if drawn.happens(0.7):
        access["narrowest_passage"] = drawn.feet(2.5, 12)
    if drawn.happens(0.4):
        access["rise"] = drawn.feet(-3, 8)
    if drawn.happens(0.2):
        access["stairs"] = drawn.chance.randint(0, 20)
    if drawn.happens(0.6):
        access["truck_drops"] = drawn.one("beside_wall", "yard", "driveway", "street")
    if drawn.happens(0.3):
        access["crane_truck"] = drawn.happens(0.5)
    if drawn.happens(0.15):
        access["load_limit"] = drawn.one("2000 lb", "6 ton", "900 kg")
    if drawn.happens(0.2):
        access |= {"surface_to_protect": "lawn", "protected_area": drawn.whole(100, 400, "ft2")}
    return access


def _water(drawn: _Drawn) -> Json:
    water: Json = {"outlet": drawn.one(*OUTLETS)}
    if drawn.happens(0.5):
        water["run"] = drawn.feet(5, 60)
        water["fall"] = drawn.one("1 %", "2 %", "0.5 %", drawn.feet(0.1, 1))
    if drawn.happens(0.3):
        water["downspouts_above"] = drawn.chance.randint(0, 3)
    if drawn.happens(0.3):
        water["seen"] = drawn.some(WET)
    return water


def _site(drawn: _Drawn) -> Json:
    side = drawn.one("front", "behind")
    whole: Json = {
        "distance_to_line": drawn.feet(0, 20),
        "line_side": side,
        "easement": drawn.happens(0.5),
        "private_lines": drawn.some(LINES),
        "trees": [{"distance": drawn.feet(2, 20), "trunk": drawn.feet(0.3, 2), "side": side}],
        "to_keep": [{"what": "patio", "distance": drawn.feet(0, 8), "side": side}],
        "power_lines": drawn.feet(5, 40) if drawn.happens(0.5) else True,
        "street_used": drawn.happens(0.5),
        "seen": drawn.some(SEEN),
    }
    return {key: value for key, value in whole.items() if drawn.happens(0.4)}


def _rates(drawn: _Drawn) -> object:
    if drawn.happens(0.7):
        return "small_crew"
    hours = {"low": "0.08", "likely": "0.11", "high": "0.17"}
    own: Json = {"set_units": {"hours": hours}, "set_out": {"hours": "0.03"}}
    waiting = drawn.one("paid", "elsewhere")
    return {"base": "small_crew", "waiting": waiting, "overrides": own}


def _conditions(drawn: _Drawn) -> Json:
    return {name: drawn.one(*CHOICES[name]) for name in drawn.some(tuple(CHOICES))}


def _prices(drawn: _Drawn) -> Json:
    prices: Json = {"price_list": "demo_2026"}
    if drawn.happens(0.3):
        cost = f"{drawn.chance.randint(500, 2000) / 100:.2f}"
        prices["overrides"] = {"terrace_8in": {"unit_cost": cost, "per": "each"}}
    return prices


def _terms(drawn: _Drawn) -> object:
    if drawn.happens(0.5):
        return drawn.one("standard", "with_allowances")
    profit = {"markup": "0.20"} if drawn.happens(0.5) else {"margin": "0.18"}
    base = drawn.one("price", "purchase")
    whole: Json = {
        "overhead": {"share": "0.05", "per_crew_day": "300.00"},
        "contingency": "0.05",
        "tax": {"rate": "0.0725", "on": drawn.some(KINDS), "base": base},
        "discount": "100.00",
        "minimum_charge": drawn.one("500.00", "30000.00"),
        "deposit": "0.30",
        "valid_days": 30,
        "brings": {"downspouts": {"cost": "95.00", "description": "Downspout led past the wall"}},
    }
    return {"profit": profit} | {key: each for key, each in whole.items() if drawn.happens(0.6)}


def _extras(drawn: _Drawn) -> list[Json]:
    extra: Json = {"description": "Extra", "kind": drawn.one(*KINDS), "cost": "120.55"}
    if drawn.happens(0.5):
        extra["for"] = drawn.one("permit", "engineering", "guard", "freight", "spring")
    return [extra]


def _soils(drawn: _Drawn) -> Json:
    soils: Json = {"retained": drawn.one(*SOILS)}
    if drawn.happens(0.4):
        soils["foundation"] = drawn.one(*SOILS)
    if drawn.happens(0.95 if soils["retained"] == "clay" else 0.4):
        soils["fill"] = drawn.one(*SOILS[:3])
    return soils


def _screening(drawn: _Drawn) -> Json:
    layers = drawn.one("none", "compare", "where_needed", "all")
    return {"basis": drawn.one("association", "fhwa"), "reinforcement": layers}


def _topsoil(drawn: _Drawn) -> Json:
    return {"strip": drawn.feet(0.25, 0.6), "replace": drawn.feet(0, 0.5)}


def _engineering(drawn: _Drawn) -> Json:
    return {"settled": drawn.one("in_price", "by_owner", "not_needed"), "because": "as agreed"}


Made = Callable[[_Drawn], object]
# Each part of a request: how often it is there, and what makes it.
PARTS: dict[str, tuple[float, Made]] = {
    "soils": (0.95, _soils),
    "jurisdiction": (0.4, lambda drawn: drawn.one("plain", "strict_example")),
    "screening": (0.45, _screening),
    "what_if": (0.1, lambda _drawn: True),
    "topsoil": (0.4, _topsoil),
    "grading": (0.3, _grading),
    "site_work": (0.4, _site_work),
    "access": (0.6, _access),
    "machines_off": (0.15, lambda drawn: drawn.some(MACHINES)),
    "water": (0.5, _water),
    "site": (0.5, _site),
    "engineering": (0.15, _engineering),
    "rates": (0.85, _rates),
    "conditions": (0.3, _conditions),
    "extras": (0.3, _extras),
    "terms": (0.8, _terms),
    "excluded": (0.2, lambda drawn: drawn.some(EXCLUDED)),
}
OF_A_WALL: dict[str, tuple[float, Made]] = {
    "ends": (0.7, lambda drawn: {"start": drawn.one(*ENDS), "finish": drawn.one(*ENDS)}),
    "level_from": (0.3, lambda drawn: drawn.one("top", "base")),
    "top_rounding": (0.3, lambda drawn: drawn.one("up", "down")),
    "front_slope": (0.15, lambda drawn: drawn.one(*SLOPES)),
    "back_slope": (0.2, lambda drawn: drawn.one(*SLOPES)),
}
