"""What an answer says of safety: what applies to this job, once, by the figures of its place."""

from __future__ import annotations

import itertools

import pytest

from service.catalog import Catalog
from service.core.cautions.cautions import screen_cautions
from service.core.errors import QuoteFaultsError
from service.core.job.fact import Fact
from service.core.job.jurisdiction import CautionRule
from service.core.measure import US
from service.operations.quoting.quote import quote_request
from service.operations.quoting.quote_request import read_request
from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json, answered, caution_codes, caution_of, shipped_request

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

MOST = 12
MOST_GENERAL = 6
LIFTING = {"lifting", "heavy-unit", "machine-unit", "unit-over-house-limit"}
PLACES = ("plain", "strict_example")
LIMITED = [
    (place, rule.code)
    for place in PLACES
    for rule in shipped_catalog().jurisdictions[place].core.cautions
    if (rule.over, rule.at_least, rule.under) != (None, None, None)
]


def dug_wall(exposed_in: int, *, bank_in: int | None = None, **more: object) -> Json:
    """40 ft of level wall cut into a bank that rises from 6 ft before it to 4 ft behind it, as high
    as the wall unless told otherwise; lawn above."""
    high = bank_in if bank_in is not None else exposed_in
    bank = [
        {"offset": offset, "elevation": f"{level} in"}
        for offset, level in (("-30 ft", 0), ("-6 ft", 0), ("4 ft", high), ("60 ft", high))
    ]
    grades = {"top": f"{exposed_in} in", "front_grade": "0 in", "back_grade": f"{high} in"}
    return {
        "plan": [{"kind": "straight", "length": "40 ft"}],
        "profile": [{"station": at, **grades, "existing_section": bank} for at in ("0 ft", "end")],
        "ends": {"start": "finished", "finish": "finished"},
        "above": [{"what": "lawn"}],
        **more,
    }


def yard(wall: Json, *, soil: str = "silty_sand", **more: object) -> Json:
    """A whole job: dug, hauled off, priced, with an outlet, a gate and a street."""
    return {
        **shipped_request(wall),
        "soils": {"retained": soil, "fill": "sand_gravel"},
        "rates": "small_crew",
        "water": {"outlet": "daylight", "run": "20 ft", "fall": "6 in"},
        "site": {"street_used": True, "private_lines": ["irrigation"]},
        "access": {"distance": "60 ft", "narrowest_passage": "8 ft"},
        **more,
    }


@pytest.mark.parametrize(
    ("exposed_in", "soil", "section"),
    list(
        itertools.product(
            (12, 24, 36, 48), ("loam", "sand_gravel", "clay"), ("plain_gravity", "deep_pad")
        )
    ),
)
def test_an_everyday_job_shows_at_most_a_dozen_cautions(
    catalog: Catalog, exposed_in: int, soil: str, section: str
) -> None:
    """Up to 4 ft exposed under a lawn: at most twelve beside at most six for every job, each code
    once, and one word on lifting in all."""
    answer = answered(yard(dug_wall(exposed_in), soil=soil, section=section), catalog)
    codes, always = caution_codes(answer), [each["code"] for each in answer["always"]]
    assert len(codes) <= MOST, codes
    assert len(always) <= MOST_GENERAL
    assert len({*codes, *always}) == len(codes) + len(always)
    assert len(LIFTING & {*codes, *always}) == 1
    assert "utilities-not-located" in always


def test_shipped_general_words_are_the_six(catalog: Catalog) -> None:
    """Locating, lines overhead, dust, looking at the cut, lifting, and that this is no design."""
    for place in PLACES:
        rules = catalog.jurisdictions[place].core.cautions
        assert [rule.code for rule in rules if rule.general] == [
            "utilities-not-located",
            "overhead-lines",
            "dust",
            "cut-inspection",
            "lifting",
            "screening-only",
        ]


@pytest.mark.parametrize(("place", "code"), LIMITED)
def test_each_legal_figure_holds_at_its_limit(catalog: Catalog, place: str, code: str) -> None:
    """A hundredth short of the shipped figure nothing holds; at it (`at_least`), or a
    hundredth past it (`over`, `under`), the caution does."""
    jurisdiction = catalog.jurisdictions[place].core
    (rule,) = (each for each in jurisdiction.cautions if each.code == code)

    def holds(value: float) -> bool:
        facts = {"wall-1": {rule.trigger: Fact(value=value)}}
        return rule.code in screen_cautions(jurisdiction, facts, {}, US).held

    short, reached = _both_sides(rule)
    assert not holds(short)
    assert holds(reached)


def _both_sides(rule: CautionRule) -> tuple[float, float]:
    """A figure that is not yet one of the rule, and one that is."""
    if rule.at_least is not None:
        return rule.at_least * 0.99, rule.at_least
    if rule.under is not None:
        return rule.under, rule.under * 0.99
    assert rule.over is not None
    return rule.over, rule.over * 1.01 or 0.01


def test_another_place_changes_answers_by_its_file_alone(catalog: Catalog) -> None:
    """The same wall of 3 ft 6 in: where 5 ft of cut and 6 ft of fall count, nothing is said of
    them; where it is 4 ft, they are, with 3 ft between the edge and what is dug, and a respirator
    from the first hour."""
    request = yard(dug_wall(42))
    here = answered(request, catalog)
    there = answered({**request, "jurisdiction": "strict_example"}, catalog)
    only_there = {"cut-slope", "falls-into-cut", "permit-grading"}
    assert only_there & set(caution_codes(here)) == set()
    assert only_there <= set(caution_codes(there))
    assert "trench-egress" in caution_codes(here)
    assert "stays 2 ft or more" in _general(here, "cut-inspection")["text"]
    assert "stays 3 ft or more" in _general(there, "cut-inspection")["text"]
    assert "over 4 h of it in a shift a respirator" in caution_of(here, "dust-when-cutting")["text"]
    assert "outdoors; a respirator" in caution_of(there, "dust-when-cutting")["text"]
    assert "no steeper than 2:1" in caution_of(there, "cut-slope")["text"]
    dug = [float(answer["earthwork"]["cut"]["value"]) for answer in (here, there)]
    assert dug[0] < dug[1]


def test_a_deep_cut_says_one_thing_of_each_hazard(catalog: Catalog) -> None:
    """Six feet and more: protection with slope and ladder in one, and the edge of the cut; the
    ladder and the protection are not said again. Source: 29 CFR 1926.652(a)(1), 651(c)(2),
    501(b)(7)."""
    codes = caution_codes(answered(yard(dug_wall(48, bank_in=66)), catalog))
    assert {"cut-slope", "falls-into-cut"} <= set(codes)
    assert not {"trench-protection", "trench-egress"} & set(codes)


@pytest.mark.parametrize(
    ("exposed", "given"),
    [("5 ft 8 in", False), ("5 ft 11 in", False), ("6 ft", True)],
)
def test_workers_near_an_edge_go_by_the_built_top(
    catalog: Catalog, exposed: str, given: bool
) -> None:
    """The drop that counts is from the top as built to the front grade. Source: 29 CFR
    1926.501(b)(1)."""
    wall = {
        "plan": [{"kind": "straight", "length": "40 ft"}],
        "profile": [
            {"station": at, "exposed": exposed, "front_grade": "0 ft"} for at in ("0 ft", "end")
        ],
    }
    codes = caution_codes(answered(shipped_request(wall), catalog))
    assert ("workers-near-edge" in codes) == given


@pytest.mark.parametrize(
    ("stated", "words"),
    [(None, None), (True, "watches it."), ("25 ft", "They are 25 ft away.")],
)
def test_power_lines_make_the_general_word_the_job_s(
    catalog: Catalog, stated: object, words: str | None
) -> None:
    """Stated lines are a caution of the job in place of the general word, with their distance."""
    site = {} if stated is None else {"power_lines": stated}
    answer = answered({**shipped_request(), "site": site}, catalog)
    always = [each["code"] for each in answer["always"]]
    assert ("overhead-lines" in always) == (words is None)
    if words is None:
        assert "power-lines" not in caution_codes(answer)
    else:
        assert caution_of(answer, "power-lines")["text"].endswith(words)


@pytest.mark.parametrize("stated", [False, "near", "true"])
def test_power_lines_are_true_or_a_distance(catalog: Catalog, stated: object) -> None:
    """`false` says nothing that a caution could rest on, a word no distance: each is told what
    would be right."""
    with pytest.raises(QuoteFaultsError) as caught:
        answered({**shipped_request(), "site": {"power_lines": stated}}, catalog)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("unknown-choice", ("site", "power_lines"))
    assert (fault.hint or "") == 'true or a distance, such as "25 ft", or no key'


def test_a_truck_with_a_crane_breaks_no_pallet(catalog: Catalog) -> None:
    """Pallets of 36 units of 94 lb outweigh what the loader lifts: hours of breaking them, and
    none where a truck with a crane sets them down."""
    by_hand = answered(yard(dug_wall(36)), catalog)
    way = {"distance": "60 ft", "narrowest_passage": "8 ft", "crane_truck": True}
    by_crane = answered(yard(dug_wall(36), access=way), catalog)
    assert "break_pallets" in {task["task"] for task in by_hand["labor"]["tasks"]}
    assert "break_pallets" not in {task["task"] for task in by_crane["labor"]["tasks"]}
    assert "pallets-too-heavy" not in {*caution_codes(by_hand), *caution_codes(by_crane)}


@pytest.mark.parametrize(
    ("soil", "section", "bare"),
    [
        ("clay", "plain_gravity", True),
        ("clay", "deep_pad", False),
        ("loam", "plain_gravity", False),
    ],
)
def test_clear_stone_on_clay_wants_fabric(
    catalog: Catalog, soil: str, section: str, bare: bool
) -> None:
    """The plain section's pad of clear stone lies bare on clay; the deep pad has its fabric, and
    on loam none is needed."""
    answer = answered(yard(dug_wall(24), soil=soil, section=section), catalog)
    assert ("pad-without-fabric" in caution_codes(answer)) == bare


def test_fabric_of_a_deep_pad_is_counted(catalog: Catalog) -> None:
    """40 ft of pad 6 + 13 + 12 = 31 in wide and 12 in thick, under 2 ft 4 in units: 31/12 x 40 =
    103.33 ft2 below and 2 x 1 ft x 40 ft = 80 ft2 up both sides, beside the fabric behind the
    drainage stone."""
    wall = {
        "plan": [{"kind": "straight", "length": "40 ft"}],
        "profile": [
            {"station": at, "exposed": "24 in", "front_grade": "0 ft"} for at in ("0 ft", "end")
        ],
    }
    request = {**shipped_request(wall), "section": "deep_pad"}
    (line,) = (
        each for each in answered(request, catalog)["quantities"] if each["item"] == "filter_fabric"
    )
    assert any(
        "under the pad 103.333 ft2 + up both its sides 80 ft2 = 183.333 ft2" in step
        for step in line["how"]
    )


@pytest.mark.parametrize(
    ("above", "exposed_in", "code"),
    [
        ([{"what": "lawn"}], 48, None),
        ([{"what": "lawn"}], 49, "engineer-unbalanced-fill"),
        ([{"what": "patio"}], 24, None),
        ([{"what": "patio"}], 25, "engineer-unbalanced-fill-loaded"),
        ([{"what": "patio"}], 49, "engineer-unbalanced-fill"),
    ],
)
def test_unbalanced_fill_goes_by_load_and_height(
    catalog: Catalog, above: list[Json], exposed_in: int, code: str | None
) -> None:
    """48 in of soil alone, 24 in with a load near the wall. Source: IRC R404.4, 2015 and later."""
    wall = dug_wall(exposed_in, above=[{**above[0], "from": "2 ft"}])
    held = cautions_held(yard(wall), catalog)
    expected = {code} if code else set()
    found = {each for each in held if each.startswith("engineer-unbalanced-fill")}
    if code == "engineer-unbalanced-fill" and above[0]["what"] == "patio":
        expected |= {"engineer-unbalanced-fill-loaded"}
    assert found == expected


def test_summary_names_a_load_on_unbalanced_fill_as_the_reason(catalog: Catalog) -> None:
    """25 in beside a patio: nothing but the loaded fill asks for an engineer, and it is named."""
    wall = dug_wall(25, above=[{"what": "patio", "from": "2 ft"}])
    words = " ".join(answered(yard(wall), catalog)["screening"]["summary"])
    reason = "because of the height of the soil that a wall holds under a load."
    assert f"must be reviewed by a licensed engineer, {reason}" in words


def cautions_held(request: Json, catalog: Catalog) -> tuple[str, ...]:
    """Codes of all rules that hold, those that others speak for included."""
    return quote_request(read_request(request, catalog), catalog).quote.cautions.held


def _general(answer: Json, code: str) -> Json:
    (found,) = (each for each in answer["always"] if each["code"] == code)
    return dict(found)
