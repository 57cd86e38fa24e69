"""A yard of 44 x 60 ft lowered by 3 ft, some 330 yd3, with a wall along its rear. By hand, in
inches.

Wall: cap 4 in, joints at 32, 24 ... 0 and -8 in; 6 in are buried: 5 courses of 720 / 17, 43 units
each; 43 caps.

Ground: a bank 36 in high, level from 42 ft in front of the line on, falling to 0 over 4 ft more. It
is taken down to 0 in front. Trench 25 in wide (-6 to 19) from -14; floor at -8 on to 25 in; from
there 1:1 up to 69 in.
  foot of the bank, -552 to -504:   48 x 36 / 2          =   864 in2
  in front, -504 to -6:             498 x 36             = 17928
  trench, -6 to 19:                 25 x 50              =  1250
  rest of floor, 19 to 25:          6 x 44               =   264
  slope, 25 to 69:                  44 x 44 / 2          =   968
Put back in front: 6 x 8 = 48 in2 over the pad. Behind, from the stone, which ends at 28 in up, over
it from the units, to the slope at 33 + z:
  32 + 8 x 11 + 8 x 18 + 8 x 25 + 4 x 30 + 4 x 46 + 4 x 50 = 968 in2
Both ends stand open: the floor from -6 to 25 in lies 44 in deep.
"""

from __future__ import annotations

from decimal import Decimal

from tests.given.hand_page import Figure, Lines, cost, counted, sloped_end, up
from tests.given.hand_rates import Quantities, instead, money_page, work_of
from tests.given.job_checks import Job
from tests.given.quote_requests import Json

D = Decimal
YARD = 27 * 1728.0  # in3
PAD, STONE = 60 * 25 / 12 * 0.5 / 27, 60 * 3 / 27  # yd3; stone from -8 to 28 in
CORES = 215 * 0.3 / 27
BANK: list[Json] = [
    {"offset": "-60 ft", "elevation": "0 ft"},
    {"offset": "-46 ft", "elevation": "0 ft"},
    {"offset": "-42 ft", "elevation": "3 ft"},
    {"offset": "40 ft", "elevation": "3 ft"},
]
REQUEST: Json = {
    "title": "Yard lowered, with a wall along its rear (invented)",
    "units": "us",
    "wall_system": "terrace_8in",
    "section": "plain_gravity",
    "soils": {"retained": "loam"},
    "walls": [
        {
            "name": "rear",
            "plan": [{"kind": "straight", "length": "60 ft"}],
            "profile": [
                {
                    "station": station,
                    "exposed": "3 ft",
                    "front_grade": "0 ft",
                    "existing_section": BANK,
                }
                for station in ("0 ft", "end")
            ],
            "graded_behind": "8 ft",
        }
    ],
    "water": {"outlet": "daylight"},
    "access": {"distance": "60 ft", "narrowest_passage": "10 ft", "truck_drops": "street"},
    "site_work": [{"task": "seed_and_blanket", "quantity": "2640 ft2"}],
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
}


def earth() -> tuple[float, float, float]:
    """Cut, what is put back, and fill beyond the cut, in yd3."""
    ends = 2 * sloped_end(-8, -6, 25, ((0, 36), (60, 36)))
    cut = (864 + 17928 + 1250 + 264 + 968) * 720 + ends
    back = (48 + 968) * 720 + ends
    return cut / YARD, back / YARD, 0.0


def leaves() -> float:
    """Soil that leaves, loose, in yd3: swell 0.25, shrink 0.10."""
    cut, back, _ = earth()
    return (cut - back / 0.90) * 1.25


def bought() -> dict[str, Figure]:
    """What is counted, ordered and dug."""
    cut, back, _ = earth()
    lines: Lines = {
        "terrace_8in": (215, 226, 21244),  # x 1.05 = 225.75; 94 lb each
        "terrace_cap_4in": (43, 46, 3036),  # x 1.05 = 45.15; 66 lb each
        "base_stone": (PAD, 4, 8000),  # 2.3148 yd3 x 1.1 x 1.10 x 2,700 lb = 7,562 lb
        "drain_stone": (STONE + CORES, D("10.5"), 28350),  # 9.0556 yd3 x 1.1 x 1.05 = 10.459
        "drain_pipe": (60, 1, 32),
        "outlet_pipe": (8, 1, 10),  # an outlet each 50 ft: 2, of 4 ft each
        "filter_fabric": (60 * (36 + 12 + 12) / 12, 1, 20),
        "cap_adhesive": (2 * 60 / 38, 4, 10),
        "haul_off": (leaves(), up(leaves(), "0.01"), leaves() * 27 * 80),  # loose
        "grass_seed": (D("10.56"), 1, 25),  # 4 lb on 1,000 ft2
        "erosion_blanket": (2640, 4, 200),  # x 1.10 = 2,904 ft2, rolls of 900
        "blanket_staple": (D("316.8"), 1),  # 0.12 a square foot
    }
    return {
        **counted(lines),
        "cut": cut,
        "backfill": back,
        "fill": 0,
        "reused": back / 0.90,
        "haul_off": leaves(),
        "import": 0,
        "haul_loads": up(leaves(), "6") / 6,  # 6 yd3 weigh 12,960 lb of 14,000
        "import_loads": 0,
    }


def quantities() -> Quantities:
    """What is worked; 60 ft of way are 30 ft more than is included."""
    tons = (21244 + 3036 + 8000 + 28350 + 32 + 10 + 20 + 10) / 2000
    cut, back, _ = earth()
    strip = 60 * 40 / 12 / 27  # 12 in behind the face; the stone lies in it first
    return {
        "set_out": 60,
        "dig": cut,
        "load_soil": leaves(),
        "carry_soil": (leaves(), "0.3"),
        "place_pad": PAD,
        "compact_pad": PAD,
        "level_base_course": 43,
        "lay_pipe": 60,
        "lay_outlets": 2,
        "hang_fabric": 300,
        "move_material": tons,
        "drive_material": tons,
        "drive_material_on": (tons, "0.3"),
        "break_pallets": 258,  # a pallet of 36 weighs 3,384 lb, the skid steer lifts 1,900 lb
        "set_units": 215,
        "cut_units": 5,  # 720 in are no whole units of 17 in
        "place_drain_stone": STONE,
        "fill_cores": CORES,
        "backfill": back,
        "compact_strip": strip,
        "ram_backfill": back - (strip - STONE),
        "set_caps": 43,
        "seed_and_blanket": 2640,
    }


def page() -> dict[str, Figure]:
    """Every figure of the job. From trench to backfill it takes 61.62 h, 3.49 days; a trench may
    stay open for 2, so it is opened in 2 stretches."""
    work = work_of(quantities(), stretches=2)
    materials = {
        "terrace_8in": cost(226, "8.40"),
        "terrace_cap_4in": cost(46, "7.20"),
        "base_stone": cost(4, "33.00"),
        "drain_stone": cost(D("10.5"), "45.00"),
        "drain_pipe": D("89.00"),
        "outlet_pipe": D("14.50"),
        "filter_fabric": D("118.00"),
        "cap_adhesive": cost(4, "9.25"),
        "grass_seed": D("74.00"),
        "erosion_blanket": cost(4, "68.00"),
        "blanket_staple": D("39.00"),
    }
    others = {
        "haul_off": cost(up(leaves(), "0.01"), "31.00"),
        "delivery_demo_block_yard": D("165.00"),
        "delivery_demo_stone_yard": D("190.00"),  # 36,350 lb in loads of 28,000
        "pallets_demo_block_yard": D("200.00"),  # 7 + 1 pallets
        "extra_1": D("120.00"),  # street permit: the truck drops in the street
    }
    return {**bought(), **work, **money_page(materials, others, work)}


def runner_up() -> dict[str, Figure]:
    """All machines pass. The stand-on loader loads and carries for 81 h: it holds the crew for days
    at 955."""
    by_loader = instead(
        quantities(),
        load_soil="load_soil_narrow",
        carry_soil="carry_soil_narrow",
        drive_material="drive_material_narrow",
        drive_material_on="drive_material_on_narrow",
        backfill="backfill_narrow",
    )
    return work_of(by_loader, stretches=2)


def dug_otherwise() -> tuple[dict[str, Figure], dict[str, Figure]]:
    """The narrow excavator digs for 102.02 h: it, too, holds the crew for days. By hand the digging
    alone takes 450 h."""
    return (
        work_of(instead(quantities(), dig="dig_narrow"), stretches=2),
        work_of(instead(quantities(), dig="dig_by_hand"), stretches=2),
    )


OBJECTIONS = (
    ("line", "haul_off"),  # 65 loads
    ("line", "mini_excavator_week"),  # 7 days are a week and 2 days
    ("line", "mini_excavator_day"),
    ("line", "machine_delivery"),
    ("line", "skid_steer_bring"),
    ("line", "outlet_pipe"),
    ("line", "grass_seed"),  # the yard is bare after it
    ("line", "erosion_blanket"),
    ("line", "extra_1"),  # the street permit
    ("needed", "permit"),
    ("needed", "engineering"),
    ("needed", "guard"),  # people stand 3 ft above the yard
    ("needed", "freight"),  # pipe, fabric, adhesive and seed have no supplier
    ("caution", "permit-height"),
    ("caution", "permit-grading"),  # 330 yd3 are moved
    ("caution", "engineer-gravity-fails"),
    ("caution", "trench-egress"),  # 50 in deep
    ("caution", "machine-unit"),
    ("caution", "dust-when-cutting"),
    ("caution", "topsoil-not-stated"),  # seed needs it
    ("caution", "load-not-stated"),
    ("caution", "exposed-end"),
    ("caution", "street-used"),
    ("caution", "outlet-daylight"),
)
# The excavator digs for 46.87 h, 5.86 days of 8 h, and three people have 87.02 h beside it,
# 4.92 days: the rough cut takes 5.86. The other 81.58 h are 4.62 days of 17.67 h, and 10.48 days
# end in the afternoon of day 11.
JOB = Job(REQUEST, page, days="11", objections=OBJECTIONS, runner_up=runner_up)
