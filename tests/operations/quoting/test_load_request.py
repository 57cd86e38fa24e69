"""Loads above a wall and tiers, from request to job and answer."""

from __future__ import annotations

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.job import Job
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json, answered, level_wall, shipped_request
from tests.given.walls import ft

CATALOG = shipped_catalog()
PSF = 4.4482216152605 / 0.3048**2


def job(request: Json) -> Job:
    """The request with everything looked up."""
    return to_core(read_request(request, CATALOG), CATALOG)[0]


def faults(request: Json) -> list[tuple[str, str, str]]:
    """Code, pointer and hint of every fault."""
    with pytest.raises(QuoteFaultsError) as caught:
        read_request(request, CATALOG)
    return [(f.code, "/".join(map(str, f.at)), f.hint or "") for f in caught.value.faults]


def answer(request: Json) -> Json:
    """The answer as plain objects."""
    return answered(request, CATALOG)


def codes(found: Json, wall: str | None = None) -> list[str]:
    """Codes of the cautions, of one wall where it is named."""
    return [c["code"] for c in found["cautions"] if wall is None or wall in c.get("walls", ())]


def with_above(*above: Json, **more: object) -> Json:
    """A wall with these above it, and more keys of the wall."""
    return shipped_request({**level_wall(), "above": list(above), **more})


def test_above_is_looked_up_in_the_catalog() -> None:
    """A driveway is 250 psf from 4 ft on; a slope brings its own steepness."""
    request = with_above(
        {"what": "driveway", "from": "4 ft"}, {"what": "slope", "from": "6 ft", "slope": "3:1"}
    )
    (wall,) = job(request).walls
    drive, slope = wall.above
    assert drive.load_pa == pytest.approx(250 * PSF)
    assert (drive.from_m, drive.near, drive.slope) == (ft(4), ("walkway",), 0.0)
    assert slope.load_pa == 0.0
    assert slope.slope == pytest.approx(1 / 3)
    assert (wall.surcharge_pa, wall.surcharge_stated) == (0.0, False)


def test_above_without_a_distance_begins_at_the_face() -> None:
    """The nearest place is assumed and said."""
    request = with_above({"what": "patio"})
    assert job(request).walls[0].above[0].from_m == 0
    found = {a["field"]: a["value"] for a in answer(request)["assumptions"]}
    assert found["/walls/0/above/0/from"] == "0"
    assert "/walls/0/surcharge" not in found


@pytest.mark.parametrize(
    ("entry", "more", "expected"),
    [
        ({"what": "lawn"}, {"surcharge": "0 psf"}, ("surcharge-twice", "walls/0/above")),
        ({"what": "drivway"}, {}, ("unknown-load", "walls/0/above/0/what")),
        ({"what": "slope"}, {}, ("load-slope-missing", "walls/0/above/0/slope")),
        ({"what": "lawn", "slope": "3:1"}, {}, ("load-slope-unused", "walls/0/above/0/slope")),
        ({"what": "slope", "slope": "-3:1"}, {}, ("load-slope-falls", "walls/0/above/0/slope")),
        ({"what": "slope", "slope": "level"}, {}, ("load-slope-falls", "walls/0/above/0/slope")),
        (
            {"what": "lawn", "from": "-1 ft"},
            {},
            ("measurement-out-of-range", "walls/0/above/0/from"),
        ),
    ],
)
def test_above_refuses_what_makes_no_sense(
    entry: Json, more: Json, expected: tuple[str, str]
) -> None:
    """Each mistake has its own code, at its own key."""
    assert [fault[:2] for fault in faults(with_above(entry, **more))] == [expected]


def test_above_names_the_nearest_load() -> None:
    """A slip of the pen is told what was meant."""
    assert faults(with_above({"what": "drivway"}))[0][2] == "driveway"


def test_above_may_not_be_empty() -> None:
    """An empty list says nothing; a lawn says that nothing is there."""
    assert [fault[:2] for fault in faults(with_above())] == [("too-short", "walls/0/above")]


def test_loads_give_their_cautions() -> None:
    """A driveway 2 ft from the top: permit, engineer and guard; a pool and a house are near."""
    drive = codes(answer(with_above({"what": "driveway", "from": "2 ft"})))
    assert {"permit-surcharge", "engineer-surcharge", "guard-at-walkway"} <= set(drive)
    assert "load-not-stated" not in drive
    near = codes(answer(with_above({"what": "pool", "from": "12 ft"}, {"what": "house"})))
    assert {"pool-near", "building-near"} <= set(near)
    far = codes(answer(with_above({"what": "driveway", "from": "30 ft"})))
    assert not {"permit-surcharge", "guard-at-walkway"} & set(far)


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("what", "start", "held"),
    [("driveway", "8 ft", True), ("driveway", "10 ft", False), ("patio", "2 ft", False)],
)
def test_load_for_an_engineer_leaves_no_check_a_plain_pass(
    what: str, start: str, held: bool
) -> None:
    """A drive within twice a wall of 5 ft is named by every check of stability that doesn't fail;
    farther off, or a patio, it is not, and raises no caution."""
    wall = {**level_wall(), "above": [{"what": what, "from": start}]}
    given = answer(shipped_request(wall, soils={"retained": "silty_sand"}))
    named = [check for check in given["checks"] if "/walls/0/above/0" in check.get("assumed", ())]
    assert bool(named) == held
    assert not [check for check in named if check["status"] == "pass"]
    assert ("engineer-surcharge" in codes(given)) == held


def test_a_steep_slope_above_is_a_back_slope() -> None:
    """2:1 from 4 ft behind a wall of 5 ft is a case for an engineer; from 10 ft on it is not."""
    for start, given in (("4 ft", True), ("10 ft", False)):
        request = with_above({"what": "slope", "from": start, "slope": "2:1"})
        assert ("engineer-back-slope" in codes(answer(request))) == given


def test_silence_about_soil_and_load_is_told() -> None:
    """Nobody said what the soil is or what stands above; 0 psf is an answer."""
    silent = codes(answer(shipped_request()))
    assert {"soil-not-stated", "load-not-stated"} <= set(silent)
    said = shipped_request(level_wall(surcharge="0 psf"), soils={"retained": "loam"})
    assert not {"soil-not-stated", "load-not-stated"} & set(codes(answer(said)))


def two(*tiers: Json, **more: object) -> Json:
    """Three walls and these tiers."""
    walls = [level_wall("10 ft", "2 ft", name=name) for name in ("lower", "upper", "top")]
    return shipped_request(*walls, tiers=list(tiers), **more)


def tier(lower: str, upper: str, offset: str = "3 ft") -> Json:
    """A tier as a request writes it."""
    return {"lower": lower, "upper": upper, "offset": offset}


def test_tiers_become_the_job_s() -> None:
    """Names and offset come through."""
    (found,) = job(two(tier("lower", "upper", "6 ft"))).tiers
    assert (found.lower, found.upper, found.offset_m) == ("lower", "upper", ft(6))


def test_tiers_take_names_by_place() -> None:
    """Walls without names are wall-1 and wall-2."""
    request = shipped_request(level_wall(), level_wall(), tiers=[tier("wall-1", "wall-2")])
    assert job(request).tiers[0].upper == "wall-2"


@pytest.mark.parametrize(
    ("tiers", "expected"),
    [
        ([tier("lowr", "upper")], [("unknown-wall", "tiers/0/lower", "lower")]),
        (
            [tier("lower", "lower")],
            [("tier-on-itself", "tiers/0/upper", "the name of another wall")],
        ),
        (
            [tier("lower", "upper"), tier("lower", "upper", "9 ft")],
            [("tier-twice", "tiers/1", "leave one of them out")],
        ),
        (
            [tier("lower", "upper"), tier("upper", "top"), tier("top", "lower")],
            [("tiers-in-a-circle", "tiers/2", "the lower wall as lower, the upper one as upper")],
        ),
    ],
)
def test_tiers_refuse_what_makes_no_sense(
    tiers: list[Json], expected: list[tuple[str, str, str]]
) -> None:
    """Unknown walls, a wall on itself, a pair twice, a circle: each at its own key."""
    assert faults(two(*tiers)) == expected


def test_tiers_tell_their_faults_together() -> None:
    """Two unknown names and a missing offset are told at once."""
    request = two(tier("nobody", "lower"), {"lower": "lower", "upper": "upper"})
    assert [fault[:2] for fault in faults(request)] == [("field-missing", "tiers/1/offset")]
    request = two(tier("x1", "lower"), tier("lower", "x2"))
    assert [fault[1] for fault in faults(request)] == ["tiers/0/lower", "tiers/1/upper"]


def test_trap_40_near_tiers_are_one_height() -> None:
    """Three walls of 36 in, 3 ft apart, are 9 ft together: a permit for the lower ones, where each
    alone needs none; in the stricter place whatever the offset."""
    near = answer(two(tier("lower", "upper"), tier("upper", "top")))
    assert "permit-combined-height" in codes(near, "lower")
    assert "permit-combined-height" in codes(near, "upper")
    far = two(tier("lower", "upper", "40 ft"))
    assert "permit-combined-height" not in codes(answer(far))
    assert "tiers" in codes(answer(far), "lower")
    strict = answer({**far, "jurisdiction": "strict_example"})
    assert "permit-combined-height" in codes(strict, "lower")


def test_a_frozen_month_is_told() -> None:
    """A quote of January warns of frozen fill, one of May does not."""
    for day, given in (("2026-01-15", True), ("2026-05-04", False)):
        found = codes(answer(shipped_request(issued_on=day)))
        assert ("frozen-fill" in found) == given


def test_allowances_add_the_permit_fee_where_it_is_needed() -> None:
    """The terms with allowances set aside 180.00 for a permit, 1400.00 for plans and, at 5 ft of
    trench, 950.00 for shoring; a low wall costs none of them."""
    for exposed, expected in (("4 ft", ["180.00", "1400.00", "950.00"]), ("1 ft", [])):
        request = shipped_request(level_wall(exposed=exposed), terms="with_allowances")
        lines = answer(request)["price"]["lines"]
        assert [line["cost"] for line in lines if line["group"] == "extras"] == expected
