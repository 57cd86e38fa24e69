"""Cautions: limits with their tolerance, one per wall, in a fixed order."""

from __future__ import annotations

import math

import pytest

from service.core.cautions.cautions import screen_cautions
from service.core.job.fact import Fact, Facts
from service.core.job.jurisdiction import CautionRule, Jurisdiction, Severity, Trigger
from service.core.measure import US
from tests.given.earth import EARTH_RULES
from tests.given.walls import ft, inch


def rule(
    code: str,
    trigger: Trigger,
    *,
    severity: Severity = "medium",
    over: float | None = None,
    at_least: float | None = None,
    under: float | None = None,
    general: bool = False,
    replaces: tuple[str, ...] = (),
    asks_design: bool = False,
) -> CautionRule:
    """A rule with its limits in SI."""
    return CautionRule(
        code=code,
        trigger=trigger,
        severity=severity,
        text=f"About {code}.",
        source="invented",
        over=over,
        at_least=at_least,
        under=under,
        general=general,
        replaces=replaces,
        asks_design=asks_design,
    )


def place(*rules: CautionRule) -> Jurisdiction:
    """A place with these rules."""
    return Jurisdiction(id="here", version="1", title="Here", cautions=rules, earth=EARTH_RULES)


def given_codes(of: CautionRule, value: float) -> list[str]:
    """Codes that a figure of one wall gives."""
    found = screen_cautions(place(of), {"wall-1": {of.trigger: Fact(value=value)}}, {}, US).given
    return [caution.code for caution in found]


@pytest.mark.parametrize(
    ("height", "expected"),
    [
        (inch(48), []),
        (inch(48) + 0.00002, []),
        (inch(48) + 0.00003, ["permit"]),
        (inch(48.25), ["permit"]),
        (inch(47), []),
    ],
)
def test_screen_cautions_over_means_beyond_the_tolerance(
    height: float, expected: list[str]
) -> None:
    """A height of exactly 48 in, or 0.001 in more, is not over 48 in."""
    assert given_codes(rule("permit", "exposed_height", over=inch(48)), height) == expected


@pytest.mark.parametrize(
    ("depth", "expected"),
    [(ft(5), ["trench"]), (ft(5) - 0.00002, ["trench"]), (ft(4, 11), [])],
)
def test_screen_cautions_at_least_includes_the_limit(depth: float, expected: list[str]) -> None:
    """A trench of 5 ft, less float noise, is one of at least 5 ft."""
    assert given_codes(rule("trench", "trench_depth", at_least=ft(5)), depth) == expected


@pytest.mark.parametrize(("degrees", "expected"), [(69.9, ["sharp"]), (70.0, []), (70.1, [])])
def test_screen_cautions_under_leaves_out_the_limit(degrees: float, expected: list[str]) -> None:
    """A corner of 70 deg is not under 70 deg."""
    of = rule("sharp", "sharp_corner", under=math.radians(70))
    assert given_codes(of, math.radians(degrees)) == expected


def test_screen_cautions_holds_a_range_of_two_limits() -> None:
    """A rule with two limits holds between them."""
    of = rule("medium_height", "exposed_height", at_least=ft(3), under=ft(4))
    assert given_codes(of, ft(3)) == ["medium_height"]
    assert given_codes(of, ft(4)) == []


@pytest.mark.parametrize(
    ("fall", "expected"), [(-0.001, ["up"]), (0.0, ["down"]), (0.001, ["down", "steep"])]
)
def test_screen_cautions_has_no_tolerance_at_a_limit_of_nothing(
    fall: float, expected: list[str]
) -> None:
    """A level run has a fall of at least 0, and none under or over 0."""
    rules = (
        rule("down", "outlet_fall", at_least=0.0),
        rule("up", "outlet_fall", under=0.0),
        rule("steep", "outlet_fall", over=0.0),
    )
    assert [code for of in rules for code in given_codes(of, fall)] == expected


def test_screen_cautions_compares_masses_without_float_noise() -> None:
    """51 lb against a limit of 51 lb is no difference, whatever the last bit says."""
    of = rule("heavy", "unit_weight", over=51 * 0.45359237)
    assert given_codes(of, 0.45359237 * 51 * (1 + 1e-15)) == []
    assert given_codes(of, 52 * 0.45359237) == ["heavy"]


@pytest.mark.parametrize(("value", "expected"), [(1.0, ["dust"]), (0.0, [])])
def test_screen_cautions_without_limit_only_has_to_hold(value: float, expected: list[str]) -> None:
    """A trigger without a figure is 1 or 0."""
    assert given_codes(rule("dust", "exposed_end"), value) == expected


def test_screen_cautions_needs_the_fact() -> None:
    """Nothing is said about what isn't known."""
    of = place(rule("low", "engineer_load", under=100.0), rule("dust", "exposed_end"))
    assert screen_cautions(of, {"wall-1": {}}, {}, US).given == ()


def test_screen_cautions_gives_always_to_every_job() -> None:
    """`always` holds once, without a wall."""
    (caution,) = screen_cautions(place(rule("locate", "always")), {"a": {}, "b": {}}, {}, US).given
    assert (caution.code, caution.walls) == ("locate", ())
    assert (caution.text, caution.source) == ("About locate.", "invented")


def test_screen_cautions_names_the_walls_of_a_rule() -> None:
    """A rule that holds for two walls is one entry with both by name, in any order of walls."""
    of = place(rule("permit", "exposed_height", over=ft(4)))
    walls: dict[str, Facts] = {
        "upper": {"exposed_height": Fact(value=ft(5))},
        "lower": {"exposed_height": Fact(value=ft(6))},
    }
    found = screen_cautions(of, walls, {}, US).given
    assert [caution.walls for caution in found] == [("lower", "upper")]
    assert screen_cautions(of, dict(reversed(list(walls.items()))), {}, US).given == found


def test_screen_cautions_sorts_by_severity_then_rule() -> None:
    """High before medium before low; equal ones stand as in the file, each once."""
    of = place(
        rule("low_one", "always", severity="low"),
        rule("medium_one", "exposed_end"),
        rule("high_two", "not_screened", severity="high"),
        rule("high_one", "exposed_end", severity="high"),
    )
    walls: dict[str, Facts] = {
        "b": {"exposed_end": Fact(value=1.0)},
        "a": {"exposed_end": Fact(value=1.0), "not_screened": Fact(value=1.0)},
    }
    found = screen_cautions(of, walls, {"not_screened": Fact(value=1.0)}, US).given
    assert [(caution.code, caution.walls) for caution in found] == [
        ("high_two", ("a",)),
        ("high_one", ("a", "b")),
        ("medium_one", ("a", "b")),
        ("low_one", ()),
    ]


def test_screen_cautions_adds_the_figure_in_words() -> None:
    """The rule's text comes first, then what the fact says about this wall."""
    of = place(rule("permit", "exposed_height", over=ft(4)))
    fact = Fact(value=ft(5), words="Largest exposed height 5 ft.")
    (caution,) = screen_cautions(of, {"wall-1": {"exposed_height": fact}}, {}, US).given
    assert caution.text == "About permit. Largest exposed height 5 ft."


def test_screen_cautions_says_by_wall_what_differs() -> None:
    """Words of several walls stand with their names; the same words stand once."""
    of = place(rule("permit", "exposed_height", over=ft(4)), rule("end", "exposed_end"))
    walls: dict[str, Facts] = {
        "a": {
            "exposed_height": Fact(value=ft(5), words="It is 5 ft."),
            "exposed_end": Fact(value=1.0, words="So it is."),
        },
        "b": {
            "exposed_height": Fact(value=ft(6), words="It is 6 ft."),
            "exposed_end": Fact(value=1.0, words="So it is."),
        },
    }
    texts = [caution.text for caution in screen_cautions(of, walls, {}, US).given]
    assert texts == ["About permit. a: It is 5 ft. b: It is 6 ft.", "About end. So it is."]


def test_screen_cautions_keeps_general_words_apart() -> None:
    """A general rule stands in `always`, and a job's caution that speaks for it takes its place."""
    of = place(
        rule("look-up", "always", general=True),
        rule("locate", "always", general=True),
        rule("lines", "power_lines", replaces=("look-up",)),
    )
    without = screen_cautions(of, {}, {"power_lines": Fact(value=0.0)}, US)
    assert ([c.code for c in without.always], without.given) == (["look-up", "locate"], ())
    near = screen_cautions(of, {}, {"power_lines": Fact(value=1.0)}, US)
    assert [c.code for c in near.always] == ["locate"]
    assert [c.code for c in near.given] == ["lines"]


def test_screen_cautions_replaces_wall_by_wall() -> None:
    """What one wall's caution speaks for still stands for the other wall; what the job's speaks
    for stands for none."""
    of = place(
        rule("guard", "exposed_height", over=ft(2)),
        rule("walk", "exposed_end", replaces=("guard",)),
        rule("all", "not_screened", replaces=("guard",)),
    )
    high: Facts = {"exposed_height": Fact(value=ft(3))}
    walls: dict[str, Facts] = {"a": {**high, "exposed_end": Fact(value=1.0)}, "b": high}
    given = {c.code: c.walls for c in screen_cautions(of, walls, {}, US).given}
    assert given == {"guard": ("b",), "walk": ("a",)}
    of_job = screen_cautions(of, walls, {"not_screened": Fact(value=1.0)}, US)
    assert [c.code for c in of_job.given] == ["walk", "all"]


def test_screen_cautions_holds_what_another_one_speaks_for() -> None:
    """A caution that is spoken for still holds: sums and the customer's list hang on it; so does
    its call for a design."""
    of = place(
        rule("height", "exposed_height", over=ft(2), asks_design=True),
        rule("fails", "gravity_fails", replaces=("height",)),
    )
    wall: Facts = {"exposed_height": Fact(value=ft(3)), "gravity_fails": Fact(value=1.0)}
    found = screen_cautions(of, {"a": wall}, {}, US)
    assert [c.code for c in found.given] == ["fails"]
    assert (found.held, found.design_asked) == (("fails", "height"), ("height",))
