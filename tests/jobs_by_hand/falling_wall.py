"""A side wall of 90 ft along ground that falls 5 ft, 3 ft exposed all along. By hand, in inches.

Levels: at station s the front grade lies at 60 - s / 18, the top 36 in over it, the ground at the
line 12 in over it and x / 6 more toward the soil. Cap 4 in: joints at 92, 84 ... -12 in.
  top joint    at or over 92 - s / 18:     92 to s = 144, then 8 in less every 144 in
  base joint   at or under 54 - s / 18:    52 to s = 36, then 8 in less every 144 in
So a course at 84 in is 144 in long; 76, 68, 60 and 52 in each 144 in longer; 44 in goes from 36 to
864, 36 in from 180 to 1008, 28 in from 324 to the end, 20 in from 468 and so on, -12 in from 1044:
  144, 288, 432, 576, 720, 828, 828, 756, 612, 468, 324, 180, 36 over 17 in
  9 + 17 + 26 + 34 + 43 + 49 + 49 + 45 + 36 + 28 + 20 + 11 + 3 = 370 units
Caps: seven pieces of 144 in, a return of 13 in to each as the next lies lower, and one of 72 in.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from decimal import Decimal
from functools import cache, partial

from tests.given.hand_page import Figure, Lines, cost, counted, integral, sloped_end, up
from tests.given.hand_rates import Quantities, instead, money_page, work_of
from tests.given.job_checks import Job
from tests.given.quote_requests import Json

D = Decimal
YARD = 27 * 1728.0  # in3
REQUEST: Json = {
    "title": "Side yard that falls 5 ft along 90 ft (invented)",
    "units": "us",
    "wall_system": "terrace_8in",
    "section": "plain_gravity",
    "soils": {"retained": "loam"},
    "walls": [
        {
            "name": "side",
            "plan": [{"kind": "straight", "length": "90 ft"}],
            "profile": [
                {
                    "station": "0 ft",
                    "exposed": "3 ft",
                    "front_grade": "5 ft",
                    "existing_grade": "6 ft",
                },
                {
                    "station": "end",
                    "exposed": "3 ft",
                    "front_grade": "0 ft",
                    "existing_grade": "1 ft",
                },
            ],
            "existing_slope": "6:1",
            "graded_in_front": "6 ft",
            "graded_behind": "14 ft",
        }
    ],
    "water": {"outlet": "daylight"},
    "access": {"distance": "60 ft", "narrowest_passage": "8 ft", "truck_drops": "street"},
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
}
# Courses from the lowest up, as long as they are there.
COURSES = (36, 180, 324, 468, 612, 756, 828, 828, 720, 576, 432, 288, 144)
PAD = 90 * 25 / 12 * 0.5 / 27  # yd3
# Along the wall from the base up to 28 in over the front grade, in in2: 88 - s / 18 less the base.
HEIGHT = (88 - 30) * 1080 - (52 * 36 + (44 + 36 + 28 + 20 + 12 + 4 - 4) * 144 - 12 * 36)
STONE, STRIP = HEIGHT * 12 / YARD, sum(COURSES) * 8 * 12 / YARD
CORES = 370 * 0.3 / 27
FABRIC = (HEIGHT + 2 * 12 * 1080) / 144  # ft2
CAPS = (7 * (144 + 13) + 72) / 12  # ft


class At:
    """The section at a station: heights over the base joint, `o` how far the base course lies
    behind the plan line, an inch for each joint over the lowest."""

    def __init__(self, s: float, base: int, top: int) -> None:
        self.o = (base + 12) / 8
        self.front = 60 - s / 18 - base
        self.ground = self.front + 12  # at the line, x / 6 more behind it
        self.joint = top - base
        self.top = self.front + 36

    def over(self, begin: float, end: float, low: float) -> float:
        """Area of ground over a level, from one offset to another."""
        return (end - begin) * (self.ground + (begin + end) / 12 - low)

    @property
    def out(self) -> tuple[float, float]:
        """Where the slope comes out: offset, level. It begins 25 in behind the base course."""
        rise = (self.ground + (self.o + 25) / 6) / (1 - 1 / 6)
        return self.o + 25 + rise, rise

    def cut(self) -> float:
        """In front down to the front grade, trench, rest of floor, slope."""
        deep = self.ground + (self.o + 25) / 6
        return (
            self.over(-72, self.o - 6, self.front)
            + self.over(self.o - 6, self.o + 19, -6)
            + self.over(self.o + 19, self.o + 25, 0)
            + deep * self.out[1] / 2
        )

    def back(self) -> float:
        """Over the pad in front; behind from stone and units to the slope, up to the top."""
        front = 6 * self.front + max(0.0, self.front - 8)
        x, z = self.out
        levels = sorted({0.0, z, self.top, self.top - 8, *map(float, range(8, self.joint, 8))})
        pieces = [(a, b) for a, b in itertools.pairwise(levels) if b <= self.top + 1e-9]
        return front + sum(self._behind((a + b) / 2, x) * (b - a) for a, b in pieces)

    def _behind(self, z: float, out: float) -> float:
        course = min(z // 8, self.joint // 8 - 1)
        stone = 12 if z < self.top - 8 else 0
        return min(self.o + 25 + z, out) - (self.o + course + 13 + stone)

    def fill(self) -> float:
        """Beyond the slope up to the top, which the ground meets 144 in out."""
        x, z = self.out
        return (144 - x) * (self.top - z) / 2


def _along(at: Callable[[float], At], area: Callable[[At], float], a: float, b: float) -> float:
    """Volume between two stations; between joints areas are of the second degree at most."""
    return integral(lambda s: area(at(s)), a, b, steps=200)


@cache
def earth() -> tuple[float, float, float]:
    """Cut, what is put back, and fill beyond the cut, in yd3."""
    cut = back = fill = 0.0
    # between the stations of all steps, and of all heights that pass a joint
    for a, b in itertools.pairwise(range(0, 1081, 36)):
        middle = (a + b) / 2
        top = 92 - 8 * int(middle // 144)
        base = 52 - 8 * math.ceil((middle - 36) / 144)
        at = partial(At, base=base, top=top)
        cut += _along(at, At.cut, a, b)
        back += _along(at, At.back, a, b)
        fill += _along(at, At.fill, a, b)
    ends = sum(
        sloped_end(0, at.o - 6, at.o + 25, ((0, at.ground), (60, at.ground + 10)))
        for at in (At(0, 52, 92), At(1080, -12, 36))
    )
    return (cut + ends) / YARD, (back + ends) / YARD, fill / YARD


def comes() -> float:
    """Soil that is brought, loose, in yd3: shrink 0.10, swell 0.25."""
    cut, back, fill = earth()
    return ((back + fill) / 0.90 - cut) * 1.25


def bought() -> dict[str, Figure]:
    """What is counted, ordered and dug."""
    cut, back, fill = earth()
    lines: Lines = {
        "terrace_8in": (370, 389, 36566),  # x 1.05 = 388.5; 94 lb each
        "terrace_cap_4in": (75, 79, 5214),  # 7 x 10 + 5; x 1.05 = 78.75
        "base_stone": (PAD, 6, 12000),  # x 1.1 x 1.10 x 2,700 lb = 11,344 lb
        "drain_stone": (STONE + CORES, 17, 45900),  # 14.6667 yd3 x 1.1 x 1.05 = 16.94
        "drain_pipe": (90, 1, 32),
        "outlet_pipe": (8, 1, 10),  # an outlet each 50 ft; one low stretch of base
        "filter_fabric": (FABRIC, 1, 20),
        "cap_adhesive": (2 * CAPS / 38, 6, 15),  # 5.14
        "import_fill": (comes(), up(comes(), "0.01"), comes() * 27 * 80),  # loose
    }
    return {
        **counted(lines),
        "cut": cut,
        "backfill": back,
        "fill": fill,
        "reused": cut,
        "haul_off": 0,
        "import": comes(),
        "haul_loads": 0,
        "import_loads": 1,
    }


def quantities() -> Quantities:
    """What is worked; 60 ft of way are 30 ft more than is included."""
    tons = (36566 + 5214 + 12000 + 45900 + 32 + 10 + 20 + 15) / 2000
    cut, back, fill = earth()
    return {
        "set_out": 90,
        "dig": cut,
        "carry_soil": (comes(), "0.3"),
        "place_pad": PAD,
        "step_base": 8,
        "compact_pad": PAD,
        "level_base_course": 69,  # 3 + 7 x 9 + 3, run by run
        "lay_pipe": 90,
        "lay_outlets": 2,
        "hang_fabric": FABRIC,
        "move_material": tons,
        "drive_material": tons,
        "drive_material_on": (tons, "0.3"),
        "break_pallets": 445,  # a pallet of 36 weighs 3,384 lb, the skid steer lifts 1,900 lb
        "set_units": 370,
        "cut_units": 12,  # each course but that of 612 in, 36 units, which is the fifth
        "place_drain_stone": STONE,
        "fill_cores": CORES,
        "backfill": back + fill,  # the fill ends 144 in behind the line, within reach
        "compact_strip": STRIP,
        "ram_backfill": back + fill - (STRIP - STONE),
        "set_caps": 75,
    }


def work() -> dict[str, Figure]:
    """Hours and days. From trench to backfill it takes 110.36 h of 17.67 h a day, 6.25 days; a
    trench may stay open for 2, so it is opened in 4 stretches.

    The excavator digs for 5.83 h of 8, 0.73 of a day, beside which the other hours of the rough cut
    are done. After set-up, 0.17, the first stretch is begun at 0.90 and the last one done at 7.14:
    the skid steer, there from the rough cut on, is needed on days 1 to 8.
    """
    return {**work_of(quantities(), stretches=4), "machine days skid_steer": 8}


def page() -> dict[str, Figure]:
    """Every figure of the job."""
    materials = {
        "terrace_8in": cost(389, "8.40"),
        "terrace_cap_4in": cost(79, "7.20"),
        "base_stone": cost(6, "33.00"),
        "drain_stone": cost(17, "45.00"),
        "drain_pipe": D("89.00"),
        "outlet_pipe": D("14.50"),
        "filter_fabric": D("118.00"),
        "cap_adhesive": cost(6, "9.25"),
        "import_fill": cost(up(comes(), "0.01"), "27.50"),
    }
    others = {
        "delivery_demo_block_yard": D("330.00"),  # 41,780 lb on 13 pallets: 2 loads
        "delivery_demo_stone_yard": D("285.00"),  # 57,900 lb in loads of 28,000
        "pallets_demo_block_yard": D("325.00"),  # 11 + 2 pallets
        "extra_1": D("120.00"),  # street permit: the truck drops in the street
    }
    return {**bought(), **work(), **money_page(materials, others, work())}


def runner_up() -> dict[str, Figure]:
    """The mini excavator digs 41.08 yd3 in 5.83 h of day 1. The narrow one takes 12.68 h, until
    day 2: it is there for a second day, and the crew, done 0.86 of a day later, for a ninth."""
    return work_of(instead(quantities(), dig="dig_narrow"), stretches=4)


OBJECTIONS = (
    ("line", "import_fill"),  # 0.6 yd3 are short, though the wall cuts into the bank
    ("line", "mini_excavator_day"),
    ("line", "machine_delivery"),
    ("line", "outlet_pipe"),
    ("line", "pallets_demo_block_yard"),
    ("line", "extra_1"),  # the street permit
    ("needed", "permit"),
    ("needed", "engineering"),
    ("needed", "guard"),  # 3 ft over the yard
    ("needed", "freight"),  # pipe, fabric and adhesive have no supplier
    ("needed", "surface"),  # no sod or seed was asked for
    ("caution", "permit-height"),  # where the base has just stepped down
    ("caution", "permit-grading"),
    ("caution", "engineer-gravity-fails"),
    ("caution", "base-step-near-end"),  # 3 ft from both ends
    ("caution", "exposed-end"),
    ("caution", "topsoil-not-stated"),
    ("caution", "load-not-stated"),
    ("caution", "machine-unit"),
    ("caution", "dust-when-cutting"),
    ("caution", "street-used"),
    ("caution", "outlet-daylight"),
)
# 133.00 h and 2.25 h a day are 151.00 h; 7.5 days hold 149.40 h, 8 days 159.36 h.
JOB = Job(REQUEST, page, days="8", objections=OBJECTIONS, runner_up=runner_up)
