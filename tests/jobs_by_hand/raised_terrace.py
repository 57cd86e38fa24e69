"""A terrace of 36 ft raised by 3 ft on sand that is brought in, over clay. By hand, in inches.

Wall: cap 4 in, joints at 32, 24 ... 0 and -8 in; 6 in are buried: 5 courses. Both ends are
finished: a corner unit each, so (432 - 2 x 17) / 17 are 24 standard units a course; caps 432 / 17:
26.

Ground: level at 0. Trench 25 in wide (-6 to 19) from -14; floor at -8 on to 25 in; 1:1 up to 33 in.
  trench 25 x 14, rest of floor 6 x 8, slope 8 x 8 / 2   = 430 in2
Put back in front: 6 x 8 = 48 in2 over the pad. Behind, to 33 in out, from the stone that ends 25
in behind the first course and an inch more behind each further one, at 28 in up; over it from the
units:
  32 + 7 x 8 + 6 x 8 + 5 x 8 + 4 x 4 + 16 x 4 + 16 x 4   = 320 in2
Fill beyond, to 20 ft: 36 x 207 in2. The floor at the ends, -6 to 25 in, lies 8 in deep.
"""

from __future__ import annotations

from decimal import Decimal

from tests.given.hand_page import Figure, Lines, cost, counted, sloped_end, up
from tests.given.hand_rates import Quantities, instead, money_page, work_of
from tests.given.job_checks import Job
from tests.given.quote_requests import Json

D = Decimal
YARD = 27 * 1728.0  # in3
PAD, STONE = 36 * 25 / 12 * 0.5 / 27, 36 * 3 / 27  # yd3; stone from -8 to 28 in
CORES = (120 * 0.3 + 10 * 0.1) / 27
REQUEST: Json = {
    "title": "Raised terrace on imported sand (invented)",
    "units": "us",
    "wall_system": "terrace_8in",
    "section": "plain_gravity",
    "soils": {"retained": "clay", "fill": "sand_gravel"},
    "walls": [
        {
            "name": "terrace",
            "plan": [{"kind": "straight", "length": "36 ft"}],
            "profile": [
                {
                    "station": "0 ft",
                    "exposed": "3 ft",
                    "front_grade": "0 ft",
                    "existing_grade": "0 ft",
                },
                {"station": "end", "exposed": "3 ft", "front_grade": "0 ft"},
            ],
            "graded_in_front": "3 ft",
            "graded_behind": "20 ft",
            "ends": {"start": "finished", "finish": "finished"},
        }
    ],
    "water": {"outlet": "daylight"},
    "access": {"distance": "30 ft", "narrowest_passage": "9 ft", "truck_drops": "driveway"},
    "site_work": [{"task": "spread_topsoil", "quantity": "8 yd3"}],
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
}


def earth() -> tuple[float, float, float]:
    """Cut, what is put back, and fill beyond the cut, in yd3."""
    ends = 2 * sloped_end(-8, -6, 25, ((0, 0), (60, 0)))
    cut = 430 * 432 + ends
    back = (48 + 320) * 432 + ends
    return cut / YARD, back / YARD, 36 * 207 * 432 / YARD


def soil() -> tuple[float, float]:
    """Clay that leaves, loose (swell 0.43), and sand that is brought: shrink 0.05, swell 0.11."""
    cut, back, fill = earth()
    return cut * 1.43, (back + fill) / 0.95 * 1.11


def bought() -> dict[str, Figure]:
    """What is counted, ordered and dug."""
    leaves, comes = soil()
    cut, back, fill = earth()
    lines: Lines = {
        "terrace_8in": (120, 126, 11844),  # x 1.05; 94 lb each
        "terrace_8in_corner": (10, 11, 814),
        "terrace_cap_4in": (26, 28, 1848),
        "base_stone": (PAD, D("2.5"), 5000),  # x 1.1 x 1.10 x 2,700 lb = 4,537.5 lb
        "drain_stone": (STONE + CORES, D("6.5"), 17550),  # 5.3704 yd3 x 1.1 x 1.05 = 6.203
        "drain_pipe": (36, 1, 32),
        "outlet_pipe": (4, 1, 10),
        "filter_fabric": (36 * (36 + 12 + 12) / 12, 1, 20),
        "cap_adhesive": (2 * 36 / 38, 2, 5),
        "haul_off": (leaves, up(leaves, "0.01"), leaves * 27 * 77),  # loose
        "import_fill": (comes, up(comes, "0.01"), comes * 27 * 102.7),
        "topsoil": (8, 10, 21600),  # x 1.20 = 9.6
    }
    return {
        **counted(lines),
        "cut": cut,
        "backfill": back,
        "fill": fill,
        "reused": 0,
        "haul_off": leaves,
        "import": comes,
        "haul_loads": 1,
        "import_loads": 17,  # 84.66 yd3 by 6 are 15, 234,750 lb by 14,000 are 17
    }


def quantities() -> Quantities:
    """What is worked. Clay digs 1.24 times as hard; the way is no longer than is included."""
    tons = (11844 + 814 + 1848 + 5000 + 17550 + 32 + 10 + 20 + 5) / 2000
    leaves, _ = soil()
    cut, back, _ = earth()
    # Fill of 36 in comes up with the courses as far as a machine reaches, 33 to 180 in behind the
    # line; what lies beyond, to 240 in, is graded later.
    behind, later = 36 * 147 * 432 / YARD, 36 * 60 * 432 / YARD
    strip = 36 * 40 / 12 / 27  # 12 in behind the face; the stone lies in it first
    return {
        "set_out": 36,
        "dig_by_hand": (cut, "1.24"),
        "load_soil": leaves,
        "place_pad": PAD,
        "compact_pad": PAD,
        "level_base_course": 26,
        "lay_pipe": 36,
        "lay_outlets": 1,
        "hang_fabric": 180,
        "move_material": tons,
        "drive_material": tons,
        "break_pallets": 156,  # a pallet of 36 weighs 3,384 lb, the skid steer lifts 1,900 lb
        "set_units": 120,
        "set_corners": 10,
        "cut_units": 5,  # 398 in are no whole units of 17 in
        "place_drain_stone": STONE,
        "fill_cores": CORES,
        "backfill": back + behind,
        "compact_strip": strip,
        "compact_backfill": back + behind - (strip - STONE),
        "set_caps": 26,
        "place_fill": later,
        "compact_fill": later,
        "spread_topsoil": 8,
        "spread_topsoil 2": 8,
    }


def page() -> dict[str, Figure]:
    """Every figure of the job. From trench to backfill it takes 43.87 h, 2.48 days; a trench may
    stay open for 2, so it is opened in 2 stretches."""
    leaves, comes = soil()
    work = work_of(quantities(), stretches=2)
    materials = {
        "terrace_8in": cost(126, "8.40"),
        "terrace_8in_corner": cost(11, "12.90"),
        "terrace_cap_4in": cost(28, "7.20"),
        "base_stone": cost(D("2.5"), "33.00"),
        "drain_stone": cost(D("6.5"), "45.00"),
        "drain_pipe": D("89.00"),
        "outlet_pipe": D("14.50"),
        "filter_fabric": D("118.00"),
        "cap_adhesive": D("18.50"),
        "import_fill": cost(up(comes, "0.01"), "27.50"),
        "topsoil": D("290.00"),
    }
    others = {
        "haul_off": cost(up(leaves, "0.01"), "31.00"),
        "delivery_demo_block_yard": D("165.00"),
        "delivery_demo_stone_yard": D("190.00"),  # 44,150 lb, with topsoil, in loads of 28,000
        "pallets_demo_block_yard": D("150.00"),  # 4 + 1 + 1 pallets
    }
    return {**bought(), **work, **money_page(materials, others, work)}


def by_mini() -> dict[str, Figure]:
    """4.03 yd3 of clay are 6.81 h by hand and 0.71 h of the mini excavator, which saves 6.10 h and
    no half day: 61.57 h and 9 h of 4 days begun are more than 3.5 days hold. It stays away."""
    return work_of(instead(quantities(), dig_by_hand="dig"), stretches=2)


def runner_up() -> dict[str, Figure]:
    """The narrow excavator digs for 1.54 h, for 90 a day less than the mini excavator. It saves no
    half day either: its hire and its way are for nothing."""
    return work_of(instead(quantities(), dig_by_hand="dig_narrow"), stretches=2)


OBJECTIONS = (
    ("line", "import_fill"),  # sand behind the wall, as clay is not put back
    ("line", "haul_off"),
    ("line", "topsoil"),
    ("line", "outlet_pipe"),
    ("line", "pallets_demo_block_yard"),
    ("needed", "permit"),
    ("needed", "engineering"),
    ("needed", "guard"),  # people will stand 3 ft above the lawn
    ("needed", "freight"),  # pipe, fabric and adhesive have no supplier
    ("caution", "permit-height"),
    ("caution", "permit-grading"),  # 73 yd3 are moved
    ("caution", "engineer-gravity-fails"),
    ("caution", "ground-left-standing"),  # the fill ends 3 ft high at 20 ft
    ("caution", "pad-without-fabric"),  # clear stone on clay
    ("caution", "machine-unit"),
    ("caution", "dust-when-cutting"),
    ("caution", "load-not-stated"),
    ("caution", "outlet-daylight"),
)
# 67.67 h and 2.25 h a day are 76.67 h; 3.5 days hold 69.72 h, 4 days 79.68 h.
JOB = Job(REQUEST, page, days="4", objections=OBJECTIONS, runner_up=runner_up)
