"""A job with digging, grading, topsoil, water and site, from request to answer, by hand."""

from __future__ import annotations

import copy
import hashlib
import json
from datetime import date, timedelta
from decimal import Decimal

import pytest
import rfc8785

from service.core.errors import QuoteFaultsError
from service.operations.quoting.quote import quote_document
from tests.given.catalogs import shipped_catalog
from tests.given.machines import rates_without_choice
from tests.given.quote_requests import Json, answered, caution_codes

# Loam: swell 25 %, shrink 10 % (catalog/soils/loam.toml).
SWELL, SHRINK = 1.25, 0.90


def job(**more: object) -> Json:
    """40 ft of wall, 4 ft high, on level ground: its trench is 2 ft wide and 18 in deep.

    7 courses of 8 in with a 4 in cap: the wall is 5 ft high, so 1 ft of it is buried on 6 in of
    pad; against structures at both ends there are no sloped ends.
    """
    wall: Json = {
        "name": "edge",
        "plan": [{"kind": "straight", "length": "40 ft"}],
        "profile": [
            {"station": "0 ft", "top": "4 ft", "front_grade": "0 ft", "existing_grade": "0 ft"},
            {"station": "end", "top": "4 ft", "front_grade": "0 ft"},
        ],
        "ends": {"start": "against_structure", "finish": "against_structure"},
        "graded_behind": "12 ft",
    }
    return {
        "units": "us",
        "wall_system": "terrace_8in",
        "section": "plain_gravity",
        "soils": {"retained": "loam"},
        "walls": [wall],
        "prices": {"price_list": "demo_2026"},
        **more,
    }


def answer(request: Json) -> Json:
    """The answer as plain objects."""
    return answered(request, shipped_catalog())


def faults(request: Json) -> list[tuple[str, tuple[str | int, ...]]]:
    """What a request is refused for, and where."""
    with pytest.raises(QuoteFaultsError) as caught:
        quote_document(request, shipped_catalog())
    return [(fault.code, fault.at) for fault in caught.value.faults]


def volume(found: Json, key: str) -> float:
    """A volume of the earthwork."""
    return float(found["earthwork"][key]["value"])


def test_quote_of_a_terrace_fills_to_the_stated_depth() -> None:
    """Fill beyond the cut: 52.840 yd3 compacted, with a base 1 ft deep, 13 in units and stone.

    The floor reaches 25 in behind the base course's face and rises 1:1 over the 12 in to level
    ground, so the cut ends 37 in behind; from there to 144 in finished ground lies 4 ft higher:
    107 in x 4 ft x 40 ft = 1426.67 ft3 = 52.840 yd3.
    """
    found = answer(job())
    assert volume(found, "fill") == pytest.approx(107 / 12 * 160 / 27, abs=1e-6)
    assert found["price"]["not_priced"][0]["part"] == "labor"


def test_quote_says_when_the_rates_hold_no_hours_for_digging() -> None:
    """Rates that dig make the quote complete; with others the price of digging is soil alone."""
    assert answer(job(rates="small_crew", terms="standard"))["price"]["complete"]
    crew = {"title": "Crew", "item": "crew_hour", "size": 2, "paid_hours_per_day": "8"}
    setting = {"id": "set", "title": "Set", "crew": "c", "measured_by": "standard_units"}
    rates = {
        "crews": {"c": {**crew, "worked_share": "0.8"}},
        "tasks": [{**setting, "hours": "0.1", "per": "each"}],
    }
    price = answer(job(rates=rates, terms="standard"))["price"]
    assert not price["complete"]
    (gap,) = price["not_priced"]
    assert (gap["part"], gap["field"]) == ("labor", "/rates")


def test_quote_counts_the_hours_of_digging() -> None:
    """The excavator of small_crew digs 6, 10 or 14 yd3 an hour, three quarters of it.

    Hours a yd3: 1/10.5, 1/7.5 and 1/4.5, expected (0.09524 + 4 x 0.13333 + 0.22222)/6 = 0.14180.
    Rates that choose by nothing use a task's own machine.
    """
    found = answer(job(rates=rates_without_choice()))
    expected = volume(found, "cut") * (1 / 10.5 + 4 / 7.5 + 1 / 4.5) / 6
    machines = {time["machine"]: time for time in found["labor"]["equipment"]}
    assert float(machines["mini_excavator"]["hours"]) == pytest.approx(expected, abs=0.006)
    low, high = (machines["mini_excavator"][key] for key in ("hours_low", "hours_high"))
    assert float(low) < expected < float(high)
    hired = [line for line in found["price"]["lines"] if line["kind"] == "equipment"]
    assert "mini_excavator_day" in [line["item"] for line in hired]


def test_quote_takes_no_machine_through_a_gate_too_narrow_for_it() -> None:
    """Through a 2 ft gate nothing drives: digging is done by hand, and the answer says why."""
    found = answer(
        job(rates="small_crew", access={"distance": "60 ft", "narrowest_passage": "2 ft"})
    )
    tasks = [task["task"] for task in found["labor"]["tasks"]]
    assert "dig_by_hand" in tasks
    replaced = {entry["task"]: entry for entry in found["labor"]["replaced"]}
    assert replaced["dig"]["by"] == "dig_narrow"
    assert replaced["dig_narrow"]["by"] == "dig_by_hand"
    used = [time["machine"] for time in found["labor"]["equipment"]]
    assert not {"mini_excavator", "narrow_excavator", "skid_steer", "stand_on_loader"} & set(used)


def test_quote_takes_the_narrow_machines_through_a_gate_of_36_in() -> None:
    """Through 36 in go the excavator, 30 in drawn in and 6 in of clearance, and the loader of
    34 in, 1 in of clearance, and nothing wider."""
    access = {"distance": "60 ft", "narrowest_passage": "36 in"}
    found = answer(job(rates=rates_without_choice(), access=access))
    used = {time["machine"] for time in found["labor"]["equipment"]}
    assert {"narrow_excavator", "stand_on_loader"} <= used
    assert not {"mini_excavator", "skid_steer"} & used
    replaced = {entry["task"]: entry["by"] for entry in found["labor"]["replaced"]}
    assert replaced["dig"] == "dig_narrow"
    assert "dig_by_hand" not in [task["task"] for task in found["labor"]["tasks"]]


def hand_hours(passage: str) -> float:
    """Hours of the tasks that people do without a machine, where each keeps its own."""
    access = {"distance": "60 ft", "narrowest_passage": passage}
    found = answer(job(rates=rates_without_choice(), access=access))
    by_hand = {task.id for task in shipped_catalog().production_rates["small_crew"].core.tasks}
    tasks = found["labor"]["tasks"]
    return sum(float(task["hours"]) for task in tasks if task["task"] in by_hand)


def test_quote_never_needs_more_hand_hours_through_a_wider_gate() -> None:
    """From 24 in to 10 ft hand hours never rise. They fall at 28 in, where a wheelbarrow passes, at
    35 in, where the loader of 34 in does, and at 36 in, where the excavator of 30 in drawn in."""
    narrow = ("24 in", "27.9 in", "28 in", "34.9 in", "35 in", "35.9 in", "36 in")
    hours = [hand_hours(passage) for passage in (*narrow, "66 in", "72 in", "10 ft")]
    assert hours == sorted(hours, reverse=True)
    assert hours[0] == hours[1] > hours[2] == hours[3] > hours[4] == hours[5] > hours[6]


@pytest.mark.parametrize(("lifted", "expected"), [("3384 lb", False), ("3383 lb", True)])
def test_quote_breaks_only_pallets_heavier_than_the_loader_lifts(
    lifted: str, expected: bool
) -> None:
    """A pallet of 36 units of 94 lb weighs 3,384 lb; those of caps 3,168 lb, and no corner unit
    is ordered."""
    header = ("id", "version", "title", "note", "source")
    body = dict(shipped_catalog().production_rates["small_crew"].document)
    rates = {key: value for key, value in body.items() if key not in header}
    steer = {**rates["machines"]["skid_steer"], "rated_load": lifted}
    rates["machines"] = {**rates["machines"], "skid_steer": steer}
    found = answer(job(rates=rates))
    assert ("break_pallets" in [task["task"] for task in found["labor"]["tasks"]]) is expected


def test_quote_balances_cut_and_import() -> None:
    """Cut and import are backfill, fill and haul-off, all as bank volume of the soil."""
    found = answer(job())
    bank_in = volume(found, "cut") + volume(found, "import") / SWELL
    bank_out = (volume(found, "backfill") + volume(found, "fill")) / SHRINK + volume(
        found, "haul_off"
    ) / SWELL
    assert bank_in == pytest.approx(bank_out, rel=1e-7)
    line = next(q for q in found["quantities"] if q["item"] == "import_fill")
    assert float(line["net"]["value"]) == pytest.approx(volume(found, "import"))


def test_quote_of_a_terrace_without_a_depth_is_refused() -> None:
    """On level ground finished ground behind never meets the ground that is there."""
    request = job()
    del request["walls"][0]["graded_behind"]
    assert faults(request) == [("grading-distance-needed", ("walls", 0, "graded_behind"))]


def test_quote_with_ground_needs_the_retained_soil() -> None:
    """Swell, shrink and weight come from soils.retained."""
    request = job()
    del request["soils"]
    assert faults(request) == [("field-missing", ("soils", "retained"))]


def test_quote_adds_a_graded_area_to_the_balance() -> None:
    """400 ft2 x 6 in of cut are 200 ft3 = 7.407 yd3 bank more; nothing is set off unseen."""
    area = {"name": "strip", "area": "400 ft2", "average_depth": "6 in", "work": "cut"}
    plain, graded = answer(job()), answer(job(grading=[area]))
    assert volume(graded, "cut") - volume(plain, "cut") == pytest.approx(200 / 27, abs=1e-6)
    assert [entry["name"] for entry in graded["earthwork"]["grading"]] == ["strip"]


def test_quote_refuses_a_graded_area_that_counts_earth_twice() -> None:
    """The wall's own earthwork reaches 12 ft behind; an area from 10 ft on lies partly in it."""
    area = {
        "area": "400 ft2",
        "average_depth": "6 in",
        "work": "fill",
        "wall": "edge",
        "side": "behind",
        "from": "10 ft",
    }
    assert faults(job(grading=[area])) == [("earth-counted-twice", ("grading", 0, "from"))]


@pytest.mark.parametrize(("side", "raised"), [("behind", 200 / 27), ("front", 0.0)])
def test_quote_raises_an_area_behind_a_wall_with_its_courses(side: str, raised: float) -> None:
    """400 ft2 x 6 in of fill are 7.407 yd3: behind the wall they are placed and compacted in the
    phase of building and backfilling, before the caps; in front they are graded after them."""
    area = {
        "area": "400 ft2",
        "average_depth": "6 in",
        "work": "fill",
        "wall": "edge",
        "side": side,
        "from": "20 ft",
    }
    plain, found = answer(job(rates="small_crew")), answer(job(rates="small_crew", grading=[area]))
    for task, moved in (("backfill", raised), ("place_fill", 200 / 27 - raised)):
        more = placed(found, task) - placed(plain, task)
        assert more == pytest.approx(moved, abs=1e-6)


def placed(found: Json, task: str) -> float:
    """How much earth the operator of a machine task places."""
    rows = [row for row in found["labor"]["tasks"] if row["task"] == task]
    return sum(float(row["quantity"]["value"]) for row in rows)


def test_quote_buys_the_topsoil_that_is_short() -> None:
    """Stripped 2 in and put back 4 in: twice as much goes back as came off the same ground."""
    found = answer(job(topsoil={"strip": "2 in", "replace": "4 in"}))
    topsoil = found["earthwork"]["topsoil"]
    short = float(topsoil["replaced"]["value"]) - float(topsoil["stripped"]["value"])
    assert short > 0
    assert float(topsoil["short"]["value"]) == pytest.approx(short)
    line = next(q for q in found["quantities"] if q["item"] == "topsoil")
    assert float(line["net"]["value"]) == pytest.approx(short)
    assert "topsoil-not-stated" not in caution_codes(found)
    assert "topsoil-not-stated" in caution_codes(answer(job()))


def test_quote_hauls_off_the_topsoil_that_is_left_over() -> None:
    """Stripped 6 in and nothing put back: all of it leaves, loosened, in the haul-off line."""
    found = answer(job(topsoil={"strip": "6 in", "replace": "0 in"}))
    surplus = float(found["earthwork"]["topsoil"]["surplus"]["value"])
    line = next(q for q in found["quantities"] if q["item"] == "haul_off")
    expected = volume(found, "haul_off") + surplus * SWELL
    assert float(line["net"]["value"]) == pytest.approx(expected, rel=1e-7)


def test_quote_sets_sums_aside_for_cautions() -> None:
    """The permit fee of the terms becomes a line when the permit caution is given."""
    fee = {"cost": "250.00", "kind": "fee", "description": "Permit fee"}
    found = answer(job(terms={"allowances": {"permit-height": fee, "pipe-below-outlet": fee}}))
    extras = [line for line in found["price"]["lines"] if line["group"] == "extras"]
    assert [(line["description"], line["cost"]) for line in extras] == [("Permit fee", "250.00")]


def test_quote_cautions_about_water_and_site() -> None:
    """A pipe below its outlet, a slide seen: each has its caution."""
    request = job(
        water={"outlet": "daylight", "outlet_level": "2 ft"},
        site={"seen": ["slide"], "easement": True},
    )
    found = caution_codes(answer(request))
    assert {"pipe-below-outlet", "seen-slide", "easement"} <= set(found)
    assert "outlet-not-stated" in caution_codes(answer(job()))
    assert "outlet-not-stated" not in found


def test_quote_refuses_openings_by_name() -> None:
    """Steps in a wall can't be quoted yet, and nobody is left in doubt."""
    request = copy.deepcopy(job())
    request["walls"][0]["openings"] = [{"station": "10 ft", "width": "4 ft"}]
    assert faults(request) == [("opening-not-quoted", ("walls", 0, "openings"))]


def test_quote_of_material_alone_digs_nothing() -> None:
    """Material alone leaves soil, labor and sums set aside out, and says so in its title; freight
    and pallets come with the goods."""
    found = answer(job(title="Edge", materials_only=True))
    assert found["title"] == "Edge (materials only)"
    assert "earthwork" not in found
    assert {line["kind"] for line in found["price"]["lines"]} == {"material", "delivery", "fee"}


def test_quote_adds_site_work_to_material_and_hours() -> None:
    """450 ft2 of sod with 5 % waste are 472.5 ft2: two pallets of 450 ft2, laid after the wall."""
    sod = [{"task": "lay_sod", "quantity": "450 ft2"}]
    found = answer(job(rates="small_crew", site_work=sod))
    line = next(q for q in found["quantities"] if q["item"] == "sod")
    assert (line["group"], line["order"]) == ("site_work", {"value": "2", "unit": "pallet"})
    assert "lay_sod" in [task["task"] for task in found["labor"]["tasks"]]
    # of no wall: its price is site-wide
    price = next(p for p in found["price"]["lines"] if p["item"] == "sod")["price"]
    assert float(found["price"]["site_wide"]) >= float(price) > 0


def test_quote_tips_what_is_taken_down() -> None:
    """Treated timber is tipped apart from everything else, as a disposal line."""
    timber = [{"task": "take_down_timber_wall", "quantity": "60 ft2"}]
    found = answer(job(site_work=timber))
    kinds = {p["item"]: p["kind"] for p in found["price"]["lines"]}
    assert kinds["tip_treated_timber"] == "disposal"


def test_quote_refuses_site_work_it_does_not_know() -> None:
    """An unknown task names the nearest known one."""
    request = job(site_work=[{"task": "lay_sodd", "quantity": "450 ft2"}])
    assert faults(request) == [("unknown-site-work", ("site_work", 0, "task"))]


def test_quote_puts_the_work_in_order() -> None:
    """Phases follow each other, their hours are those of the labor, daily hours apart."""
    sod = [{"task": "lay_sod", "quantity": "450 ft2"}]
    found = answer(job(rates="small_crew", site_work=sod))
    phases = {phase["phase"]: phase for phase in found["order_of_work"]["phases"]}
    order = list(phases)
    assert order.index("rough_cut") < order.index("cap") < order.index("topsoil_and_sod")
    assert phases["rough_cut"]["start_day"] <= phases["cap"]["start_day"]
    assert list(phases["topsoil_and_sod"]["materials"]) == ["sod"]
    hours = sum(float(phase["hours"]) for phase in phases.values())
    daily = [
        task for task in found["labor"]["tasks"] if task["task"] in ("travel", "daily_clean_up")
    ]
    daily_hours = sum(float(task["hours"]) for task in daily)
    assert hours + daily_hours == pytest.approx(float(found["labor"]["labor_hours"]), abs=0.02)
    held = {time["machine"]: time["days"] for time in found["labor"]["equipment"]}
    assert all(days >= 1 for days in held.values())


def test_quote_without_rates_has_no_order_of_work() -> None:
    """Parts that don't apply are absent."""
    found = answer(job())
    assert "labor" not in found
    assert "order_of_work" not in found


def test_quote_buys_topsoil_for_balance_and_site_task_in_one_line() -> None:
    """What the balance is short of and what a site task spreads is one item, ordered once."""
    spread = [{"task": "spread_topsoil", "quantity": "6 yd3"}]
    depths = {"strip": "2 in", "replace": "4 in"}
    alone = answer(job(topsoil=depths))
    short = float(alone["earthwork"]["topsoil"]["short"]["value"])
    found = answer(job(topsoil=depths, site_work=spread))
    (line,) = (q for q in found["quantities"] if q["item"] == "topsoil")
    assert float(line["net"]["value"]) == pytest.approx(short + 6, rel=1e-6)


def test_quote_lists_an_owned_machine_in_the_unit_of_its_price() -> None:
    """A skid steer at 50.00 a day: the line counts days, and days x 50.00 is its cost."""
    request = job(rates="small_crew")
    request["prices"] = {
        "price_list": "demo_2026",
        "overrides": {"skid_steer_hour": {"unit_cost": "50.00", "per": "day"}},
    }
    found = answer(request)
    line = next(p for p in found["price"]["lines"] if p["item"] == "skid_steer_hour")
    (machine,) = (e for e in found["labor"]["equipment"] if e["machine"] == "skid_steer")
    assert line["quantity"] == {"value": str(machine["days"]), "unit": "day"}
    assert float(line["cost"]) == machine["days"] * 50


def test_quote_dated_before_its_prices_hold_is_a_caution() -> None:
    """The demo list holds from a day on: the day before is a caution, that day is none."""
    holds = date.fromisoformat(
        shipped_catalog().price_lists["demo_2026"].document["effective_from"]
    )
    early = answer(job(issued_on=(holds - timedelta(days=1)).isoformat()))
    assert "prices-not-effective" in caution_codes(early)
    assert "prices-not-effective" not in caution_codes(answer(job(issued_on=holds.isoformat())))


def test_quote_refuses_conditions_without_rates() -> None:
    """Conditions are factors of production rates: without rates they would say nothing."""
    request = job(conditions={"ground": "firm"})
    assert faults(request) == [("conditions-without-rates", ("conditions",))]


def test_digest_is_that_of_the_canonical_form() -> None:
    """SHA-256 of the RFC 8785 form without the digest, by the reference library."""
    found = answer(job(title='Änderung \u2028 / 😀 "x"'))
    digest = found.pop("digest")
    plain = json.loads(json.dumps(found))
    assert digest == hashlib.sha256(rfc8785.dumps(plain)).hexdigest()


@pytest.mark.parametrize(
    "access",
    [
        {"distance": "20 ft"},
        {"distance": "60 ft", "narrowest_passage": "2 ft"},
        {"distance": "200 ft", "narrowest_passage": "4 ft"},
    ],
    ids=["open", "by hand", "small machines"],
)
def test_quote_pays_the_days_of_the_order_of_work(access: dict[str, str]) -> None:
    """The crew's days, its paid hours and the end of the order are one figure: three people at 8
    hours, and the phases' half days make it up (rule 19.2)."""
    found = answer(job(rates="small_crew", access=access, terms="standard"))
    labor, order = found["labor"], found["order_of_work"]
    (crew,) = labor["crews"]
    days = Decimal(order["working_days"])
    assert Decimal(labor["crew_days"]) == Decimal(crew["days"]) == days
    assert Decimal(crew["paid_hours"]) == days * 8 * 3
    by_phase = [Decimal(part["days"]) for phase in order["phases"] for part in phase["crews"]]
    assert sum(by_phase) == days
    (paid,) = [line for line in found["price"]["lines"] if line["item"] == "crew_hour"]
    assert Decimal(paid["quantity"]["value"]) == days * 24
