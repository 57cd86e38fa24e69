"""What files become in the core: exact figures in SI, written out by hand."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction
from typing import Any, get_args

import pytest
from pydantic import ValidationError

from service.catalog import (
    ItemPriceBody,
    PricedPer,
    PriceListBody,
    RatesBody,
    TermsBody,
    minor_places,
)
from service.catalog.documents import (
    JurisdictionDocument,
    MaterialDocument,
    SectionDocument,
    SoilDocument,
    Source,
    WallSystemDocument,
)
from service.core.job.price_list import PackWord
from service.core.job.terms import KINDS
from service.core.measure import UNITS
from service.faults import faults_from

HEADER: dict[str, Any] = {
    "id": "demo",
    "version": "1",
    "title": "Demo",
    "source": {"kind": "invented"},
}
# One file of each kind, with every key.
WALL_SYSTEM: dict[str, Any] = {
    **HEADER,
    "units": {
        "standard": {
            "item": "demo_block_200",
            "face_length": "18 in",
            "height": "8 in",
            "depth": "12 in",
            "face_area": "1 ft2",
            "weight": "105 lb",
            "void_volume": "0.15 ft3",
            "per_pallet": 40,
        },
        "corner": {
            "item": "demo_corner_200",
            "face_length": "18 in",
            "depth": "9 in",
            "weight": "78 lb",
        },
        "cap": {
            "item": "demo_cap_100",
            "face_length": "18 in",
            "height": "4 in",
            "depth": "12 in",
            "weight": "50 lb",
            "overhang": "1 in",
        },
    },
    "stacking": {
        "setback": "1 in",
        "minimum_outside_radius": "6 ft",
        "minimum_inside_radius": "6 ft",
    },
    "in_place": {"unit_weight": "120 pcf"},
}
SECTION: dict[str, Any] = {
    **HEADER,
    "leveling_pad": {
        "item": "base_stone",
        "thickness": "6 in",
        "front_extension": "6 in",
        "rear_extension": "6 in",
        "end_extension": "0 in",
    },
    "embedment": {
        "minimum": "6 in",
        "share_of_exposed": "0.05",
        "shortest_base_run": "0 ft",
        "share_by_front_slope": {"2:1": "1/7", "3:1": "0.1"},
    },
    "drainage": {
        "item": "drain_stone",
        "width": "12 in",
        "starts_at": "pad",
        "stops_below_top": "8 in",
    },
    "core_fill": {"item": "drain_stone"},
    "pipe": {
        "item": "drain_pipe",
        "outlet_item": "outlet_pipe",
        "outlet_spacing": "50 ft",
        "outlet_length": "4 ft",
    },
    "filter_fabric": {"item": "filter_fabric", "lap": "12 in"},
    "cap_adhesive": {"item": "adhesive", "beads": 2, "yield": "30 ft"},
    "waste": {"units": "0.05", "stone": "0.10"},
    "excavation": {"working_room": "1 ft", "overdig": "2 in", "cut_slope": "3/4:1"},
}
RATES: dict[str, Any] = {
    "crews": {
        "crew": {
            "title": "Crew",
            "item": "crew_hour",
            "size": 3,
            "paid_hours_per_day": "8",
            "worked_share": "0.83",
        }
    },
    "tasks": [
        {
            "id": "place_pad",
            "title": "Place the pad",
            "crew": "crew",
            "measured_by": "pad_volume",
            "hours": "1.5",
            "per": "yd3",
            "conditions": ["ground"],
        }
    ],
    "fixed": [{"id": "travel", "title": "Travel", "crew": "crew", "hours": "1.5", "per": "day"}],
    "conditions": {
        "ground": {"title": "Ground", "neutral": "firm", "choices": {"firm": "1", "wet": "1.3"}}
    },
}


def material(**tables: Any) -> MaterialDocument:  # noqa: ANN401  TOML tables
    """A material of the stone group with these tables."""
    return MaterialDocument.model_validate({**HEADER, "group": "stone", **tables})


def test_wall_system_to_core_is_in_si() -> None:
    """Inches, pounds and pcf of the example become meters, kilograms and N/m3."""
    system = WallSystemDocument.model_validate(WALL_SYSTEM).to_core()
    assert (system.standard.face_length_m, system.standard.height_m) == (0.4572, 0.2032)
    assert system.standard.depth_m == 0.3048
    assert system.standard.weight_kg == pytest.approx(105 * 0.45359237, rel=1e-15)
    assert system.standard.void_m3 == pytest.approx(0.15 * 0.028316846592, rel=1e-15)
    assert system.standard.per_pallet == 40
    assert system.setback_m == 0.0254
    assert system.minimum_outside_radius_m == 1.8288
    # 120 lbf/ft3: 120 x 0.45359237 x 9.80665 / 0.3048^3
    assert system.in_place_weight_n_m3 == pytest.approx(18850.4955, rel=1e-7)
    assert system.corner is not None
    assert (system.corner.height_m, system.corner.depth_m) == (0.2032, 0.2286)
    assert system.cap is not None
    assert system.cap.height_m == 0.1016


@pytest.mark.parametrize("area", ["0.98 ft2", "1.02 ft2"])
def test_wall_system_takes_a_face_area_within_2_percent(area: str) -> None:
    """18 x 8 in is 1 ft2; 2 % either way is still the same figure."""
    document = {**WALL_SYSTEM, "units": {"standard": dict(WALL_SYSTEM["units"]["standard"])}}
    document["units"]["standard"]["face_area"] = area
    system = WallSystemDocument.model_validate(document).to_core()
    assert system.standard.face_length_m == 0.4572


@pytest.mark.parametrize("area", ["0.979 ft2", "1.021 ft2"])
def test_wall_system_wants_a_reason_for_another_face_area(area: str) -> None:
    """Farther off it needs a note, and with one it is taken."""
    document = {**WALL_SYSTEM, "units": {"standard": dict(WALL_SYSTEM["units"]["standard"])}}
    document["units"]["standard"]["face_area"] = area
    with pytest.raises(ValidationError) as caught:
        WallSystemDocument.model_validate(document)
    fault = faults_from(caught.value, WallSystemDocument)[0]
    assert (fault.code, fault.at) == ("face-area-disagrees", ("units", "standard", "face_area"))
    document["units"]["standard"]["face_area_note"] = "the face is rounded at the edges"
    system = WallSystemDocument.model_validate(document).to_core()
    assert system.standard.face_length_m == 0.4572


def test_section_to_core_orders_shares_from_level() -> None:
    """The share on level ground comes first, then the table from flat to steep: 1:3, then 1:2."""
    section = SectionDocument.model_validate(SECTION).to_core()
    slopes, shares = zip(*section.embedment.shares, strict=True)
    assert slopes == pytest.approx((0, 1 / 3, 1 / 2))
    assert shares == pytest.approx((0.05, 0.1, 1 / 7))
    assert section.embedment.minimum_m == 0.1524


def test_section_to_core_carries_every_table() -> None:
    """Pad with its overdig, drainage, pipe, fabric, adhesive, waste and cut arrive in SI."""
    section = SectionDocument.model_validate(SECTION).to_core()
    assert (section.leveling_pad.thickness_m, section.leveling_pad.overdig_m) == (0.1524, 0.0508)
    assert (section.drainage.width_m, section.drainage.stops_below_top_m) == (0.3048, 0.2032)
    assert section.core_fill_item == "drain_stone"
    assert section.pipe is not None
    assert (section.pipe.outlet_spacing_m, section.pipe.outlet_length_m) == (15.24, 1.2192)
    assert section.filter_fabric is not None
    assert section.filter_fabric.lap_m == 0.3048
    assert section.cap_adhesive is not None
    assert (section.cap_adhesive.beads, section.cap_adhesive.yield_m) == (2, 9.144)
    assert section.waste["units"] == Decimal("0.05")
    assert section.waste["pipe"] == 0
    assert section.excavation is not None
    assert (section.excavation.working_room_m, section.excavation.cut_slope) == (0.3048, 0.75)


def test_section_needs_only_pad_embedment_and_drainage() -> None:
    """Pipe, fabric, adhesive, core fill, waste and excavation may be left out."""
    kept = {*HEADER, "leveling_pad", "embedment", "drainage"}
    section = SectionDocument.model_validate(
        {key: value for key, value in SECTION.items() if key in kept}
    ).to_core()
    optional = ("pipe", "filter_fabric", "cap_adhesive", "core_fill_item", "excavation")
    assert [getattr(section, name) for name in optional] == [None] * 5
    assert section.leveling_pad.overdig_m == 0


def test_soil_to_core_is_in_si() -> None:
    """108 pcf are 1,729.994 kg/m3 (1 pcf = 0.45359237 / 0.3048^3), 30 deg are pi/6."""
    soil = SoilDocument.model_validate(
        {
            **HEADER,
            "strength": {"friction_angle": "30 deg", "cohesion": "100 psf"},
            "weight": {"bank": "108 pcf", "loose": "86.4 pcf", "compacted": "120 pcf"},
            "volume": {"swell": "0.25", "shrink": "0.10"},
            "excavation": {"class": "C", "reusable": False},
        }
    ).to_core()
    assert soil.friction_angle_rad == pytest.approx(math.pi / 6)
    assert soil.compacted_kg_m3 == pytest.approx(120 * 0.45359237 / 0.3048**3, rel=1e-14)
    assert (soil.swell, soil.shrink) == (Decimal("0.25"), Decimal("0.10"))
    assert (soil.excavation_class, soil.reusable) == ("C", False)
    assert soil.wall_friction_rad is None


def test_material_to_core_by_the_ton() -> None:
    """2,700 lb/yd3 are 1,601.846 kg/m3; the increment keeps its exact figure."""
    stone = material(
        volume={"loose_per_in_place": "1.15"},
        weight={"loose": "2700 lb/yd3"},
        sold={"per": "ton", "increment": "0.5 ton"},
    ).to_core()
    assert stone.sold_per == UNITS["ton"]
    assert stone.increment == Decimal("0.5")
    assert stone.loose_per_in_place == 1.15
    assert stone.loose_kg_m3 == pytest.approx(1601.8463, rel=1e-7)


def test_material_to_core_by_the_roll() -> None:
    """A roll of 100 ft that weighs 32 lb weighs 0.4762 kg a meter."""
    pipe = material(
        group="pipe",
        weight={"each": "32 lb"},
        sold={"per": "pack", "pack": "100 ft", "pack_word": "roll"},
    ).to_core()
    assert pipe.sold_per is None
    assert pipe.pack is not None
    assert (pipe.pack.content, pipe.pack.unit, pipe.pack.word) == (
        Decimal(100),
        UNITS["ft"],
        "roll",
    )
    assert pipe.kg_per_unit == pytest.approx(32 * 0.45359237 / 30.48)


def test_material_to_core_by_the_foot_and_by_the_piece() -> None:
    """A weight is of one of what the item is sold per: a foot, a piece."""
    foot = material(group="pipe", weight={"each": "1 lb"}, sold={"per": "ft"}).to_core()
    piece = material(group="adhesive", weight={"each": "2 kg"}, sold={"per": "each"}).to_core()
    assert foot.kg_per_unit == pytest.approx(0.45359237 / 0.3048)
    assert piece.kg_per_unit == 2


def test_material_refuses_a_weight_without_a_use() -> None:
    """What is sold by weight has no weight apiece."""
    with pytest.raises(ValidationError) as caught:
        material(weight={"loose": "2700 lb/yd3", "each": "1 lb"}, sold={"per": "t"})
    assert faults_from(caught.value, MaterialDocument)[0].at == ("weight", "each")


def test_rates_body_to_core_keeps_the_order_of_the_file() -> None:
    """Crews, tasks, fixed hours and conditions arrive as they stand."""
    rates = RatesBody.model_validate(RATES).to_core()
    assert rates.id == "inline"
    assert (rates.crews[0].size, rates.crews[0].worked_share) == (3, Decimal("0.83"))
    assert rates.tasks[0].hours_per_unit.expected == Fraction("1.5")
    assert rates.tasks[0].unit == UNITS["yd3"]
    assert rates.tasks[0].conditions == ("ground",)
    assert rates.fixed[0].per == "day"
    assert rates.conditions["ground"].choices == {"firm": 1, "wet": Decimal("1.3")}


def test_rates_body_to_core_reads_minutes_without_a_day_too_many() -> None:
    """50 minutes of 60: three people work 20 hours in 8 paid hours, not a hair less."""
    crew = {**RATES["crews"]["crew"], "worked_minutes_per_hour": 50}
    del crew["worked_share"]
    core = RatesBody.model_validate({**RATES, "crews": {"crew": crew}}).to_core().crews[0]
    capacity = 3 * Fraction(core.paid_hours_per_day) * Fraction(core.worked_share)
    assert 20 <= capacity < Fraction("20.0001")


def test_terms_body_to_core_reads_every_key() -> None:
    """The terms of a request, without the header of a file."""
    terms = TermsBody.model_validate(
        {
            "overhead": "0.10",
            "contingency": "0.05",
            "profit": {"markup": "0.20"},
            "tax": {"rate": "0.07", "on": ["material"], "base": "price"},
            "discount": "0.00",
            "minimum_charge": "500.00",
            "deposit": "0.30",
            "valid_days": 30,
        }
    ).to_core()
    assert (terms.overhead_share, terms.overhead_per_crew_day) == (Decimal("0.10"), Decimal(0))
    assert (terms.profit.basis, terms.profit.share) == ("markup", Decimal("0.20"))
    assert (terms.tax.rate, terms.tax.on, terms.tax.base) == (
        Decimal("0.07"),
        ("material",),
        "price",
    )
    assert (terms.minimum_charge, terms.deposit, terms.valid_days) == (
        Decimal(500),
        Decimal("0.30"),
        30,
    )


def test_terms_body_to_core_reads_overhead_per_day_and_margin() -> None:
    """Overhead may be a share and a sum per crew day, profit a share of the price."""
    terms = TermsBody.model_validate(
        {
            "overhead": {"share": "0.05", "per_crew_day": "300.00"},
            "profit": {"margin": "0.25"},
            "tax": {"rate": "0.07", "on": ["labor", "material"]},
        }
    ).to_core()
    assert (terms.overhead_share, terms.overhead_per_crew_day) == (Decimal("0.05"), Decimal(300))
    assert (terms.profit.basis, terms.profit.share) == ("margin", Decimal("0.25"))
    assert terms.tax.on == ("material", "labor")


def test_terms_body_to_core_fills_in_nothing_but_zero() -> None:
    """What is left out is 0, and a tax falls on all kinds."""
    terms = TermsBody.model_validate({"tax": {"rate": "0.07"}}).to_core()
    assert terms.overhead_share == terms.contingency == terms.profit.share == 0
    assert terms.discount == terms.minimum_charge == terms.deposit == 0
    assert terms.valid_days is None
    assert terms.tax.on == KINDS


@pytest.mark.parametrize("margin", ["1", "1.0", "1.2", "-0.1"])
def test_terms_body_refuses_a_margin_of_all_the_price(margin: str) -> None:
    """A margin is below 1: at 1 the price would be infinite."""
    with pytest.raises(ValidationError):
        TermsBody.model_validate({"profit": {"margin": margin}})


def test_item_price_body_to_core_loads_a_wage() -> None:
    """28.00 with a burden of 0.42 costs 39.76; 6 places are kept, half up."""
    hour = {"wage": "28.00", "burden": "0.42", "per": "h"}
    assert ItemPriceBody.model_validate(hour).to_core().unit_cost == Decimal("39.76")
    fine = {"wage": "10.000001", "burden": "0.5", "per": "h"}
    assert ItemPriceBody.model_validate(fine).to_core().unit_cost == Decimal("15.000002")


def test_item_price_body_takes_every_unit_of_sale() -> None:
    """A price may be per any unit of the core, per pack, or per what a pack is called."""
    assert set(get_args(PricedPer)) == {*UNITS, "pack", *get_args(PackWord)}


def test_price_list_body_to_core_knows_the_minor_unit() -> None:
    """Dollars have cents, yen have none, Kuwaiti dinars have three places (ISO 4217)."""
    body = {"currency": "JPY", "items": {"block": {"unit_cost": "685", "per": "each"}}}
    prices = PriceListBody.model_validate(body).to_core()
    assert (prices.minor_places, prices.id, prices.revision) == (0, None, None)
    assert prices.items["block"].unit_cost == 685
    assert (minor_places("USD"), minor_places("KWD")) == (2, 3)


def test_jurisdiction_to_core_reads_limits_by_trigger() -> None:
    """Feet, pounds, psf, slopes and degrees become what the trigger measures."""
    limits = {
        "wall_height": ("over", "4 ft"),
        "unit_weight": ("over", "51 lb"),
        "engineer_load": ("at_least", "100 psf"),
        "back_slope": ("over", "3:1"),
        "sharp_corner": ("under", "70 deg"),
    }
    cautions = [
        {
            "code": trigger.replace("_", "-"),
            "trigger": trigger,
            "severity": "low",
            "text": "Ask.",
            "source": {"kind": "common practice"},
            key: text,
        }
        for trigger, (key, text) in limits.items()
    ]
    earth = {
        "excavation": {"slope_A": "3/4:1", "slope_B": "1:1", "slope_C": "3/2:1"},
        "soil_class": {"deep_cut": "5 ft", "disturbed": "B"},
        "grading": {"to_existing_within": "50 ft"},
    }
    document = {**HEADER, "cautions": cautions, **earth}
    rules = JurisdictionDocument.model_validate(document).to_core().cautions
    found = [rule.over or rule.at_least or rule.under for rule in rules]
    assert found == pytest.approx(
        [1.2192, 51 * 0.45359237, 4788.0259, 1 / 3, math.radians(70)], rel=1e-7
    )
    assert rules[0].source == "common practice"


def test_source_citation_names_title_edition_and_place() -> None:
    """A published source is cited in one line, anything else by its kind."""
    published = {
        "kind": "published",
        "title": "A handbook",
        "edition": "2nd",
        "where": "Table 1",
        "read_on": "2026-05-04",
    }
    assert Source.model_validate(published).citation() == "A handbook, 2nd, Table 1"
    assert Source.model_validate({"kind": "memory"}).citation() == "memory"
