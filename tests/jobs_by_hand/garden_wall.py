"""A garden wall of 24 ft, 2 ft high, against a lawn that rises 4:1. By hand, in inches and feet.

Wall: no cap, so the joints are at 24, 18, 12, 6, 0 and -6 in; 6 in are buried, the base is at -6:
5 courses of 24 blocks of 12 in.

Ground: 12 in up at the plan line, x / 4 more toward the soil. In front it is taken down level to 0,
which it meets 48 in out. Trench 24 in wide (-6 to 18) from -12; floor at -6 on to 24 in, where the
drainage stone ends; from there 1:1 up. x - 30 = 12 + x / 4 at x = 56.
  in front, -48 to -6:          42 x 10.5 / 2                     = 220.5 in2
  trench, -6 to 18:             24 x (13.5 + 12)                  = 612
  rest of floor, 18 to 24:      6 x (17.25 + 6)                   = 139.5
  slope, 24 to 56:              24 x 32 / 2                       = 384
Put back in front: 6 x 6 = 36 in2 over the pad. Behind: course k from 12 + 0.75 k to the slope at
30 + z, 6 x (15 + 5.25 k), for k from 0 to 4 765 in2; where the lawn lies over 24 in, 6 x 2 / 2
more; less 22 x 12 of stone.
Ends, into the grade: over the floor from -6 to 24 in, 18 + x / 4 deep.
"""

from __future__ import annotations

from decimal import Decimal

from tests.given.hand_page import Figure, Lines, cost, counted, sloped_end, up
from tests.given.hand_rates import Quantities, instead, money_page, work_of
from tests.given.job_checks import Job
from tests.given.quote_requests import Json

D = Decimal
YARD = 27 * 1728.0  # in3
PAD, STONE, CORES = 24 * 2 * 0.5 / 27, 24 * 1 * 22 / 12 / 27, 120 * 0.1 / 27  # yd3
REQUEST: Json = {
    "title": "Garden wall of 24 ft (invented)",
    "units": "us",
    "wall_system": "garden_6in",
    "section": "plain_gravity",
    "soils": {"retained": "loam"},
    "walls": [
        {
            "name": "garden",
            "plan": [{"kind": "straight", "length": "24 ft"}],
            "profile": [
                {
                    "station": "0 ft",
                    "exposed": "2 ft",
                    "front_grade": "0 ft",
                    "existing_grade": "1 ft",
                },
                {"station": "end", "exposed": "2 ft", "front_grade": "0 ft"},
            ],
            "existing_slope": "4:1",
            "graded_in_front": "4 ft",
            "graded_behind": "10 ft",
            "ends": {"start": "into_grade", "finish": "into_grade"},
        }
    ],
    "water": {"outlet": "daylight"},
    "access": {"distance": "50 ft", "narrowest_passage": "8 ft", "truck_drops": "driveway"},
    "site_work": [
        {"task": "strip_sod", "quantity": "150 ft2"},
        {"task": "lay_sod", "quantity": "150 ft2"},
    ],
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
}


def dug() -> tuple[float, float]:
    """Cut and what is put back, in yd3."""
    ends = 2 * sloped_end(-6, -6, 24, ((0, 12), (60, 27)))
    cut = (220.5 + 612 + 139.5 + 384) * 288 + ends
    back = (36 + 765 + 6 - 22 * 12) * 288 + ends
    return cut / YARD, back / YARD


def bought() -> dict[str, Figure]:
    """What is counted and ordered."""
    hauled = leaves()
    lines: Lines = {
        "garden_6in": (120, 126, 6426),  # x 1.05; 51 lb each
        "base_stone": (PAD, D("1.5"), 3000),  # x 1.1 x 1.10 x 2,700 lb = 2,904 lb
        "drain_stone": (STONE + CORES, D("2.5"), 6750),  # 2.0741 yd3 x 1.1 x 1.05 = 2.396
        "drain_pipe": (24, 1, 32),
        "outlet_pipe": (4, 1, 10),
        "filter_fabric": (24 * (22 + 12 + 12) / 12, 1, 20),
        "haul_off": (hauled, up(hauled, "0.01"), hauled * 27 * 80),  # loose
        "sod": (150, 1, 2250),  # 157.5 of a pallet of 450 ft2
        "tip_sod": (150 * 0.25 / 27, D("1.5"), 150 * 0.25 / 27 * 1900),
    }
    return counted(lines)


def leaves() -> float:
    """Soil that leaves, loose, in yd3: swell 0.25, shrink 0.10."""
    cut, back = dug()
    return (cut - back / 0.90) * 1.25


def earth() -> dict[str, Figure]:
    """The balance; one truck holds 6 yd3."""
    cut, back = dug()
    return {
        "cut": cut,
        "backfill": back,
        "fill": 0,
        "reused": back / 0.90,
        "haul_off": leaves(),
        "import": 0,
        "haul_loads": 1,
        "import_loads": 0,
    }


def quantities() -> Quantities:
    """What is worked. 16,238 lb are brought, 20 ft farther than the 30 ft that are included."""
    tons = (6426 + 3000 + 6750 + 32 + 10 + 20) / 2000
    cut, back = dug()
    # The strip of 12 in behind 60 ft2 of face; the stone lies in it first.
    strip = 60 / 27
    return {
        "set_out": 24,
        "strip_sod": 150,
        "dig_narrow": cut,
        "load_soil": leaves(),
        "carry_soil": (leaves(), "0.2"),
        "place_pad": PAD,
        "compact_pad": PAD,
        "level_base_course": 24,
        "lay_pipe": 24,
        "lay_outlets": 1,
        "hang_fabric": 92,
        "move_material": tons,
        "drive_material": tons,
        "drive_material_on": (tons, "0.2"),
        "break_pallets": 120,  # a pallet of 66 weighs 3,366 lb, the skid steer lifts 1,900 lb
        "set_light_units": 120,
        "cut_units": 2,  # a leg of whole units has a cut in courses 2 and 4
        "place_drain_stone": STONE,
        "fill_cores": CORES,
        "backfill": back,
        "compact_strip": strip,
        "ram_backfill": back - (strip - STONE),
        "lay_sod": 150,
    }


def page() -> dict[str, Figure]:
    """Every figure of the job."""
    work = work_of(quantities())
    materials = {
        "garden_6in": cost(126, "4.95"),
        "base_stone": cost(D("1.5"), "33.00"),
        "drain_stone": cost(D("2.5"), "45.00"),
        "drain_pipe": D("89.00"),
        "outlet_pipe": D("14.50"),
        "filter_fabric": D("118.00"),
        "sod": D("198.00"),
    }
    others = {
        "haul_off": cost(up(leaves(), "0.01"), "31.00"),
        "tip_sod": cost(D("1.5"), "29.00"),
        "delivery_demo_block_yard": D("165.00"),
        "delivery_demo_stone_yard": D("95.00"),
        "pallets_demo_block_yard": D("50.00"),  # 126 on 2 pallets
    }
    return {**bought(), **earth(), **work, **money_page(materials, others, work)}


def runner_up() -> dict[str, Figure]:
    """8.86 yd3 by hand are 12.08 h and not 2.74 h: 2.5 days of the crew. Half a day is 477.50, the
    narrow excavator 2.74 x 2.20 + 195 + 190 = 391.03: it comes."""
    return work_of(instead(quantities(), dig_narrow="dig_by_hand"))


OBJECTIONS = (
    ("line", "tip_sod"),  # the lawn is taken off and leaves
    ("line", "sod"),  # and is laid again
    ("line", "haul_off"),
    ("line", "outlet_pipe"),
    ("line", "pallets_demo_block_yard"),
    ("line", "skid_steer_bring"),
    ("needed", "freight"),  # pipe, fabric and sod have no supplier
    ("caution", "machine-unit"),  # the skid steer beside the fresh wall
    ("caution", "dust-when-cutting"),
    ("caution", "load-not-stated"),
    ("caution", "topsoil-not-stated"),
    ("caution", "outlet-daylight"),
)
# 32.63 h and 2.25 h a day are 37.13 h; 1.5 days hold 29.88 h, 2 days 39.84 h.
JOB = Job(REQUEST, page, days="2", objections=OBJECTIONS, runner_up=runner_up)
