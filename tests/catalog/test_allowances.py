"""Allowances of terms and the rules for the order of work, as their files write them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from pydantic import ValidationError

from service.catalog import TermsBody, read_catalog
from service.catalog.documents.order import OrderTable
from service.catalog.schemas import shipped_folder
from service.core.job.phase import OrderRules
from service.core.job.terms import Allowance
from service.faults import faults_from
from tests.given.walls import ft


def test_terms_body_to_core_reads_allowances_in_order() -> None:
    """Each with its caution, cost, description and kind; a fee where none is named."""
    body = {
        "allowances": {
            "street-used": {"cost": "120.00", "description": "Street permit"},
            "easement": {"cost": "90", "description": "Title search", "kind": "subcontract"},
        }
    }
    assert TermsBody.model_validate(body).to_core().allowances == (
        Allowance(
            caution="street-used", description="Street permit", kind="fee", cost=Decimal(120)
        ),
        Allowance(
            caution="easement", description="Title search", kind="subcontract", cost=Decimal(90)
        ),
    )


def test_shipped_allowances_name_cautions_that_can_be_given() -> None:
    """A misspelt code would never cost anything."""
    catalog = read_catalog([shipped_folder()])
    codes = [rule.code for rule in catalog.jurisdictions["plain"].core.cautions]
    held = [each.caution for entry in catalog.terms.values() for each in entry.core.allowances]
    assert held
    assert [code for code in held if code not in codes] == []


ORDER = {"lost_day_probability": "0.20", "open_trench_days": "2", "shortest_stretch": "8 ft"}


def test_order_table_to_core_reads_the_rules() -> None:
    """Days and probability exact, the length in meters, the source of the table or the entry."""
    table = OrderTable.model_validate({**ORDER, "source": {"kind": "common practice"}})
    assert table.to_core("invented") == OrderRules(
        lost_day_probability=Decimal("0.20"),
        open_trench_days=Decimal(2),
        shortest_stretch_m=ft(8),
        source="common practice",
    )
    assert OrderTable.model_validate(ORDER).to_core("invented").source == "invented"


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"lost_day_probability": "0.91"}, "out-of-range"),
        ({"lost_day_probability": "1"}, "decimal-invalid"),
        ({"lost_day_probability": 0.2}, "number-not-text"),
        ({"open_trench_days": "0"}, "decimal-invalid"),
        ({"open_trench_days": "0.01"}, "out-of-range"),
        ({"shortest_stretch": "0 ft"}, "measurement-out-of-range"),
    ],
)
def test_order_table_refuses_what_no_job_is_planned_by(change: dict[str, Any], code: str) -> None:
    """Bounds are told with the key."""
    with pytest.raises(ValidationError) as caught:
        OrderTable.model_validate({**ORDER, **change})
    (fault,) = faults_from(caught.value, OrderTable)
    assert (fault.code, fault.at) == (code, tuple(change))
