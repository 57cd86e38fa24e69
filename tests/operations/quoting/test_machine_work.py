"""Work of machines beside people with the shipped rates: moving, compacting the pad, cutting."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest

from tests.given.catalogs import shipped_catalog
from tests.given.machines import rates_without_choice
from tests.given.quote_requests import Json, answered, shipped_request

# (low + 4 likely + high) / 6 of the shipped rates.
DRIVEN = Fraction(60 + 4 * 80 + 120, 6000)  # h per ton
DRIVEN_NARROW = Fraction(110 + 4 * 150 + 220, 6000)
BESIDE = Fraction(120 + 4 * 160 + 240, 6000)
ALONG = Fraction(30 + 4 * 45 + 60, 6000)  # h per ton for 100 ft
COMPACTED = Fraction(80 + 4 * 120 + 200, 6000)  # h per yd3
CUT = Fraction(50 + 4 * 80 + 130, 6000)  # h each


def answer(**more: object) -> Json:
    """40 ft of straight wall, 4 ft exposed: 7 courses of 480 in, 28.2 units of 17 in."""
    return answered(shipped_request(**{"rates": "small_crew", **more}), shipped_catalog())


def hours(of: Json) -> dict[str, str]:
    """Person-hours by task."""
    return {task["task"]: task["hours"] for task in of["labor"]["tasks"]}


def machines(of: Json) -> dict[str, str]:
    """Machine-hours by machine."""
    return {time["machine"]: time["hours"] for time in of["labor"]["equipment"]}


def tons(of: Json) -> Fraction:
    """What is delivered, in tons, as the quantities say it."""
    weights = [line["weight"]["value"] for line in of["quantities"] if "weight" in line]
    return sum((Fraction(weight) for weight in weights), Fraction(0)) / 2000


def rounded(exact: Fraction) -> str:
    """Half up to 0.01 h."""
    cents = Decimal(exact.numerator) / Decimal(exact.denominator)
    return str(cents.quantize(Decimal("0.01"), ROUND_HALF_UP))


def test_quote_moves_material_by_machine_beside_the_people() -> None:
    """The skid steer moves every ton at 0.0833 h; its driver is one of the crew, and the others
    work at 0.1667 h a ton beside it."""
    found = answer()
    assert tons(found) > 20
    assert machines(found)["skid_steer"] == rounded(tons(found) * DRIVEN)
    assert hours(found)["drive_material"] == rounded(tons(found) * DRIVEN)
    assert hours(found)["move_material"] == rounded(tons(found) * BESIDE)
    assert "wheel_material" not in hours(found)


def test_quote_compacts_the_pad_and_cuts_units_by_machine() -> None:
    """A pad of 1.54321 yd3 at 0.1267 h; one cut in each of 7 courses at 0.0833 h."""
    found = answer()
    assert machines(found)["plate"] == rounded(Fraction("1.54321") * COMPACTED) == "0.20"
    assert machines(found)["cut_off_saw"] == rounded(7 * CUT) == "0.58"


def test_quote_brings_and_keeps_own_machines() -> None:
    """The skid steer is brought once for 60.00; the saw costs 9.00 on each day that it is there
    and 12.00 an hour: 0.58 h are 6.96."""
    found = answer()
    lines = {line["item"]: line for line in found["price"]["lines"]}
    (days,) = [t["days"] for t in found["labor"]["equipment"] if t["machine"] == "cut_off_saw"]
    assert lines["skid_steer_bring"]["cost"] == "60.00"
    assert lines["cut_off_saw_hour"]["cost"] == "6.96"
    assert lines["cut_off_saw_day"]["cost"] == f"{9 * days}.00"
    assert f"{days} day x 9.00 per day = {9 * days}.00" in lines["cut_off_saw_day"]["how"]


@pytest.mark.parametrize(("choice", "factor"), [("wheelbarrow", "1.25"), ("by_hand", "1.6")])
def test_quote_moves_material_by_hand_where_a_condition_says_so(choice: str, factor: str) -> None:
    """Material that comes by hand has no machine-hours: people take those of the driver too."""
    found = answer(conditions={"access_ease": choice})
    slower = Fraction(factor)
    assert "skid_steer" not in machines(found)
    assert hours(found)["wheel_material"] == rounded(tons(found) * DRIVEN * slower)
    assert hours(found)["move_material"] == rounded(tons(found) * BESIDE * slower)
    ruled_out = {each["task"]: each["code"] for each in found["labor"]["replaced"]}
    assert ruled_out["drive_material"] == "machine-ruled-out"


def test_quote_moves_material_with_the_machine_that_passes() -> None:
    """Through 36 in the stand-on loader of 34 in moves it; through 30 in nobody drives."""
    kept = rates_without_choice()
    narrow = answer(access={"distance": "30 ft", "narrowest_passage": "36 in"}, rates=kept)
    assert machines(narrow)["stand_on_loader"] == rounded(tons(narrow) * DRIVEN_NARROW)
    none = answer(access={"distance": "30 ft", "narrowest_passage": "30 in"}, rates=kept)
    assert "wheel_material" in hours(none)
    assert machines(none).keys() == {"plate", "cut_off_saw"}


def test_quote_carries_material_along_the_way_by_machine() -> None:
    """130 ft of way less the 30 ft that other hours include: 0.045 h a ton more."""
    found = answer(access={"distance": "130 ft"})
    assert hours(found)["drive_material_on"] == rounded(tons(found) * ALONG)
    assert "carry_material" not in hours(found)
