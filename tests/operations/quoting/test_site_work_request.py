"""Site work as a request writes it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from pydantic import ValidationError

from service.catalog import Catalog, read_catalog
from service.core.job.site_task import SiteWorkEntry
from service.faults import faults_from
from service.operations.quoting.site_work_request import SiteWorkRequest
from tests.given.catalog_files import write_folder
from tests.given.walls import ft

TASK = """\
id = "{id}"
version = "1"
title = "Demo"
phase = "take_down"
measured_by = "{by}"
unit = "{unit}"
[source]
kind = "invented"
[labor]
hours = "0.1"
"""
TASKS = {
    "take_down_fence": ("length", "ft"),
    "lay_sod": ("area", "ft2"),
    "strip_topsoil": ("volume", "yd3"),
    "pull_post": ("count", "each"),
    "haul_stone": ("mass", "ton"),
    "sweep_street": ("job", "each"),
}


@pytest.fixture(scope="module")
def tasks(tmp_path_factory: pytest.TempPathFactory) -> Catalog:
    """A catalog with a task of each measure."""
    files: dict[str, str | bytes] = {
        f"site_work/{name}.toml": TASK.format(id=name, by=by, unit=unit)
        for name, (by, unit) in TASKS.items()
    }
    folder: Path = tmp_path_factory.mktemp("catalog")
    return read_catalog([write_folder(folder, files)])


def entry_of(tasks: Catalog, document: dict[str, Any]) -> SiteWorkEntry:
    """The core's entry."""
    return SiteWorkRequest.model_validate(document, context={"catalog": tasks}).to_core(tasks)


def faults_of(tasks: Catalog, document: dict[str, Any]) -> list[tuple[str, str, str, str | None]]:
    """Code, pointer, message and hint of every fault."""
    with pytest.raises(ValidationError) as caught:
        entry_of(tasks, document)
    return [
        (fault.code, "/".join(map(str, fault.at)), fault.message, fault.hint)
        for fault in faults_from(caught.value, SiteWorkRequest)
    ]


@pytest.mark.parametrize(
    ("task", "quantity", "expected"),
    [
        ("take_down_fence", "60 ft", ft(60)),
        ("take_down_fence", "4 ft 6 in", ft(4.5)),
        ("take_down_fence", {"value": "18", "unit": "m"}, 18.0),
        ("lay_sod", "450 ft2", 450 * 0.3048**2),
        ("strip_topsoil", "12 yd3", 12 * 0.9144**3),
        ("haul_stone", "2 ton", 4000 * 0.45359237),
        ("pull_post", 3, 3.0),
        ("sweep_street", 2, 2.0),
    ],
)
def test_site_work_request_reads_the_quantity_of_its_task(
    tasks: Catalog, task: str, quantity: object, expected: float
) -> None:
    """A quantity is a measurement in the dimension of the task, or a whole number."""
    found = entry_of(tasks, {"task": task, "quantity": quantity, "note": "left"})
    assert (found.task.id, found.note) == (task, "left")
    assert found.quantity == pytest.approx(expected)


def test_site_work_request_takes_a_job_without_quantity_once(tasks: Catalog) -> None:
    """What is done once per job needs no quantity."""
    assert entry_of(tasks, {"task": "sweep_street"}).quantity == 1.0


@pytest.mark.parametrize(
    ("document", "code", "at", "message", "hint"),
    [
        (
            {"task": "take_down_fense", "quantity": "60 ft"},
            "unknown-site-work",
            "task",
            ": there is no task of site work 'take_down_fense' in the catalog",
            "take_down_fence",
        ),
        (
            {"task": "take_down_fence", "quantity": "60 ft2"},
            "site-work-quantity-mismatch",
            "quantity",
            ': "60 ft2" doesn\'t fit: take_down_fence is measured by length',
            'such as "60 ft"',
        ),
        (
            {"task": "take_down_fence", "quantity": 60},
            "site-work-quantity-mismatch",
            "quantity",
            ": 60 doesn't fit: take_down_fence is measured by length",
            'such as "60 ft"',
        ),
        (
            {"task": "pull_post", "quantity": {"value": "3", "unit": "ft"}},
            "site-work-quantity-mismatch",
            "quantity",
            ': "3 ft" doesn\'t fit: pull_post is measured by the piece',
            "such as 3",
        ),
        (
            {"task": "lay_sod"},
            "field-missing",
            "quantity",
            " is required",
            'such as "450 ft2"',
        ),
        (
            {"task": "lay_sod", "quantity": "450 sf"},
            "measurement-invalid",
            "quantity",
            ': "450 sf" is not a quantity',
            'did you mean "450 ft2"?',
        ),
        (
            {"task": "lay_sod", "quantity": "450"},
            "measurement-invalid",
            "quantity",
            ': "450" is not a quantity',
            'a whole number of pieces, or a measurement such as "60 ft" or "450 ft2"',
        ),
        (
            {"task": "pull_post", "quantity": 0},
            "out-of-range",
            "quantity",
            ": 0 is not from 1 to 1000000",
            None,
        ),
        (
            {"task": "lay_sod", "quantity": "0 ft2"},
            "measurement-out-of-range",
            "quantity",
            ': "0 ft2" must be more than 0',
            None,
        ),
        (
            {"task": "pull_post", "quantity": True},
            "measurement-invalid",
            "quantity",
            ": true is not a quantity",
            'a whole number of pieces, or a measurement such as "60 ft" or "450 ft2"',
        ),
    ],
)
def test_site_work_request_says_what_is_wrong(
    tasks: Catalog, document: dict[str, Any], code: str, at: str, message: str, hint: str | None
) -> None:
    """Each fault has its code, its field, what was found and what would be right."""
    assert faults_of(tasks, document) == [(code, at, f"{at}{message}", hint)]


def test_site_work_request_publishes_what_it_reads() -> None:
    """The schema takes what is read and refuses what isn't, apart from the task's dimension."""
    schema = SiteWorkRequest.model_json_schema()
    validator = Draft202012Validator(json.loads(json.dumps(schema)))
    for quantity in ("60 ft", "450 ft2", "12 yd3", "2 ton", 3, {"value": 2, "unit": "m"}):
        assert validator.is_valid({"task": "lay_sod", "quantity": quantity})
    for quantity in ("60", 0, -1, "1.5 each", {"value": 2, "unit": "deg"}, True):
        assert not validator.is_valid({"task": "lay_sod", "quantity": quantity})
    assert validator.is_valid({"task": "sweep_street"})
