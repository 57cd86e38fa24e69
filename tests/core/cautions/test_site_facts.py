"""Water and site as facts: what each raises under the shipped rules, at its limit and beyond."""

from __future__ import annotations

import pytest

from service.catalog import read_catalog
from service.catalog.schemas import shipped_folder
from service.core.cautions.caution import Caution
from service.core.cautions.cautions import screen_cautions
from service.core.cautions.site_facts import pipe_facts, site_facts, street_fact, water_facts
from service.core.job.access import Access, Drop
from service.core.job.fact import Fact, Facts
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.section import Pipe, Section
from service.core.job.site import Outlet, Site, SiteSeen, Tree, Water, WaterSeen
from service.core.measure import METRIC, US
from tests.given.walls import entry, ft, inch, laid, level_wall, section, straight, wall

DRAINED = section(
    pipe=Pipe(item="pipe", outlet_item="outlet", outlet_spacing_m=ft(50), outlet_length_m=ft(4))
)
# 40 ft long, exposed 4 ft over level 0: joints from a top of 48 in less a cap of 4 in, so the
# lowest course and its pipe lie at 44 - 7 x 8 = -12 in.
WALL = laid(level_wall())


@pytest.fixture(scope="module")
def plain() -> Jurisdiction:
    """The shipped rules."""
    catalog = read_catalog([shipped_folder()])
    return catalog.jurisdictions["plain"].core


def of_job(plain: Jurisdiction, facts: Facts) -> dict[str, Caution]:
    """Cautions of the job by code, without those of every quote."""
    of_every_job = [each.code for each in screen_cautions(plain, {}, {}, US).given]
    given = screen_cautions(plain, {}, facts, US).given
    return {each.code: each for each in given if each.code not in of_every_job}


def of_pipe(plain: Jurisdiction, water: Water | None, detail: Section = DRAINED) -> dict[str, str]:
    """Texts of the cautions about the pipe of one wall, by code."""
    facts = pipe_facts(water, WALL, detail, US)
    given = screen_cautions(plain, {"wall-1": facts}, {}, US).given
    return {each.code: each.text for each in given if each.walls == ("wall-1",)}


@pytest.mark.parametrize(
    ("outlet", "severity"),
    [
        ("through_face", "low"),
        ("around_end", "low"),
        ("daylight", "low"),
        ("storm_drain", "medium"),
        ("pit", "medium"),
        ("none", "high"),
    ],
)
def test_water_facts_caution_about_every_outlet(
    plain: Jurisdiction, outlet: Outlet, severity: str
) -> None:
    """Each way out has a caution of its own, and that alone."""
    facts = water_facts(Water(outlet=outlet), DRAINED, US)
    assert [fact.value for trigger, fact in facts.items() if trigger == f"outlet_{outlet}"] == [1.0]
    found = of_job(plain, facts)
    assert list(found) == [f"outlet-{outlet.replace('_', '-')}"]
    assert [each.severity for each in found.values()] == [severity]


@pytest.mark.parametrize("water", [None, Water()])
def test_water_facts_miss_an_outlet_that_is_not_stated(
    plain: Jurisdiction, water: Water | None
) -> None:
    """A drain pipe without a word about its outlet is a caution; a section without pipe is not."""
    assert list(of_job(plain, water_facts(water, DRAINED, US))) == ["outlet-not-stated"]
    assert of_job(plain, water_facts(water, section(), US)) == {}


@pytest.mark.parametrize("seen", ["standing_water", "wet_ground", "runoff", "washout"])
def test_water_facts_caution_about_what_was_seen(plain: Jurisdiction, seen: WaterSeen) -> None:
    """Each word has its caution."""
    facts = water_facts(Water(outlet="daylight", seen=(seen,)), DRAINED, US)
    assert f"seen-{seen.replace('_', '-')}" in of_job(plain, facts)


def test_water_facts_count_downspouts(plain: Jurisdiction) -> None:
    """Two downspouts above are a caution with their number, none are not."""
    two = of_job(plain, water_facts(Water(outlet="daylight", downspouts_above=2), DRAINED, US))
    assert two["downspouts-above"].text.endswith("Downspouts: 2.")
    assert "downspouts-above" not in of_job(plain, water_facts(Water(), DRAINED, US))


@pytest.mark.parametrize(
    ("drop", "fall", "codes"),
    [
        (inch(3), 0.01, []),  # just the 1 % that a drain needs
        (inch(3), 0.0099, ["outlet-fall"]),
        (0.0, 0.0, ["outlet-fall"]),  # level, but not below
        (-inch(3), -0.01, ["pipe-below-outlet"]),
        (None, 0.02, []),
        (inch(3), None, []),
    ],
)
def test_water_facts_hold_the_stated_fall(
    plain: Jurisdiction, drop: float | None, fall: float | None, codes: list[str]
) -> None:
    """A run needs 1 % of fall; an outlet above the pipe is told with the height of it."""
    water = Water(outlet="daylight", run_m=ft(25), drop_m=drop, fall=fall)
    found = of_job(plain, water_facts(water, DRAINED, US))
    assert [code for code in found if code != "outlet-daylight"] == codes
    if codes == ["pipe-below-outlet"]:
        assert found["pipe-below-outlet"].text.endswith("The pipe lies 0.25 ft below the outlet.")
    assert found["outlet-daylight"].text.endswith("Outlet run 25 ft.")


@pytest.mark.parametrize(
    ("level", "run", "codes"),
    [
        (-inch(12), None, []),  # as low as the pipe
        (-inch(11), None, ["pipe-below-outlet"]),
        (-inch(18), ft(50), []),  # 6 in over 50 ft are 1 %
        (-inch(18), ft(60), ["outlet-fall"]),
    ],
)
def test_pipe_facts_hold_the_pipe_against_the_level_of_the_outlet(
    plain: Jurisdiction, level: float, run: float | None, codes: list[str]
) -> None:
    """The pipe lies at the underside of the lowest course, here 12 in below the ground."""
    water = Water(outlet="daylight", outlet_level_m=level, run_m=run)
    assert list(of_pipe(plain, water)) == codes


def test_pipe_facts_take_an_outlet_through_the_face_to_show_at_the_ground(
    plain: Jurisdiction,
) -> None:
    """Nobody sees an outlet below ground: the pipe, 12 in deeper, holds water up to there. A
    stated level or fall goes before."""
    through = of_pipe(plain, Water(outlet="through_face"))
    assert through["pipe-below-outlet"].endswith("The pipe lies 1 ft below the ground in front.")
    assert of_pipe(plain, Water(outlet="through_face", outlet_level_m=-inch(12))) == {}
    assert of_pipe(plain, Water(outlet="through_face", drop_m=inch(2))) == {}


def test_pipe_facts_take_the_lowest_ground_in_front_for_an_outlet_through_the_face() -> None:
    """Ground from 0 down to -24 in: the lowest course lies at -36 in, 1 ft under the lowest."""
    spec = wall((straight(ft(40)),), (entry(0.0, ft(4)), entry("end", ft(4), ft(-2))))
    fact = pipe_facts(Water(outlet="through_face"), laid(spec), DRAINED, US)["pipe_below_outlet"]
    assert fact.value == pytest.approx(ft(1))


@pytest.mark.parametrize(
    ("water", "detail"),
    [
        (None, DRAINED),
        (Water(outlet_level_m=0.0), DRAINED),
        (Water(outlet="none", outlet_level_m=0.0), DRAINED),
        (Water(outlet="daylight"), DRAINED),
        (Water(outlet="daylight", outlet_level_m=0.0), section()),
    ],
)
def test_pipe_facts_say_nothing_of_what_is_not_known(water: Water | None, detail: Section) -> None:
    """Without an outlet, its level or a pipe there is no figure."""
    assert pipe_facts(water, WALL, detail, US) == {}


def of_site(plain: Jurisdiction, site: Site | None) -> dict[str, Caution]:
    """Cautions about the site by code."""
    return of_job(plain, site_facts(site, [WALL], US))


@pytest.mark.parametrize(
    ("seen", "severity"),
    [
        ("crack", "medium"),
        ("lean", "high"),
        ("spring", "high"),
        ("slide", "high"),
        ("fill", "high"),
        ("rock", "medium"),
        ("stumps", "low"),
    ],
)
def test_site_facts_caution_about_what_was_seen(
    plain: Jurisdiction, seen: SiteSeen, severity: str
) -> None:
    """Each word has its caution, and that alone."""
    found = of_site(plain, Site(seen=(seen,)))
    assert {code: each.severity for code, each in found.items()} == {f"seen-{seen}": severity}


def test_site_facts_caution_about_easement_and_lines(plain: Jurisdiction) -> None:
    """Each is a caution, private lines with their names."""
    site = Site(easement=True, private_lines=("gas", "pet_fence"))
    found = of_site(plain, site)
    assert sorted(found) == ["easement", "private-lines"]
    assert found["private-lines"].text.endswith("Said of: gas, pet fence.")


def test_site_facts_of_nothing_raise_nothing(plain: Jurisdiction) -> None:
    """A site with nothing to say, or none."""
    assert of_site(plain, None) == of_site(plain, Site()) == {}


@pytest.mark.parametrize(
    ("feet", "codes"),
    [
        (10.0, []),
        (9.9, ["line-distance"]),
        # The wall is 60 in high: seven courses of 8 in and a cap of 4 in.
        (5.0, ["line-distance"]),
        (4.9, ["line-distance", "line-within-height"]),
    ],
)
def test_site_facts_hold_the_line_against_the_height(
    plain: Jurisdiction, feet: float, codes: list[str]
) -> None:
    """Near is below 10 ft; nearer than the wall is high is worse."""
    found = of_site(plain, Site(line_distance_m=ft(feet)))
    assert sorted(found) == codes
    if "line-within-height" in found:
        assert "The line is 4.9 ft away, the highest wall 5 ft high." in found[codes[1]].text


def test_site_facts_hold_the_line_against_the_highest_wall() -> None:
    """4.9 ft are within the 5 ft of the one wall, whatever the other has."""
    low = laid(level_wall(exposed=ft(2)))
    fact = site_facts(Site(line_distance_m=ft(4.9)), [WALL, low], US)["line_within_height"]
    assert fact == Fact(value=1.0, words="The line is 4.9 ft away, the highest wall 5 ft high.")


def test_site_facts_leave_a_line_as_far_as_the_wall_is_high() -> None:
    """A line just as far away as the wall is high is not within its height."""
    site = Site(line_distance_m=WALL.max_wall_height_m)
    assert site_facts(site, [WALL], US)["line_within_height"].value == 0


def test_site_facts_take_the_nearest_tree(plain: Jurisdiction) -> None:
    """One tree within 15 ft is enough; all of them are named."""
    near = Tree(distance_m=ft(8), trunk_m=inch(14))
    found = of_site(plain, Site(trees=(Tree(distance_m=ft(20)), near)))
    text = "A tree stands 20 ft away. A tree of 14 in stands 8 ft away."
    assert found["tree-near"].text.endswith(text)
    assert of_site(plain, Site(trees=(Tree(distance_m=ft(15)),))) == {}


def test_site_facts_speak_in_the_units_of_the_request() -> None:
    """Metric requests read meters and millimeters."""
    site = Site(line_distance_m=2.0, trees=(Tree(distance_m=3.0, trunk_m=0.4),))
    facts = site_facts(site, [WALL], METRIC)
    assert facts["line_distance"].words == "The line is 2 m away."
    assert facts["tree_distance"].words == "A tree of 400 mm stands 3 m away."


@pytest.mark.parametrize(
    ("said", "drop", "held"),
    [
        (False, None, False),
        (True, None, True),
        (False, "street", True),
        (False, "driveway", False),
        (False, "yard", False),
        (True, "driveway", True),
    ],
)
def test_street_fact_goes_by_what_was_said_and_where_the_truck_drops(
    plain: Jurisdiction, said: bool, drop: Drop | None, held: bool
) -> None:
    """A load that is set down in the street uses it, whatever else was said of the street."""
    facts = street_fact(Site(street_used=said), Access(distance_m=10.0, drop=drop))
    assert list(of_job(plain, facts)) == ["street-used"] * held
    dropped = "The truck drops its load there." if drop == "street" else ""
    assert facts["street_used"].words == dropped
    assert not of_job(plain, street_fact(None, None))
