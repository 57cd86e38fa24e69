"""Two tiers dug into a bank, from request to answer, by hand.

Units 8 in high and 13 in deep under a cap of 4 in, pad 6 in: trench from 0.5 ft in front of the
plan line, floor to 2.0833 ft behind it, 1:1 cut in loam (class B).
"""

from __future__ import annotations

import pytest

from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json, answered


def tier(name: str, top: str, front: str, existing: str) -> Json:
    """40 ft of wall on a 2:1 bank between two structures."""
    levels = {"top": top, "front_grade": front}
    return {
        "name": name,
        "plan": [{"kind": "straight", "length": "40 ft"}],
        "profile": [
            {"station": "0 ft", **levels, "existing_grade": existing},
            {"station": "end", **levels},
        ],
        "existing_slope": "2:1",
        "ends": {"start": "against_structure", "finish": "against_structure"},
        "graded_in_front": "0 ft",
    }


LOW, UP = tier("low", "3 ft", "0 ft", "0 ft"), tier("up", "6 ft", "3 ft", "2 ft 6 in")


def answer(*walls: Json, tiers: bool = True) -> Json:
    """The answer as plain objects."""
    request: Json = {
        "units": "us",
        "wall_system": "terrace_8in",
        "section": "plain_gravity",
        "soils": {"retained": "loam"},
        "walls": list(walls),
        "prices": {"price_list": "demo_2026"},
    }
    if tiers:
        request["tiers"] = [{"lower": "low", "upper": "up", "offset": "5 ft"}]
    return answered(request, shipped_catalog())


def cautions(found: Json, code: str) -> list[Json]:
    """All cautions of a code."""
    return [each for each in found["cautions"] if each["code"] == code]


def test_earthwork_states_the_shared_cut_by_hand() -> None:
    """Between the upper trench at 4.5 ft and the end of the lower cut at 5.5 ft both would dig
    0.2465 ft2: it is in the sum once, and the balance goes by that sum."""
    joined, alone = answer(LOW, UP)["earthwork"], answer(LOW, UP, tiers=False)["earthwork"]
    overlap = (0.5 / 6 * (5 / 12 + 11 / 24) / 2 + 11 / 12 * 11 / 24 / 2) * 40 / 27
    assert joined["shared_cut"]["state"] == "bank"
    assert float(joined["shared_cut"]["value"]) == pytest.approx(overlap, rel=1e-6)
    assert float(alone["cut"]["value"]) - float(joined["cut"]["value"]) == pytest.approx(overlap)
    assert sum(float(wall["cut"]["value"]) for wall in joined["walls"]) == pytest.approx(
        float(joined["cut"]["value"])
    )
    assert "shared_cut" not in alone


def test_tiers_are_one_cut_for_depth_and_cautions() -> None:
    """From 1.17 ft under the lower grade to 4.75 ft over it both are one cut of 5.92 ft, and need
    what a cut of that depth needs; by themselves neither does."""
    joined, alone = answer(LOW, UP), answer(LOW, UP, tiers=False)
    for wall in joined["earthwork"]["walls"]:
        assert float(wall["deepest_cut"]["value"]) == pytest.approx(7 / 6 + 4.75)
    (found,) = cautions(joined, "cut-slope")
    assert found["walls"] == ["low", "up"]
    assert "to the highest top 5.92 ft at station 0 ft" in found["text"]
    assert not cautions(alone, "cut-slope")


def test_pad_on_fill_of_the_lower_wall_is_a_caution() -> None:
    """At its front edge the upper trench lies an inch over the lower wall's cut."""
    (found,) = cautions(answer(LOW, UP), "pad-on-fill")
    assert found["severity"] == "high"
    assert found["text"].endswith("Up to 0.08 ft of fill under the pad, at station 0 ft.")
    assert not cautions(answer(LOW, UP, tiers=False), "pad-on-fill")


def test_tiers_say_where_they_were_taken_to_begin() -> None:
    """Where the upper wall begins along the lower one is an assumption, if it counts."""
    (found,) = [a for a in answer(LOW, UP)["assumptions"] if a["field"] == "/tiers/0"]
    assert found["value"] == "start opposite start"


def test_order_of_walls_changes_no_earthwork() -> None:
    """Walls in another order give the same sums."""
    one, other = answer(LOW, UP)["earthwork"], answer(UP, LOW)["earthwork"]
    assert one["walls"] == other["walls"][::-1]
    assert {k: v for k, v in one.items() if k != "walls"} == {
        k: v for k, v in other.items() if k != "walls"
    }
