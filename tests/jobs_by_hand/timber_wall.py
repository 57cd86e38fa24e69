"""An old timber wall, 28 ft long and 2 ft 6 in high, taken down and built again in block. By hand.

Wall: no cap, so joints at 30, 24 ... 0 and -6 in; 6 in are buried: 6 courses of 28 blocks of 12 in.

Ground: 30 in behind the old wall, from 6 in before the new line on; level 0 in front of it, with a
face of 2 in between. Trench 24 in wide (-6 to 18) from -12; floor at -6 on to 24 in; 1:1 up to 60.
  face, -8 to -6:            2 x 30 / 2                  =   30 in2
  trench, -6 to 18:          24 x 42                     = 1008
  rest of floor, 18 to 24:   6 x 36                      =  216
  slope, 24 to 60:           36 x 36 / 2                 =  648
Put back in front: 6 x 6 = 36 in2 over the pad. Behind: course k from 12 + 0.75 k to the slope at
30 + z, 6 x (15 + 5.25 k), for k from 0 to 5 1012.5 in2, less 28 x 12 of stone.
Both ends stand open: the floor from -6 to 24 in lies 36 in deep.
"""

from __future__ import annotations

from decimal import Decimal

from tests.given.hand_page import Figure, Lines, cost, counted, sloped_end, up
from tests.given.hand_rates import Quantities, instead, money_page, work_of
from tests.given.job_checks import Job
from tests.given.quote_requests import Json

D = Decimal
YARD = 27 * 1728.0  # in3
PAD, STONE, CORES = 28 * 2 * 0.5 / 27, 28 * 1 * 28 / 12 / 27, 168 * 0.1 / 27  # yd3
BANK: list[Json] = [
    {"offset": "-10 ft", "elevation": "0 ft"},
    {"offset": "-8 in", "elevation": "0 ft"},
    {"offset": "-6 in", "elevation": "2 ft 6 in"},
    {"offset": "20 ft", "elevation": "2 ft 6 in"},
]
REQUEST: Json = {
    "title": "Old timber wall taken down and built again in block (invented)",
    "units": "us",
    "wall_system": "garden_6in",
    "section": "plain_gravity",
    "soils": {"retained": "loam"},
    "walls": [
        {
            "name": "new wall",
            "plan": [{"kind": "straight", "length": "28 ft"}],
            "profile": [
                {
                    "station": station,
                    "exposed": "2 ft 6 in",
                    "front_grade": "0 ft",
                    "existing_section": BANK,
                }
                for station in ("0 ft", "end")
            ],
            "graded_in_front": "2 ft",
            "graded_behind": "8 ft",
        }
    ],
    "site_work": [{"task": "take_down_timber_wall", "quantity": "70 ft2"}],
    "water": {"outlet": "daylight"},
    "access": {"distance": "40 ft", "narrowest_passage": "6 ft", "truck_drops": "driveway"},
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
}


def dug() -> tuple[float, float]:
    """Cut and what is put back, in yd3."""
    ends = 2 * sloped_end(-6, -6, 24, ((0, 30), (60, 30)))
    cut = (30 + 1008 + 216 + 648) * 336 + ends
    back = (36 + 1012.5 - 28 * 12) * 336 + ends
    return cut / YARD, back / YARD


def balance() -> tuple[float, float]:
    """Bank soil that is used again (shrink 0.10), and loose soil that leaves (swell 0.25)."""
    cut, back = dug()
    reused = back / 0.90
    return reused, (cut - reused) * 1.25


def bought() -> dict[str, Figure]:
    """What is counted, ordered and dug. Of the old wall 70 ft2 weigh 20 lb each."""
    cut, back = dug()
    reused, leaves = balance()
    lines: Lines = {
        "garden_6in": (168, 177, 9027),  # x 1.05; 51 lb each
        "base_stone": (PAD, 2, 4000),  # x 1.1 x 1.10 x 2,700 lb = 3,388 lb
        "drain_stone": (STONE + CORES, 4, 10800),  # 3.0420 yd3 x 1.1 x 1.05 = 3.513
        "drain_pipe": (28, 1, 32),
        "outlet_pipe": (4, 1, 10),
        "filter_fabric": (28 * (28 + 12 + 12) / 12, 1, 20),
        "haul_off": (leaves, up(leaves, "0.01"), leaves * 27 * 80),  # loose
        "tip_treated_timber": (1400, D("0.7"), 1400),
    }
    return {
        **counted(lines),
        "cut": cut,
        "backfill": back,
        "fill": 0,
        "reused": reused,
        "haul_off": leaves,
        "import": 0,
        "haul_loads": 2,  # 9.81 yd3 by 6, 21,183 lb by 14,000
        "import_loads": 0,
    }


def quantities() -> Quantities:
    """What is worked; the way is 10 ft longer than the 30 ft that are included."""
    tons = (9027 + 4000 + 10800 + 32 + 10 + 20) / 2000
    cut, back = dug()
    _, leaves = balance()
    # The strip of 12 in behind 84 ft2 of face; the stone lies in it first.
    strip = 84 / 27
    return {
        "take_down_timber_wall": 70,
        "take_down_timber_wall 2": 70,
        "set_out": 28,
        "dig": cut,
        "load_soil": leaves,
        "carry_soil": (leaves, "0.1"),
        "place_pad": PAD,
        "compact_pad": PAD,
        "level_base_course": 28,
        "lay_pipe": 28,
        "lay_outlets": 1,
        "hang_fabric": 28 * 52 / 12,
        "move_material": tons,
        "drive_material": tons,
        "drive_material_on": (tons, "0.1"),
        "break_pallets": 168,  # a pallet of 66 weighs 3,366 lb, the skid steer lifts 1,900 lb
        "set_light_units": 168,
        "cut_units": 3,  # a leg of whole units has a cut in courses 2, 4 and 6
        "place_drain_stone": STONE,
        "fill_cores": CORES,
        "backfill": back,
        "compact_strip": strip,
        "ram_backfill": back - (strip - STONE),
    }


def page() -> dict[str, Figure]:
    """Every figure of the job."""
    _, leaves = balance()
    work = work_of(quantities())
    materials = {
        "garden_6in": cost(177, "4.95"),
        "base_stone": cost(2, "33.00"),
        "drain_stone": cost(4, "45.00"),
        "drain_pipe": D("89.00"),
        "outlet_pipe": D("14.50"),
        "filter_fabric": D("118.00"),
    }
    others = {
        "haul_off": cost(up(leaves, "0.01"), "31.00"),
        "tip_treated_timber": cost(D("0.7"), "118.00"),
        "delivery_demo_block_yard": D("165.00"),
        "delivery_demo_stone_yard": D("95.00"),
        "pallets_demo_block_yard": D("75.00"),  # 177 on 3 pallets
    }
    return {**bought(), **work, **money_page(materials, others, work)}


def runner_up() -> dict[str, Figure]:
    """The mini excavator digs 15.05 yd3 in 2.13 h of day 1. The narrow one takes 4.65 h, and after
    9.7 h of three people, more than half of day 1, it has less than 4 h left: it is there on a
    second day, and 2 x 195 are more than 285. Either way the crew has 3 days."""
    return work_of(instead(quantities(), dig="dig_narrow"))


OBJECTIONS = (
    ("line", "tip_treated_timber"),  # tipped apart from other timber
    ("line", "haul_off"),
    ("line", "mini_excavator_day"),
    ("line", "machine_delivery"),
    ("line", "machine_pick_up"),
    ("line", "outlet_pipe"),
    ("needed", "engineering"),  # a plain gravity wall of this height doesn't pass
    ("needed", "surface"),  # nobody lays lawn again where the work has been
    ("needed", "freight"),  # pipe and fabric have no supplier
    ("caution", "engineer-gravity-fails"),
    ("caution", "machine-unit"),
    ("caution", "exposed-end"),
    ("caution", "dust-when-cutting"),
    ("caution", "topsoil-not-stated"),
    ("caution", "load-not-stated"),
    ("caution", "outlet-daylight"),
)
# 45.15 h and 2.25 h a day are 51.90 h; 2.5 days hold 49.80 h, 3 days 59.76 h.
JOB = Job(REQUEST, page, days="3", objections=OBJECTIONS, runner_up=runner_up)
