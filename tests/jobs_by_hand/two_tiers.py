"""Two tiers of 2 ft, 5 ft apart on a bank of 2.5:1, 30 ft long. By hand, in inches.

Each wall: no cap, joints at 24, 18 ... 0 and -6 in over its front grade; 6 in are buried: 5 courses
of 30 blocks of 12 in.

Ground: 12 in up at each plan line, 0.4 x more toward the soil; the upper line lies 60 in behind the
lower and 24 in higher, so both sections are alike. In front the bank is taken down level to 0,
which it meets 30 in out. Trench 24 in wide (-6 to 18) from -12; floor at -6 on to 24 in; 1:1 up, so
x - 30 = 12 + 0.4 x at x = 70, 40 in up.
  in front, -30 to -6:       24 x 9.6 / 2                = 115.2 in2
  trench, -6 to 18:          24 x (14.4 + 12)            = 633.6
  rest of floor, 18 to 24:   6 x (20.4 + 6)              = 158.4
  slope, 24 to 70:           27.6 x 46 / 2               = 634.8
From the lowest trench bottom, -12, to the highest top, 24 + 40, both cuts are one of 76 in: over
5 ft, where class B soil asks for 1:1, as the section does.
Put back: in front 6 x 6 = 36 in2 over the pad. Behind, course k from 12 + 0.75 k to the slope at
30 + z, 6 x (15 + 5.25 k), for k from 0 to 4 765 in2, less 22 x 12 of stone. Finished ground, 24 in,
meets the bank 30 in out; from there the cut is filled up to the bank: 24 x 9.6 / 2 + 16 x 9.6 / 2 =
192 in2.
Shared: what the lower wall digs over its slope from 30 in on, 24 x 9.6 / 2 in front of the upper
trench and 16 x 9.6 / 2 from it on, 192 in2. The lower wall digs it, once, and puts nothing of it
back: in front the ground stays at the upper wall's grade, and from the trench on the upper cut is
the deeper one (rules 13.16 to 13.18).
Ends stand open: each floor from -6 to 24 in lies 18 + 0.4 x deep. From 54 in on the ends of both
overlap as well, over the higher of -6 + r, r from the corner of the lower floor, and 18 + y.
"""

from __future__ import annotations

import math
from decimal import Decimal

from tests.given.hand_page import (
    BROKEN_GROUND,
    Figure,
    Lines,
    cost,
    counted,
    integral,
    sloped_end,
    up,
)
from tests.given.hand_rates import Quantities, money_page, work_of
from tests.given.job_checks import Job
from tests.given.quote_requests import Json

D = Decimal
YARD = 27 * 1728.0  # in3
PAD, STONE, CORES = 60 * 2 * 0.5 / 27, 60 * 22 / 12 / 27, 300 * 0.1 / 27  # yd3
REQUEST: Json = {
    "title": "Two tiers on a bank (invented)",
    "units": "us",
    "wall_system": "garden_6in",
    "section": "plain_gravity",
    "soils": {"retained": "loam"},
    "walls": [
        {
            "name": name,
            "plan": [{"kind": "straight", "length": "30 ft"}],
            "profile": [
                {
                    "station": "0 ft",
                    "exposed": "2 ft",
                    "front_grade": grade,
                    "existing_grade": bank,
                },
                {"station": "end", "exposed": "2 ft", "front_grade": grade},
            ],
            "existing_slope": "2.5:1",
        }
        for name, grade, bank in (("lower", "0 ft", "1 ft"), ("upper", "2 ft", "3 ft"))
    ],
    "tiers": [{"lower": "lower", "upper": "upper", "offset": "5 ft"}],
    "water": {"outlet": "daylight"},
    "access": {"distance": "60 ft", "narrowest_passage": "9 ft", "truck_drops": "driveway"},
    "site_work": [{"task": "lay_sod", "quantity": "400 ft2"}],
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
}


def ends() -> tuple[float, float]:
    """Both ends of one wall, and what of them both walls would dig, in in3."""
    alone = sloped_end(-6, -6, 24, ((0, 12), (60, 36)))
    both = integral(_across_ends, 54, 84, steps=200)
    return 2 * alone, 2 * both


def _across_ends(x: float) -> float:
    return integral(lambda y: _both_deep(x, y), 0, 28, steps=400)


def _both_deep(x: float, y: float) -> float:
    return max(0.0, 12 + 0.4 * x - max(-6 + math.hypot(x - 24, y), 18 + y))


def earth() -> tuple[float, float, float]:
    """Cut, what is put back, and the shared cut, in yd3."""
    alone, both = ends()
    shared = 192 * 360 + both
    cut = 2 * ((115.2 + 633.6 + 158.4 + 634.8) * 360 + alone) - shared
    back = 2 * ((36 + 765 - 22 * 12 + 192) * 360 + alone) - shared
    return cut / YARD, back / YARD, shared / YARD


def cuts() -> tuple[float, float, float]:
    """The lower wall's cut, the upper wall's, and the deepest of each, which is one: yd3 and ft."""
    alone, both = ends()
    cut = (1542 * 360 + alone) / YARD
    return cut, cut - (192 * 360 + both) / YARD, 76 / 12


def balance() -> tuple[float, float]:
    """Bank soil that is used again (shrink 0.10), and loose soil that leaves (swell 0.25)."""
    cut, back, _ = earth()
    return back / 0.90, (cut - back / 0.90) * 1.25


def bought() -> dict[str, Figure]:
    """What is counted, ordered and dug, of both walls together."""
    cut, back, _ = earth()
    reused, leaves = balance()
    lines: Lines = {
        "garden_6in": (300, 315, 16065),  # x 1.05; 51 lb each
        "base_stone": (PAD, 4, 8000),  # x 1.1 x 1.10 x 2,700 lb = 7,260 lb
        "drain_stone": (STONE + CORES, 6, 16200),  # 5.1852 yd3 x 1.1 x 1.05 = 5.989
        "drain_pipe": (60, 1, 32),
        "outlet_pipe": (8, 1, 10),
        "filter_fabric": (60 * (22 + 12 + 12) / 12, 1, 20),
        "haul_off": (leaves, up(leaves, "0.01"), leaves * 27 * 80),  # loose
        "sod": (400, 1, 2250),  # 420 of a pallet of 450 ft2
    }
    return {
        **counted(lines),
        "cut": cut,
        "backfill": back,
        "fill": 0,
        "reused": reused,
        "haul_off": leaves,
        "import": 0,
        "haul_loads": 3,  # 14.12 yd3 by 6
        "import_loads": 0,
    }


def quantities() -> Quantities:
    """What is worked; the way is 30 ft longer than the 30 ft that are included."""
    tons = (16065 + 8000 + 16200 + 32 + 10 + 20) / 2000
    cut, back, _ = earth()
    _, leaves = balance()
    # The strip of 12 in behind 150 ft2 of face; the stone lies in it first.
    strip = 150 / 27
    return {
        "set_out": 60,
        "dig": cut,
        "load_soil": leaves,
        "carry_soil": (leaves, "0.3"),
        "place_pad": PAD,
        "compact_pad": PAD,
        "level_base_course": 60,
        "lay_pipe": 60,
        "lay_outlets": 2,
        "hang_fabric": 230,
        "move_material": tons,
        "drive_material": tons,
        "drive_material_on": (tons, "0.3"),
        "break_pallets": 300,  # a pallet of 66 weighs 3,366 lb, the skid steer lifts 1,900 lb
        "set_light_units": 300,
        "cut_units": 4,  # a leg of whole units has a cut in courses 2 and 4
        "place_drain_stone": STONE,
        "fill_cores": CORES,
        "backfill": back,
        "compact_strip": strip,
        "ram_backfill": back - (strip - STONE),
        "lay_sod": 400,
    }


def work() -> dict[str, Figure]:
    """Hours and days, the upper wall begun when the lower one is done. 23.81 yd3 are 32.46 h by
    hand and 3.38 h of the mini excavator.

    In parts of a day: set-up, 3 h of 17.67 h, 0.17; digging the lower wall, 1.80 machine-hours of
    8, 0.22; from its trench to its backfill, 26.3 h, 1.49; digging the upper wall, 1.58
    machine-hours, 0.20. This begins on day 2 and ends at 2.08, on day 3, so the excavator is there
    on days 1 to 3. The plate is needed on days 1 and 3 and held in between, which costs nothing;
    what builds is there on days 1 to 4.
    """
    there = {"mini_excavator": 3, "skid_steer": 4, "plate": 3, "rammer": 4, "cut_off_saw": 4}
    days = {f"machine days {machine}": each for machine, each in there.items()}
    return {**work_of(quantities()), **days}


def page() -> dict[str, Figure]:
    """Every figure of the job."""
    _, leaves = balance()
    materials = {
        "garden_6in": cost(315, "4.95"),
        "base_stone": cost(4, "33.00"),
        "drain_stone": cost(6, "45.00"),
        "drain_pipe": D("89.00"),
        "outlet_pipe": D("14.50"),
        "filter_fabric": D("118.00"),
        "sod": D("198.00"),
    }
    others = {
        "haul_off": cost(up(leaves, "0.01"), "31.00"),
        "delivery_demo_block_yard": D("165.00"),
        "delivery_demo_stone_yard": D("95.00"),  # 24,200 lb
        "pallets_demo_block_yard": D("125.00"),  # 315 on 5 pallets
    }
    return {**bought(), **work(), **money_page(materials, others, work())}


OBJECTIONS = (
    ("line", "haul_off"),
    ("line", "sod"),
    ("line", "mini_excavator_day"),
    ("line", "machine_delivery"),
    ("line", "outlet_pipe"),  # an outlet for each wall
    ("needed", "freight"),  # pipe, fabric and sod have no supplier
    ("needed", "pallets"),
    ("caution", "tiers"),  # the upper wall loads the lower one
    ("caution", "overall-slope"),
    ("caution", "cut-slope"),  # 76 in from the lowest trench bottom to the top
    ("caution", "falls-into-cut"),
    ("caution", "machine-unit"),
    ("caution", "exposed-end"),
    ("caution", "dust-when-cutting"),
    ("caution", "topsoil-not-stated"),
    ("caution", "load-not-stated"),
    ("caution", "outlet-daylight"),
)
# 67.60 h and 2.25 h a day are 76.60 h; 3.5 days hold 69.72 h, 4 days 79.68 h.
JOB = Job(REQUEST, page, days="4", objections=OBJECTIONS, volumes=BROKEN_GROUND)
