"""What a screening comes to in plain words, from checks that are made up."""

from __future__ import annotations

import pytest

from service.core.job.basis import CheckName
from service.core.job.reinforcement import WallReinforcement
from service.core.screening.check import Build, Check, Status
from service.core.screening.screening import Screening
from service.core.screening.screening_summary import summary_of
from service.core.screening.wall_screening import WallScreening
from tests.given.basis import ASSOCIATION
from tests.given.walls import inch

LAID = WallReinforcement(wall="low", item="grid", layers=(), soil_between_m=inch(3))
FIRST_LOOK = (
    "This is a first look with published methods on the figures given. It is no design: local code "
    "and a licensed engineer decide what is built."
)
PASSES = "low: passes this first look as a plain wall of these units."
FAILS = "low: does not pass as a plain wall of these units. A licensed engineer must design it."
UNKNOWN = "low: could not be checked: the soil behind it or the weight of its units is not known."
PLANNED = (
    "low: planned with layers of reinforcement in the soil behind it. Their layout is preliminary; "
    "a licensed engineer must design it before work begins."
)


def check(name: CheckName, status: Status, build: Build = "gravity", wall: str = "low") -> Check:
    """A check of the wall."""
    return Check(check=name, limit="min", wall=wall, status=status, source="by hand", build=build)


def screened(*checks: Check, layers: tuple[Check, ...] | None = None) -> Screening:
    """One wall with these checks, and with layers where some of them were checked."""
    laid = None if layers is None else LAID
    wall = WallScreening(wall="low", reinforcement=laid, reinforced_checks=layers or ())
    return Screening(basis=ASSOCIATION, plain_checks=checks, other_checks=(), walls=(wall,))


def told(found: Screening, *, reinforced: bool = False) -> list[str]:
    """What is said of the wall, before what this is."""
    *lines, last = summary_of(found, (), reinforced=reinforced)
    assert last == FIRST_LOOK
    return lines


SLIDES, HOLDS = check("base_sliding", "fail"), check("base_sliding", "pass")
NOT_MADE = check("base_sliding", "not_checked")


def test_summary_of_a_wall_that_passes_or_fails() -> None:
    """One check that fails is enough; what no check looked at isn't known."""
    assert told(screened(HOLDS, check("overturning", "pass"))) == [PASSES]
    assert told(screened(HOLDS, check("overturning", "fail"))) == [FAILS]
    assert told(screened(NOT_MADE, check("overturning", "not_checked"))) == [UNKNOWN]


def test_summary_goes_by_stability_and_not_by_what_lies_beside() -> None:
    """A slope that nobody looked at, or water without a way out, is no check of the wall itself."""
    slope = check("overall_slope", "pass")
    assert told(screened(NOT_MADE, slope)) == [UNKNOWN]
    water = "low: water has no way out behind it, and no check here counts its push."
    assert told(screened(HOLDS, check("water_pressure", "fail"))) == [PASSES, water]
    near = (
        "low: the wall above it stands so near that the two act together. A licensed engineer must "
        "design both as one."
    )
    assert told(screened(HOLDS, check("tier_independence", "fail"))) == [PASSES, near]
    beside = check("water_pressure", "pass"), check("tier_independence", "pass")
    assert told(screened(HOLDS, *beside)) == [PASSES]


def test_summary_says_what_a_pass_rests_on_and_lacks() -> None:
    """Hinge height and shear were not made: the basis asks for both; for eccentricity it has no
    figure of a plain stack, so nothing lacks there."""
    rests = check("base_sliding", "pass_as_assumed")
    assumed = f"{PASSES} It rests on assumptions, which are listed."
    assert told(screened(rests)) == [assumed]
    open_still = [
        check(name, "not_checked") for name in ("interface_shear", "hinge_height", "eccentricity")
    ]
    lacks = "Not checked: shear between courses, hinge height."
    assert told(screened(HOLDS, *open_still)) == [f"{PASSES} {lacks}"]
    assert told(screened(rests, *open_still)) == [f"{assumed} {lacks}"]


def test_summary_of_layers_that_are_quoted_or_only_shown() -> None:
    """The plain stack slides. With layers quoted it is planned with them; where they are shown,
    it is said what they would do."""
    holds, fails = (check("pullout", status, "reinforced") for status in ("pass", "fail"))
    good, bad = screened(SLIDES, layers=(holds,)), screened(SLIDES, layers=(holds, fails))
    shown = "low: with the layers of reinforcement shown it would pass this first look."
    weak = "low: the layers of reinforcement shown would not be enough either."
    assert told(good) == [FAILS, shown]
    assert told(bad) == [FAILS, weak]
    assert told(good, reinforced=True) == [PLANNED]
    assert told(bad, reinforced=True) == [
        "low: does not pass with the layers shown. A licensed engineer must design it."
    ]
    assert told(screened(HOLDS), reinforced=True) == [PASSES]


def test_summary_offers_what_passes_unless_the_wall_is_for_an_engineer() -> None:
    """Two changes pass."""
    passing = ("fewer courses", "layers")
    offered = summary_of(screened(SLIDES), (), reinforced=False, passing=passing)
    assert offered[0] == (
        "low: does not pass as a plain wall of these units as it is; these changes pass: fewer "
        "courses; or layers."
    )
    kept = summary_of(
        screened(SLIDES), (), reinforced=False, passing=passing, for_engineer=("low",)
    )
    assert kept[0] == FAILS


def test_summary_speaks_of_each_wall_by_its_own_checks() -> None:
    """The upper one slides, the lower one holds."""
    walls = tuple(WallScreening(wall=name) for name in ("low", "up"))
    checks = (HOLDS, check("base_sliding", "fail", wall="up"))
    found = Screening(basis=ASSOCIATION, plain_checks=checks, other_checks=(), walls=walls)
    assert told(found) == [PASSES, FAILS.replace("low", "up")]


@pytest.mark.parametrize(
    ("reasons", "why"),
    [
        (("height",), "height"),
        (("height", "slope"), "height and slope"),
        (("height", "slope", "water"), "height, slope and water"),
    ],
)
def test_summary_says_why_the_place_asks_for_an_engineer(
    reasons: tuple[str, ...], why: str
) -> None:
    """All reasons in one sentence."""
    lines = summary_of(screened(HOLDS), (), reinforced=False, reasons=reasons)
    reviewed = f"The plan must be reviewed by a licensed engineer, because of {why}."
    assert lines == (PASSES, reviewed, FIRST_LOOK)


def test_summary_speaks_of_a_permit_where_one_is_likely() -> None:
    """Any caution about a permit that holds is enough."""
    permit = "A building permit is asked for, or likely to be: the building department decides."
    for held, told_of in (((), ()), (("frost",), ()), (("frost", "permit_by_height"), (permit,))):
        lines = summary_of(screened(HOLDS), held, reinforced=False)
        assert lines == (PASSES, *told_of, FIRST_LOOK)
