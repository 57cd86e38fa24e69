"""What-ifs of a catalog of one's own: which one counts, what can't be quoted, what check says."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.catalog import Catalog, load_catalog, read_catalog
from service.catalog.documents.what_if import WhatIf
from service.core.errors import QuoteFaultsError
from service.operations.quoting.cost import MOST_MS
from service.operations.quoting.quote import prepare_document
from service.operations.quoting.what_if.check import what_if_findings
from service.operations.quoting.what_if.places import (
    filled,
    filling,
    indexes_of,
    stands,
    with_added,
)
from tests.given.catalog_files import write_folder
from tests.given.quote_requests import TERMS, Json, answered, level_wall, shipped_request
from tests.given.what_ifs import bare_request, worth

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

FILE = """\
id = "{id}"
version = "1"
title = "Of one's own"
assumed = "{assumed}"
if_instead = "{words}"
{more}
[source]
kind = "common practice"
[[changes]]
place = "{place}"
{value}
"""


def own(folder: Path, **file: str) -> Catalog:
    """The shipped catalog with a what-if of one's own, which goes before its others."""
    texts = {"id": "a_own", "words": "something else", "more": "", **file}
    return load_catalog([write_folder(folder, {"what_ifs/a_own.toml": FILE.format(**texts)})])


def test_worth_says_what_a_variant_would_leave_out(tmp_path: Path) -> None:
    """A run that the terms don't price: its quote is not of the same work, which stands in place
    of money."""
    run = 'table = { outlet = "daylight", run = "20 ft" }'
    catalog = own(tmp_path, assumed="/soils/fill", place="/water", value=run)
    request = bare_request(terms=TERMS, what_if=True)
    found = worth(answered(request, catalog))["/soils/fill"]
    assert found["if_instead"] == "something else"
    assert found["not_quoted"].startswith("its total would leave out drainage: ")
    assert not {"changes_total_by", "passes"} & found.keys()


def test_worth_says_what_only_a_variant_would_hold(tmp_path: Path) -> None:
    """Without rates no labor is priced; a variant that names them would be of more work."""
    catalog = own(tmp_path, assumed="/soils/fill", place="/rates", value='value = "small_crew"')
    request = bare_request(what_if=True)
    del request["rates"]
    found = worth(answered(request, catalog))["/soils/fill"]
    assert found["not_quoted"] == "its total would hold labor, which this one leaves out"


@pytest.mark.parametrize(
    ("more", "counts"),
    [
        ("", True),
        ('only = ["silty_sand"]', True),
        ('only = ["loam", "silty_sand"]', True),
        ('only = ["loam"]', False),
        ('other_than = ["silty_sand"]', False),
        ('other_than = ["loam"]', True),
        ('given = "/soils/retained"', True),
        ('given = "/access"', False),
    ],
)
def test_the_first_what_if_that_fits_counts(tmp_path: Path, more: str, *, counts: bool) -> None:
    """By its id, where it is another value than the one assumed and its given stands."""
    catalog = own(
        tmp_path, assumed="/soils/fill", place="/soils/fill", value='value = "loam"', more=more
    )
    found = worth(answered(bare_request(what_if=True), catalog))["/soils/fill"]
    assert (found["if_instead"] == "something else") == counts


@pytest.mark.parametrize(
    ("place", "value", "at", "said"),
    [
        ("/soils/fill", 'value = "grvel"', ("changes", 0), "soils/fill: "),
        ("/soils/fil", 'value = "clay"', ("changes", 0), "soils/fil: "),
        ("/access", 'table = { narrowest_passage = "3 ft" }', ("changes", 0), "access/distance: "),
        ("/access", 'table = { distance = "3" }', ("changes", 0), "access/distance: "),
        (
            "/walls/*/above",
            'list = [{ what = "drive_way" }]',
            ("changes", 0),
            "walls/0/above/0/what",
        ),
        ("/walls/*/profile/*/back_grade", 'above_top = "1 ft"', None, ""),
        ("/walls/*/above", 'list = [{ what = "driveway" }]', None, ""),
        ("/conditions/digging", 'value = "clay"', None, ""),
    ],
)
def test_what_if_findings_read_a_value_as_a_request_is_read(
    tmp_path: Path, place: str, value: str, at: tuple[str, int] | None, said: str
) -> None:
    """A value that no request could have, or a place that none has, is a fault of its file; what
    else a request needs is none."""
    found = list(what_if_findings(own(tmp_path, assumed="/soils/fill", place=place, value=value)))
    assert [finding.fault.at[1:] for finding in found] == ([at] if at else [])
    for finding in found:
        assert finding.impossible
        assert finding.fault.at[0] == f"{tmp_path}/what_ifs/a_own.toml"
        assert finding.fault.message.startswith(said)


def test_what_if_findings_tell_what_nothing_assumes(tmp_path: Path) -> None:
    """A misspelled field of an assumption would never be met."""
    catalog = own(tmp_path, assumed="/soil/fill", place="/soils/fill", value='value = "clay"')
    (finding,) = what_if_findings(catalog)
    assert finding.fault.at[1:] == ("assumed",)


def test_shipped_what_ifs_are_sound() -> None:
    """Every one is read as a request, in a catalog that stands alone."""
    assert list(what_if_findings(load_catalog(()))) == []
    assert not read_catalog([]).what_ifs


def test_places_are_found_and_filled() -> None:
    """`*` is any place of a list; an object on the way comes with what is put in; the document
    stays as it was."""
    document: Json = {"walls": [{"above": [{}, {"from": 1}]}, {}], "ends": {}}
    assert list(indexes_of(document, "/walls/*/x")) == [(0,), (1,)]
    assert list(indexes_of(document, "/walls/*/above/*/from")) == [(0, 0), (0, 1)]
    assert list(indexes_of(document, "/none/*/x")) == []
    assert list(indexes_of(document, "/none/x")) == [()]
    assert filled("/walls/*/above/*/from", (1, 2)) == "/walls/1/above/2/from"
    assert filled("/walls/*/above/*/from", (1,)) == "/walls/1/above/*/from"
    assert stands(document, "/walls/0/above/1/from")
    assert not stands(document, "/walls/0/above/0/from")
    assert not stands(document, "/walls/2/above")
    assert filling(document, "/ends/start", "x") == ("/ends/start", "x")
    assert filling(document, "/walls/1/ends/start", "x") == ("/walls/1/ends", {"start": "x"})
    assert filling(document, "/a/b/c", "x") == ("/a", {"b": {"c": "x"}})
    added = with_added(document, "/walls/1/ends", {"start": "x"})
    assert added["walls"] == [document["walls"][0], {"ends": {"start": "x"}}]
    assert document["walls"][1] == {}


def test_what_if_fits_unless_its_value_is_assumed_already() -> None:
    """`only` and `other_than` are of the value that is assumed."""
    any_value = WhatIf(assumed="/x", if_instead="y", changes=())
    assert any_value.fits("a")
    assert not WhatIf(assumed="/x", if_instead="y", changes=(), only=("b",)).fits("a")
    assert not WhatIf(assumed="/x", if_instead="y", changes=(), other_than=("a",)).fits("a")


def test_prepare_document_counts_each_variant_as_a_quote(catalog: Catalog) -> None:
    """Thirteen assumptions of a bare request, each as much as the quote; and of walls enough the
    bound refuses what the quote alone does not reach."""
    plain = prepare_document(shipped_request(terms="standard"), catalog)
    asked = prepare_document(shipped_request(terms="standard", what_if=True), catalog)
    assert plain.asked is None
    assert asked.asked is not None
    count = len(asked.asked.variants)
    assert count >= 8
    assert asked.cost_ms == pytest.approx(plain.cost_ms * (1 + count))
    many = [level_wall("20 ft", "2 ft")] * 40
    assert prepare_document(shipped_request(*many), catalog).cost_ms < MOST_MS / 10
    with pytest.raises(QuoteFaultsError, match="over the bound"):
        prepare_document(shipped_request(*many, what_if=True), catalog)
