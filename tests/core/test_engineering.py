"""Engineering that is said not to be needed, against the checks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.catalog import Catalog
from service.core.cautions.caution import Cautions
from service.core.engineering import check_engineering
from service.core.errors import QuoteFaultsError
from service.core.job.terms import Engineering
from service.core.screening.check import Check
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.quote_requests import shipped_request

NOTHING = Cautions(given=(), always=(), held=(), held_at={}, design_asked=())


@pytest.mark.parametrize(("ratio", "refused"), [(0.999, True), (1.0, False), (1.001, False)])
def test_engineering_is_needed_below_a_ratio_of_one(
    catalog: Catalog, ratio: float, *, refused: bool
) -> None:
    """What holds is as much as what moves: the wall stands by these figures (rule 22.9)."""
    job, _ = to_core(read_request(shipped_request(), catalog), catalog)
    job = replace(job, engineering=Engineering(settled="not_needed", because="waived on 4 May"))
    check = Check(
        check="base_sliding", limit="min", wall="w", status="fail", source="a", value=ratio
    )
    found: list[str] = []
    try:
        check_engineering(job, [check], NOTHING)
    except QuoteFaultsError as error:
        found = [fault.code for fault in error.faults]
    assert found == ["engineering-needed"] * refused
