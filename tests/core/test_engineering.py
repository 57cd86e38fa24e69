"""Engineering that is said to be settled, against checks, cautions and lines of the price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.cautions.caution import Cautions
from service.core.engineering import check_engineering
from service.core.errors import QuoteFaultsError
from service.core.job.basis import CheckName
from service.core.job.job import Job
from service.core.job.terms import Allowance, Engineering, Needed, Terms
from service.core.screening.check import Check, Limit
from tests.given.jobs import job_of
from tests.given.money import extra
from tests.given.walls import level_wall

WAIVED = Engineering(settled="not_needed", because="waived on 4 May")
HEIGHT, PERMIT = "engineer-height", "permit-height"


def refused(job: Job, checks: Sequence[Check] = (), cautions: Cautions | None = None) -> list[str]:
    """Codes of what is refused."""
    try:
        check_engineering(job, checks, cautions or Cautions())
    except QuoteFaultsError as error:
        return [fault.code for fault in error.faults]
    return []


@pytest.mark.parametrize(
    ("name", "limit", "ratio", "is_refused"),
    [
        ("base_sliding", "min", 0.999, True),
        ("base_sliding", "min", 1.0, False),
        ("base_sliding", "min", 1.001, False),
        ("eccentricity", "max", 0.25, False),
        ("tier_independence", "min", 0.5, False),
    ],
)
def test_engineering_is_needed_below_a_ratio_of_one(
    name: CheckName, limit: Limit, ratio: float, *, is_refused: bool
) -> None:
    """What holds is as much as what moves: the wall stands by these figures (rule 22.9). An
    eccentricity is no such ratio, and the distance of two tiers moves neither of them."""
    job = replace(job_of(level_wall()), engineering=WAIVED)
    check = Check(check=name, limit=limit, wall="w", status="fail", source="a", value=ratio)
    assert refused(job, [check]) == ["engineering-needed"] * is_refused


def test_engineering_is_needed_where_the_place_asks_for_a_design() -> None:
    """Each rule that asks for a design is a fault of its own, whatever the checks say."""
    job = replace(job_of(level_wall()), engineering=WAIVED)
    asked = Cautions(design_asked=(HEIGHT, "engineer-surcharge"))
    assert refused(job, (), asked) == ["engineering-needed"] * 2
    assert refused(replace(job, engineering=None), (), asked) == []


@pytest.mark.parametrize(
    ("extras", "sums", "held", "is_priced"),
    [
        ([], [], [HEIGHT], False),
        (["permit"], [], [HEIGHT], False),
        (["permit", "engineering"], [], [], True),
        ([], [HEIGHT, PERMIT], [HEIGHT, PERMIT], True),
        ([], [HEIGHT], [PERMIT], False),
        ([], [PERMIT], [HEIGHT, PERMIT], False),
    ],
)
def test_engineering_in_the_price_is_an_extra_for_it_or_a_sum_for_its_caution(
    extras: Sequence[Needed], sums: Sequence[str], held: Sequence[str], *, is_priced: bool
) -> None:
    """One extra for it is enough, and so is one sum for a caution that calls for an engineer and
    holds; a sum for a permit isn't, nor one for a caution that doesn't hold (rule 22.9). Of
    material alone no sum is set aside."""
    allowances = tuple(
        Allowance(caution=code, description="A sum", kind="fee", cost=Decimal(250)) for code in sums
    )
    job = replace(
        job_of(level_wall()),
        engineering=Engineering(settled="in_price"),
        extras=tuple(replace(extra("900"), what=what) for what in extras),
        terms=Terms(allowances=allowances) if sums else None,
    )
    cautions = Cautions(held=tuple(held))
    assert refused(job, (), cautions) == ["engineering-not-priced"] * (not is_priced)
    material = replace(job, materials_only=True)
    assert bool(refused(material, (), cautions)) == ("engineering" not in extras)
