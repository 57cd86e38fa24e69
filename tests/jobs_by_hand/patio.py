"""A patio raised by 2 ft between two sides of a house: legs of 10, 20 and 10 ft, two outside
corners of 90 deg. By hand, in inches.

Wall: cap 4 in, so joints at 20, 12, 4, -4 and -12 in; 6 in are buried, the base is at -12: 4
courses, each 1 in farther back. A leg of 120 in loses 1 in a course, that of 240 in loses 2.
  course 1  120 - 8.5, 240 - 2 x 17, 120 - 8.5 over 17 in:   7, 13, 7 standard units, 2 corners
  course 2  119 - 17,  238 - 2 x 8.5, 119 - 17:              6, 13, 6
  course 3  118 - 8.5, 236 - 2 x 17, 118 - 8.5:              7, 12, 7
  course 4  117 - 17,  234 - 2 x 8.5, 117 - 17:              6, 13, 6
  caps      117, 234, 117:                                   7, 14, 7
What lies x behind the line is 480 - 4 x long.

Ground: level at 0. Trench 25 in wide (-6 to 19) from -18, floor at -12 on to 25 in, from there 1:1
up to 37 in. In front it is filled again to 0, behind to 24 in: to 37 in as backfill, from there to
108 in as fill.
"""

from __future__ import annotations

from decimal import Decimal

from tests.given.hand_page import Figure, Lines, cost, counted, up
from tests.given.hand_rates import Quantities, instead, money_page, work_of
from tests.given.job_checks import Job
from tests.given.quote_requests import Json

D = Decimal
YARD = 27 * 1728.0  # in3
REQUEST: Json = {
    "title": "Patio between two sides of a house (invented)",
    "units": "us",
    "wall_system": "terrace_8in",
    "section": "plain_gravity",
    "soils": {"retained": "loam"},
    "walls": [
        {
            "name": "patio",
            "plan": [
                {"kind": "straight", "length": "10 ft"},
                {"kind": "corner", "side": "outside", "angle": "90 deg"},
                {"kind": "straight", "length": "20 ft"},
                {"kind": "corner", "side": "outside", "angle": "90 deg"},
                {"kind": "straight", "length": "10 ft"},
            ],
            "profile": [
                {
                    "station": "0 ft",
                    "exposed": "2 ft",
                    "front_grade": "0 ft",
                    "existing_grade": "0 ft",
                },
                {"station": "end", "exposed": "2 ft", "front_grade": "0 ft"},
            ],
            "graded_in_front": "2 ft",
            "graded_behind": "9 ft",
            "ends": {"start": "against_structure", "finish": "against_structure"},
        }
    ],
    "water": {"outlet": "daylight"},
    "access": {"distance": "40 ft", "narrowest_passage": "7 ft", "truck_drops": "driveway"},
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
}


def strip(begin: float, end: float, height: float) -> float:
    """Volume of a strip of one height between two offsets, in3."""
    return (end - begin) * height * (480 - 2 * (begin + end))


def slope(begin: float, low: float, height: float) -> float:
    """Volume between an upright at `begin` and a slope 1:1 that stands `low` in out at its foot,
    `height` up, in3: the widths weighed by how long they are."""
    return sum(
        strip(begin, begin + low + (k + 0.5) * height / 4000, height / 4000) for k in range(4000)
    )


def earth() -> tuple[float, float, float]:
    """Cut, backfill and fill, in yd3. Stone ends 25 in behind the first course, 1 in more behind
    each further one, and at 16 in up; over it soil lies against units and cap."""
    cut = strip(-6, 19, 18) + strip(19, 25, 12) + slope(25, 0, 12)
    front = strip(-6, 0, 12) + strip(0, 1, 4)
    behind = (
        slope(25, 0, 8)  # -12 to -4
        + slope(26, 7, 4)  # -4 to 0
        + strip(26, 37, 4)
        + strip(27, 37, 8)
        + strip(28, 37, 4)  # 12 to 16
        + strip(16, 37, 8)  # 16 to 24
    )
    return cut / YARD, (front + behind) / YARD, strip(37, 108, 24) / YARD


def stone() -> tuple[float, float]:
    """Drainage stone, and the strip of 12 in that is compacted by hand, with the stone in it, in
    yd3: behind the units, farther back with each course; the stone ends at 16 in, the strip with
    the last course."""
    courses = [strip(13 + k, 25 + k, 8) for k in range(4)]
    return (sum(courses) - strip(16, 28, 4)) / YARD, sum(courses) / YARD


def balance() -> tuple[float, float]:
    """Bank soil that is needed (shrink 0.10), and loose soil that is brought (swell 0.25)."""
    cut, back, fill = earth()
    need = (back + fill) / 0.90
    return need, (need - cut) * 1.25


PAD = strip(-6, 19, 6) / YARD
CORES = (103 * 0.3 + 8 * 0.1) / 27
PIPE = (480 - 4 * 13) / 12  # ft, behind the base course
# The rear of the stone, and a lap of 12 in below and above it, in ft2.
FABRIC = (12 * 380 + 8 * (380 + 376 + 372) + 4 * 368 + 12 * 368) / 144
TONS = (10246 + 666 + 1980 + 5000 + 13500 + 32 + 10 + 20 + 7.5) / 2000


def bought() -> dict[str, Figure]:
    """What is counted, ordered and dug."""
    cut, back, fill = earth()
    _, comes = balance()
    lines: Lines = {
        "terrace_8in": (103, 109, 10246),  # x 1.05 = 108.15; 94 lb each
        "terrace_8in_corner": (8, 9, 666),
        "terrace_cap_4in": (28, 30, 1980),
        "base_stone": (PAD, D("2.5"), 5000),  # x 1.1 x 1.10 x 2,700 lb = 4,769 lb
        "drain_stone": (stone()[0] + CORES, 5, 13500),  # 4.0465 yd3 x 1.1 x 1.05 = 4.674
        "drain_pipe": (PIPE, 1, 32),
        "outlet_pipe": (4, 1, 10),
        "filter_fabric": (FABRIC, 1, 20),
        "cap_adhesive": (2 * 39 / 38, 3, D("7.5")),  # caps 117 + 234 + 117 in
        "import_fill": (comes, up(comes, "0.01"), comes * 27 * 80),  # loose
    }
    return {
        **counted(lines),
        "cut": cut,
        "backfill": back,
        "fill": fill,
        "reused": cut,
        "haul_off": 0,
        "import": comes,
        "haul_loads": 0,
        "import_loads": 2,  # 8.10 yd3 by 6
    }


def quantities() -> Quantities:
    """What is worked; 40 ft of way are 10 ft more than is included. Two corners on 40 ft are fewer
    than one on each 15 ft: the layout is plain."""
    cut, back, fill = earth()
    _, comes = balance()
    drained, by_hand = stone()
    return {
        "set_out": 40,
        "dig_by_hand": cut,
        "carry_soil": (comes, "0.1"),
        "place_pad": PAD,
        "compact_pad": PAD,
        "level_base_course": 29,
        "lay_pipe": PIPE,
        "lay_outlets": 1,
        "hang_fabric": FABRIC,
        "move_material": TONS,
        "drive_material": TONS,
        "drive_material_on": (TONS, "0.1"),
        "break_pallets": 139,  # a pallet of 36 weighs 3,384 lb, the skid steer lifts 1,900 lb
        "set_units": 103,
        "set_corners": 8,
        "cut_units": 16,  # 3 legs by 4 courses, of whole units in the second; 4 mitres of caps
        "place_drain_stone": drained,
        "fill_cores": CORES,
        "backfill": back + fill,  # the fill ends 108 in behind the line, within reach
        "compact_strip": by_hand,
        "ram_backfill": back + fill - (by_hand - drained),
        "set_caps": 28,
    }


def page() -> dict[str, Figure]:
    """Every figure of the job."""
    _, comes = balance()
    work = work_of(quantities())
    materials = {
        "terrace_8in": cost(109, "8.40"),
        "terrace_8in_corner": cost(9, "12.90"),
        "terrace_cap_4in": cost(30, "7.20"),
        "base_stone": cost(D("2.5"), "33.00"),
        "drain_stone": cost(5, "45.00"),
        "drain_pipe": D("89.00"),
        "outlet_pipe": D("14.50"),
        "filter_fabric": D("118.00"),
        "cap_adhesive": cost(3, "9.25"),
        "import_fill": cost(up(comes, "0.01"), "27.50"),
    }
    others = {
        "delivery_demo_block_yard": D("165.00"),
        "delivery_demo_stone_yard": D("95.00"),
        "pallets_demo_block_yard": D("150.00"),  # 4 + 1 + 1 pallets
    }
    return {**bought(), **work, **money_page(materials, others, work)}


def runner_up() -> dict[str, Figure]:
    """5.55 yd3 are 7.56 h by hand, 1.71 h of the narrow excavator: 5.85 h less, of 59.16 h, are
    more than 2.5 days hold. Its hire and its way are for nothing."""
    return work_of(instead(quantities(), dig_by_hand="dig_narrow"))


OBJECTIONS = (
    ("line", "import_fill"),  # the cut doesn't fill the patio
    ("line", "outlet_pipe"),
    ("line", "delivery_demo_stone_yard"),
    ("line", "pallets_demo_block_yard"),
    ("line", "skid_steer_bring"),
    ("needed", "freight"),  # pipe, fabric and adhesive have no supplier
    ("needed", "surface"),  # nothing was said of paving or lawn
    ("caution", "footing-undermined"),  # the trench begins at the house
    ("caution", "end-against-structure"),
    ("caution", "ground-left-standing"),  # the fill ends at 9 ft
    ("caution", "topsoil-not-stated"),
    ("caution", "load-not-stated"),
    ("caution", "machine-unit"),
    ("caution", "dust-when-cutting"),
    ("caution", "outlet-daylight"),
)
# 52.41 h and 2.25 h a day are 59.16 h; 2.5 days hold 49.80 h, 3 days 59.76 h.
JOB = Job(REQUEST, page, days="3", objections=OBJECTIONS, runner_up=runner_up)
