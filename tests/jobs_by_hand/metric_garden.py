"""A garden wall of 12 m, 0.8 m high, all in metric. By hand, in centimeters.

Wall: cap 8 cm, joints at 72, 52, 32, 12, -8 and -28 cm; 15 cm are buried: 5 courses of 30 units of
40 cm, each 2 cm farther back; 30 caps.

Ground: 30 cm up at the plan line, x / 4 more toward the soil. In front it is taken down level to 0,
which it meets 120 cm out. Trench 60 cm wide (-15 to 45) from -43; floor at -28 on to 60 cm; 1:1 up,
so x - 88 = 30 + x / 4 at x = 157 1/3, 69 1/3 cm up.
  in front, -120 to -15:     105 x 26.25 / 2             = 1378.125 cm2
  trench, -15 to 45:         60 x (33.75 + 43)           = 4605
  rest of floor, 45 to 60:   15 x (43.125 + 28)          = 1066.875
  slope:                     73 x 97 1/3 / 2             = 3552.6667
Put back in front: 15 x 28 over the pad and 2 x 8 before the second course. Behind, from the stone,
which ends 60 cm behind the first course and at 60 cm up, over it from the units, to the slope at
88 + z and from 69 1/3 up to 157 1/3 out:
  20 x 10 + 20 x 28 + 20 x 46 + 20 x 64 + 8 x 76 + 9 1/3 x 114 2/3 + 10 2/3 x 119 1/3
Beyond, up to 80 cm, which the ground meets 200 cm out: fill of 42 2/3 x 10 2/3 / 2.
Both ends stand open: the floor from -15 to 60 cm lies 58 + x / 4 deep.

Rates and soil are in feet, yards, tons and pounds: each quantity is turned into them exactly.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from tests.given.hand_page import Figure, Lines, cost, counted, sloped_end, up
from tests.given.hand_rates import Quantities, instead, money_page, work_of
from tests.given.job_checks import Job
from tests.given.quote_requests import Json

D = Decimal
CUBIC = 1e6  # cm3 in a m3
POUND, FOOT = Fraction("0.45359237"), Fraction("0.3048")  # kg, m
YARD = 27 * FOOT**3  # m3
PAD, STONE, CORES = 12 * 0.6 * 0.15, 12 * 0.3 * 0.88, 150 * 0.005  # m3; stone from -28 to 60 cm
REQUEST: Json = {
    "title": "Garden wall of 12 m (invented)",
    "units": "metric",
    "wall_system": "metric_200",
    "section": "plain_gravity_metric",
    "soils": {"retained": "silty_sand"},
    "walls": [
        {
            "name": "garden",
            "plan": [{"kind": "straight", "length": "12 m"}],
            "profile": [
                {
                    "station": "0 m",
                    "exposed": "0.8 m",
                    "front_grade": "0 m",
                    "existing_grade": "0.3 m",
                },
                {"station": "end", "exposed": "0.8 m", "front_grade": "0 m"},
            ],
            "existing_slope": "4:1",
            "graded_in_front": "1.2 m",
            "graded_behind": "4 m",
        }
    ],
    "water": {"outlet": "daylight"},
    "access": {"distance": "20 m", "narrowest_passage": "2.5 m", "truck_drops": "driveway"},
    "rates": "small_crew",
    "prices": {"price_list": "demo_2026"},
    "terms": "standard",
}


def earth() -> tuple[float, float, float]:
    """Cut, what is put back, and fill beyond the cut, in m3."""
    ends = 2 * sloped_end(-28, -15, 60, ((0, 30), (60, 45)))
    cut = (1378.125 + 4605 + 1066.875 + 73 * (97 + 1 / 3) / 2) * 1200 + ends
    third = 1 / 3
    over_stone = (9 + third) * (114 + 2 * third) + (10 + 2 * third) * (119 + third)
    behind = 20 * (10 + 28 + 46 + 64) + 8 * 76 + over_stone
    back = (15 * 28 + 2 * 8 + behind) * 1200 + ends
    fill = (42 + 2 * third) * (10 + 2 * third) / 2 * 1200
    return cut / CUBIC, back / CUBIC, fill / CUBIC


def leaves() -> float:
    """Soil that leaves, loose, in m3: swell 0.25, shrink 0.10."""
    cut, back, fill = earth()
    return (cut - (back + fill) / 0.90) * 1.25


def bought() -> dict[str, Figure]:
    """What is counted, ordered and dug; soil that leaves is ordered by the yard of its price."""
    cut, back, fill = earth()
    lines: Lines = {
        "metric_200": (150, 158, 6241),  # x 1.05 = 157.5; 39.5 kg each
        "metric_cap_80": (30, 32, 640),  # x 1.05 = 31.5; 20 kg each
        "base_stone_metric": (PAD, D("2.5"), 2500),  # 1.08 m3 x 1.1 x 1.10 x 1,600 kg = 2,091 kg
        "drain_stone_metric": (STONE + CORES, 5, 8000),  # 3.918 m3 x 1.1 x 1.05 = 4.525
        "drain_pipe_metric": (12, 1, 22),  # a roll of 50 m
        "outlet_pipe_metric": (D("1.2"), 1, 5),
        "filter_fabric_metric": (12 * (0.88 + 0.3 + 0.3), 1, 15),
        "cap_adhesive": (2 * 12 / 11.6, 3, 3 * Fraction("2.5") * POUND),
        "haul_off": (
            leaves(),
            up(float(leaves() / YARD), "0.01"),
            leaves() * float(Fraction("86.4") * POUND / FOOT**3),  # loose
        ),
    }
    return {
        **counted(lines),
        "cut": cut,
        "backfill": back,
        "fill": fill,
        "reused": (back + fill) / 0.90,
        "haul_off": leaves(),
        "import": 0,
        "haul_loads": up(float(leaves() / YARD), "6") / 6,  # 6 yd3 weigh 13,997 lb of 14,000
        "import_loads": 0,
    }


def yards(volume: float) -> Fraction:
    """A volume in m3, with the nine digits that are shown, in yd3."""
    return Fraction(f"{volume:.9g}") / YARD


def quantities() -> Quantities:
    """What is worked. A unit of 39.5 kg is one of 87 lb, up to 100 lb."""
    cut, back, fill = earth()
    delivered = 6241 + 640 + 2500 + 8000 + 22 + 5 + 15 + 3 * Fraction("2.5") * POUND
    tons = Fraction(delivered) / (2000 * POUND)
    farther = str((20 / FOOT - 30) / 100)  # 65.6 ft of way, 30 ft are included
    strip = 12 * 0.3048  # m3, 12 in behind 1 m of courses; the stone lies in it first
    return {
        "set_out": 12 / FOOT,
        "dig": yards(cut),
        "load_soil": yards(leaves()),
        "carry_soil": (yards(leaves()), farther),
        "place_pad": yards(PAD),
        "compact_pad": yards(PAD),
        "level_base_course": 30,
        "lay_pipe": 12 / FOOT,
        "lay_outlets": 1,
        "hang_fabric": Fraction("17.76") / FOOT**2,
        "move_material": tons,
        "drive_material": tons,
        "drive_material_on": (tons, farther),
        "break_pallets": 180,  # a pallet of 36 weighs 3,135 lb, the skid steer lifts 1,900 lb
        "set_units": 150,
        "cut_units": 2,  # a leg of whole units has a cut in courses 2 and 4
        "place_drain_stone": yards(STONE),
        "fill_cores": yards(CORES),
        "backfill": yards(back + fill),  # the fill ends 2 m behind the line, within reach
        "compact_strip": yards(strip),
        "ram_backfill": yards(back + fill - (strip - STONE)),
        "set_caps": 30,
    }


def work() -> dict[str, Figure]:
    """Hours and days. From trench to backfill it takes 39.88 h of 17.67 h a day, 2.26 days; a
    trench may stay open for 2, so it is opened in 2 stretches, and the plate comes for both."""
    return work_of(quantities(), stretches=2)


def page() -> dict[str, Figure]:
    """Every figure of the job."""
    materials = {
        "metric_200": cost(158, "7.10"),
        "metric_cap_80": cost(32, "5.80"),
        "base_stone_metric": cost(D("2.5"), "36.00"),
        "drain_stone_metric": cost(5, "58.00"),
        "drain_pipe_metric": D("98.00"),
        "outlet_pipe_metric": D("13.80"),
        "filter_fabric_metric": D("142.00"),
        "cap_adhesive": cost(3, "9.25"),
    }
    others = {
        "haul_off": cost(up(float(leaves() / YARD), "0.01"), "31.00"),
        "delivery_demo_block_yard": D("165.00"),
        "delivery_demo_stone_yard": D("95.00"),  # 10,500 kg are 23,149 lb
        "pallets_demo_block_yard": D("150.00"),  # 5 + 1 pallets
    }
    return {**bought(), **work(), **money_page(materials, others, work())}


def runner_up() -> dict[str, Figure]:
    """The narrow excavator costs 90 less a day, but digs for 5.38 h and not 2.47 h: 2.91 h more are
    4 days of the crew and not 3.5, which is 477.50. The mini excavator comes."""
    return work_of(instead(quantities(), dig="dig_narrow"), stretches=2)


OBJECTIONS = (
    ("line", "haul_off"),
    ("line", "outlet_pipe_metric"),
    ("line", "pallets_demo_block_yard"),
    ("line", "machine_delivery"),
    ("needed", "surface"),  # no sod or seed was asked for
    ("needed", "permit"),
    ("needed", "engineering"),
    ("needed", "guard"),  # 0.8 m are more than 30 in
    ("needed", "freight"),  # pipe, fabric and adhesive have no supplier
    ("caution", "permit-height"),  # 1.23 m from the bottom of the pad, over 4 ft
    ("caution", "engineer-gravity-fails"),
    ("caution", "exposed-end"),
    ("caution", "topsoil-not-stated"),
    ("caution", "load-not-stated"),
    ("caution", "machine-unit"),  # 39.5 kg
    ("caution", "dust-when-cutting"),
    ("caution", "outlet-daylight"),
)
# 49.48 h at 17.67 h a day and 2.47 h of digging at 8 h a day are 3.11 days: 3.5, as the half
# day after the third is begun.
JOB = Job(REQUEST, page, days="3.5", objections=OBJECTIONS, runner_up=runner_up)
