"""A wall of 32 ft measured with rod and level: top 2.10, front 4.60, ground at the line 3.60 ft on
the rod. By hand, in inches over the front grade.

Wall: (4.60 - 2.10) x 12 is 30 in of height, the ground lies 12 in up. Cap 4 in, joints at 26, 18,
10, 2 and -6 in; 6 in are buried: 4 courses of 384 / 17, 23 units each; 23 caps.

Ground: 12 + x / 5. In front it is taken down level to 0, which it meets 60 in out. Trench 25 in
wide (-6 to 19) from -12; floor at -6 on to 25 in; 1:1 up, so x - 31 = 12 + x / 5 at x = 53.75,
22.75 in up.
  in front, -60 to -6:       54 x 10.8 / 2               = 291.6 in2
  trench, -6 to 19:          25 x (13.3 + 12)            = 632.5
  rest of floor, 19 to 25:   6 x (16.4 + 6)              = 134.4
  slope, 25 to 53.75:        23 x 28.75 / 2              = 330.625
Put back in front: 6 x 6 in2 over the pad. Behind, from the stone, which ends at 22 in up, over it
from the units, to the slope at 31 + z, from 22.75 in on to 53.75 in out:
  8 x 4 + 8 x 11 + 8 x 18 + 4 x 23 + 0.75 x 37.375 + 3.25 x 37.75 + 4 x 37.75 = 657.71875 in2
Beyond, up to 30 in, which the ground meets 90 in out: fill of 36.25 x 7.25 / 2.
Both ends stand open: over the floor from -6 to 25 in at -6.
"""

from __future__ import annotations

from decimal import Decimal

from tests.given.hand_page import Figure, Lines, cost, counted, sloped_end, up
from tests.given.hand_rates import Quantities, instead, money_page, work_of
from tests.given.job_checks import Job
from tests.given.quote_requests import Json

D = Decimal
YARD = 27 * 1728.0  # in3
PAD, STONE = 32 * 25 / 12 * 0.5 / 27, 32 * 28 / 12 / 27  # yd3; stone from -6 to 22 in
CORES = 92 * 0.3 / 27
REQUEST: Json = {
    "title": "Side yard measured with rod and level (invented)",
    "units": "us",
    "levels_are": "rod",
    "wall_system": "terrace_8in",
    "section": "plain_gravity",
    "soils": {"retained": "loam"},
    "walls": [
        {
            "name": "side yard",
            "plan": [{"kind": "straight", "length": "32 ft"}],
            "profile": [
                {
                    "station": "0 ft",
                    "top": "2.10 ft",
                    "front_grade": "4.60 ft",
                    "existing_grade": "3.60 ft",
                },
                {"station": "end", "top": "2.10 ft", "front_grade": "4.60 ft"},
            ],
            "existing_slope": "5:1",
            "graded_in_front": "5 ft",
            "graded_behind": "12 ft",
        }
    ],
    "water": {"outlet": "daylight"},
    "access": {"distance": "60 ft", "narrowest_passage": "8 ft", "truck_drops": "street"},
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
}


def earth() -> tuple[float, float, float]:
    """Cut, what is put back, and fill beyond the cut, in yd3."""
    ends = 2 * sloped_end(-6, -6, 25, ((0, 12), (60, 24)))
    cut = (291.6 + 632.5 + 134.4 + 330.625) * 384 + ends
    back = (36 + 657.71875) * 384 + ends
    return cut / YARD, back / YARD, 36.25 * 7.25 / 2 * 384 / YARD


def leaves() -> float:
    """Soil that leaves, loose, in yd3: swell 0.25, shrink 0.10."""
    cut, back, fill = earth()
    return (cut - (back + fill) / 0.90) * 1.25


def bought() -> dict[str, Figure]:
    """What is counted, ordered and dug."""
    cut, back, fill = earth()
    lines: Lines = {
        "terrace_8in": (92, 97, 9118),  # x 1.05 = 96.6; 94 lb each
        "terrace_cap_4in": (23, 25, 1650),  # x 1.05 = 24.15
        "base_stone": (PAD, D("2.5"), 5000),  # x 1.1 x 1.10 x 2,700 lb = 4,033 lb
        "drain_stone": (STONE + CORES, D("4.5"), 12150),  # 3.7877 yd3 x 1.1 x 1.05 = 4.375
        "drain_pipe": (32, 1, 32),
        "outlet_pipe": (4, 1, 10),
        "filter_fabric": (32 * (28 + 12 + 12) / 12, 1, 20),
        "cap_adhesive": (2 * 32 / 38, 2, 5),
        "haul_off": (leaves(), up(leaves(), "0.01"), leaves() * 27 * 80),  # loose
    }
    return {
        **counted(lines),
        "cut": cut,
        "backfill": back,
        "fill": fill,
        "reused": (back + fill) / 0.90,
        "haul_off": leaves(),
        "import": 0,
        "haul_loads": 1,
        "import_loads": 0,
    }


def quantities() -> Quantities:
    """What is worked; 60 ft of way are 30 ft more than is included."""
    tons = (9118 + 1650 + 5000 + 12150 + 32 + 10 + 20 + 5) / 2000
    cut, back, fill = earth()
    strip = 32 * 32 / 12 / 27  # 12 in behind the face; the stone lies in it first
    return {
        "set_out": 32,
        "dig": cut,
        "load_soil": leaves(),
        "carry_soil": (leaves(), "0.3"),
        "place_pad": PAD,
        "compact_pad": PAD,
        "level_base_course": 23,
        "lay_pipe": 32,
        "lay_outlets": 1,
        "hang_fabric": 32 * 52 / 12,
        "move_material": tons,
        "drive_material": tons,
        "drive_material_on": (tons, "0.3"),
        "break_pallets": 115,  # a pallet of 36 weighs 3,384 lb, the skid steer lifts 1,900 lb
        "set_units": 92,
        "cut_units": 4,  # 384 in are no whole units of 17 in
        "place_drain_stone": STONE,
        "fill_cores": CORES,
        "backfill": back + fill,  # the fill ends 90 in behind the line, within reach
        "compact_strip": strip,
        "ram_backfill": back + fill - (strip - STONE),
        "set_caps": 23,
    }


def page() -> dict[str, Figure]:
    """Every figure of the job."""
    work = work_of(quantities())
    materials = {
        "terrace_8in": cost(97, "8.40"),
        "terrace_cap_4in": cost(25, "7.20"),
        "base_stone": cost(D("2.5"), "33.00"),
        "drain_stone": cost(D("4.5"), "45.00"),
        "drain_pipe": D("89.00"),
        "outlet_pipe": D("14.50"),
        "filter_fabric": D("118.00"),
        "cap_adhesive": D("18.50"),
    }
    others = {
        "haul_off": cost(up(leaves(), "0.01"), "31.00"),
        "delivery_demo_block_yard": D("165.00"),
        "delivery_demo_stone_yard": D("95.00"),
        "pallets_demo_block_yard": D("100.00"),  # 3 + 1 pallets
        "extra_1": D("120.00"),  # street permit: the truck drops in the street
    }
    return {**bought(), **work, **money_page(materials, others, work)}


def runner_up() -> dict[str, Figure]:
    """The mini excavator digs in 1.68 h. Without the skid steer, 2.87 h at 71.50 and its way for
    60, soil and goods are loaded, wheeled and put back by hand: half a day more, 477.50."""
    by_hand = instead(
        quantities(),
        load_soil="load_by_hand",
        carry_soil="carry_soil_by_hand",
        drive_material="wheel_material",
        drive_material_on="carry_material",
        backfill="backfill_by_hand",
    )
    return work_of(by_hand)


OBJECTIONS = (
    ("line", "haul_off"),
    ("line", "extra_1"),  # the street permit
    ("needed", "freight"),  # pipe, fabric and adhesive have no supplier
    ("needed", "surface"),  # no sod or seed was asked for
    ("caution", "topsoil-not-stated"),
    ("caution", "load-not-stated"),
    ("caution", "exposed-end"),
    ("caution", "machine-unit"),
    ("caution", "dust-when-cutting"),
    ("caution", "street-used"),
    ("caution", "outlet-daylight"),
)
# 39.32 h and 2.25 h a day are 46.07 h; 2 days hold 39.84 h, 2.5 days 49.8 h.
JOB = Job(REQUEST, page, days="2.5", objections=OBJECTIONS, runner_up=runner_up)
