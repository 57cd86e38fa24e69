"""What the answer calls for and the total doesn't hold (rule 15.15)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.job.job import Job
from service.core.job.phase import Phase
from service.core.job.price_list import DeliveryTerms, PriceList
from service.core.job.site import Outlet, Site, Water
from service.core.job.terms import Allowance, Engineering, Excluded, Settled, Terms
from service.core.measure import UNITS
from service.core.needed import goods_not_priced, needed_not_priced, run_is_open
from service.core.takeoff.haulage import Haulage
from service.core.takeoff.quantities import QuantityLine
from tests.given.jobs import dug_job, earth_of, job_of
from tests.given.money import bought, extra, prices
from tests.given.site_work import asked, site_task
from tests.given.walls import level_wall

JOB = job_of(level_wall())
# A job that calls for all there is, the rules of its place in their order.
HELD = ("permit-height", "permit-street", "engineer-height", "guard-path")
WET = replace(JOB, water=Water(downspouts_above=2), site=Site(seen=("crack", "spring")))
CALLED = {
    "permit": "/terms/allowances/permit-height",
    "engineering": "/terms/allowances/engineer-height",
    "guard": "/terms/allowances/guard-path",
    "downspouts": "/terms/brings/downspouts",
    "spring": "/terms/brings/spring",
}
ON_PALLETS = replace(bought("block"), packs=(3, "pallet"))
ROLL = replace(bought("fabric"), packs=(1, "roll"))
BY_TRUCK = Haulage(
    volume_m3=1.0,
    mass_kg=None,
    loads=None,
    sold=UNITS["m3"],
    settled=False,
    increment=None,
    how=(),
)


def with_sums(job: Job, *codes: str) -> Job:
    """The job under terms that set a sum aside for each of these cautions."""
    sums = tuple(
        Allowance(caution=code, description="A sum", kind="fee", cost=Decimal(250))
        for code in codes
    )
    return replace(job, terms=Terms(allowances=sums))


def needs(
    job: Job,
    cautions: Sequence[str] = (),
    lines: Sequence[QuantityLine] = (),
    of: PriceList | None = None,
    *,
    dug: bool = False,
) -> dict[str, str]:
    """What is needed, and by what it comes in."""
    earth = earth_of(dug_job()) if dug else None
    found = needed_not_priced(job, cautions, earth, lines, of or prices({}))
    assert len({each.what for each in found}) == len(found)
    return {each.what: each.by for each in found}


def freight(*lines: QuantityLine) -> dict[str, str]:
    """What is needed of goods, in words, where `yard` brings blocks and fabric has no supplier."""
    listed = prices({"block": ("4", "each"), "fabric": ("90", "each")})
    block = replace(listed.items["block"], supplier="yard")
    of = replace(
        listed,
        items={**listed.items, "block": block},
        delivery={"yard": DeliveryTerms(per_load=Decimal(90))},
    )
    return {each.what: each.text for each in goods_not_priced(lines, of, ())}


def test_needed_is_what_cautions_and_facts_call_for() -> None:
    """By the first caution of its kind, and by the facts that are stated; in the order of the
    list. Of material alone nothing is done on site."""
    assert list(needs(WET, HELD).items()) == list(CALLED.items())
    assert needs(WET) == {what: CALLED[what] for what in ("downspouts", "spring")}
    assert needs(replace(WET, materials_only=True), HELD) == {}
    assert needs(replace(JOB, water=Water(), site=Site(seen=("crack",)))) == {}


@pytest.mark.parametrize(
    ("codes", "without"),
    [
        (["permit-street"], "permit"),
        (["engineer-height", "permit-tree"], "engineering"),
        (["downspouts-above"], "downspouts"),
        (["seen-spring"], "spring"),
    ],
)
def test_needed_has_nothing_of_what_a_sum_is_set_aside_for(
    codes: Sequence[str], without: str
) -> None:
    """A sum for one of the cautions that call for it covers it; one that doesn't hold covers
    nothing."""
    left = {what: by for what, by in CALLED.items() if what != without}
    assert needs(with_sums(WET, *codes), HELD) == left


def test_needed_has_nothing_of_what_the_terms_brought_in_or_an_extra_covers() -> None:
    """The downspouts are brought in and an extra is for the guard: both are in the total."""
    job = replace(WET, brought=("downspouts",), extras=(replace(extra("900"), what="guard"),))
    left = {what: by for what, by in CALLED.items() if what not in ("downspouts", "guard")}
    assert needs(job, HELD) == left


def test_needed_names_what_was_excluded_last_and_once() -> None:
    """On purpose: after what is open, in the order of the request, and never called for as
    well."""
    left = {what: by for what, by in CALLED.items() if what != "permit"}
    out = {"drainage": "/excluded", "permit": "/excluded"}
    found = needs(replace(WET, excluded=("drainage", "permit")), HELD)
    assert list(found.items()) == list({**left, **out}.items())


@pytest.mark.parametrize(
    ("settled", "by"),
    [
        ("by_owner", "/engineering"),
        ("in_price", CALLED["engineering"]),
        ("not_needed", None),
    ],
)
def test_needed_goes_by_how_engineering_is_settled(settled: Settled, by: str | None) -> None:
    """The owner's engineer is named as such; who isn't needed isn't named. Permit and guard are
    needed all the same."""
    found = needs(replace(JOB, engineering=Engineering(settled=settled)), HELD)
    assert found.pop("engineering", None) == by
    assert found == {what: CALLED[what] for what in ("permit", "guard")}


@pytest.mark.parametrize(
    ("phases", "bare"),
    [
        ([], True),
        (["take_down"], True),
        (["take_down", "topsoil_and_sod"], False),
        (["grade"], False),
    ],
)
def test_needed_has_a_surface_where_ground_is_dug_and_left_bare(
    phases: Sequence[Phase], *, bare: bool
) -> None:
    """One task that grades, or brings topsoil and sod, covers it; where nothing is dug nothing is
    bare."""
    entries = tuple(asked(site_task(f"task_{phase}", phase=phase), "40") for phase in phases)
    job = replace(JOB, site_work=entries)
    assert needs(job, dug=True) == ({"surface": "/site_work"} if bare else {})
    assert needs(job) == {}


def test_needed_has_freight_and_deposits_of_material_alone_too() -> None:
    """Inline costs say nothing of who brings blocks, on pallets; an extra for freight covers it."""
    job = replace(JOB, materials_only=True)
    both = {"freight": "price list: delivery", "pallets": "price list: delivery, pallet_deposit"}
    assert needs(job, (), [ON_PALLETS]) == both
    covered = replace(job, extras=(replace(extra("90", "delivery"), what="freight"),))
    assert needs(covered, (), [ON_PALLETS]).keys() == {"pallets"}
    (left,) = goods_not_priced([ON_PALLETS, ROLL], prices({}), {"freight", None})
    assert (left.what, left.by) == ("pallets", both["pallets"])


def test_freight_is_of_all_goods_or_of_those_by_name_that_nobody_brings() -> None:
    """Fabric has no supplier, caps have no price at all: nobody brings them. Blocks come from a
    yard that delivers; with them the goods that are left are named."""
    caps = replace(bought("cap"), packs=(2, "pallet"))
    assert freight() == freight(ON_PALLETS) == {}
    assert freight(ROLL) == {"freight": "Not included: freight of the goods."}
    assert freight(ON_PALLETS, ROLL) == {"freight": "Not included: freight of Fabric."}
    assert freight(caps, ROLL) == {
        "freight": "Not included: freight of the goods.",
        "pallets": "Not included: deposits on pallets.",
    }
    assert freight(ON_PALLETS, ROLL, caps) == {
        "freight": "Not included: freight of Fabric; Cap.",
        "pallets": "Not included: deposits on the pallets of Cap.",
    }


def test_freight_is_of_goods_that_somebody_has_to_bring() -> None:
    """What is kept in stock is there, soil by the truck is priced as brought, and a day of a crew
    is no goods."""
    stock, soil = replace(ROLL, stock=True), replace(ROLL, haulage=BY_TRUCK)
    assert freight(stock, soil, replace(ROLL, kind="labor")) == {}
    assert freight(ROLL, stock, soil) == {"freight": "Not included: freight of the goods."}


@pytest.mark.parametrize(
    ("outlet", "run_m", "excluded", "is_open"),
    [
        ("daylight", 12.0, (), True),
        (None, 12.0, ("guard",), True),
        ("none", 12.0, (), False),
        ("daylight", None, (), False),
        ("daylight", 12.0, ("run",), False),
        ("daylight", 12.0, ("guard", "drainage"), False),
    ],
)
def test_run_is_open_where_it_is_stated_and_nothing_prices_it(
    outlet: Outlet | None, run_m: float | None, excluded: tuple[Excluded, ...], *, is_open: bool
) -> None:
    """A length of run, to somewhere, that is neither priced nor left out on purpose."""
    job = replace(JOB, water=Water(outlet=outlet, run_m=run_m), excluded=excluded)
    assert run_is_open(job) is is_open
    assert run_is_open(replace(job, run_priced=True)) is False
    assert run_is_open(replace(job, water=None)) is False
