"""Suppliers' files as they come: each is read right, or refused with its cell and a remedy."""

from datetime import date
from decimal import Decimal

import pytest

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError
from service.core.job.price_list import ItemPrice
from service.operations.prices.column_mapping import read_mapping
from service.operations.prices.import_merge import Merged, PriceFile, merge_file, read_file
from service.operations.prices.price_list_request import RevisionDraft
from tests.given.supplier_files import SUPPLIER_FILES
from tests.given.supplier_files.kind import BEFORE, SupplierFile

IDS = [file.name for file in SUPPLIER_FILES]


def base_of(currency: str | None) -> RevisionDraft | None:
    """The price list before, in a currency; None: there is none."""
    if currency is None:
        return None
    items = {
        item: ItemPrice(unit_cost=Decimal(cost), per=per, supplier=supplier)
        for item, (cost, per, supplier) in BEFORE.items()
    }
    return RevisionDraft(currency=currency, effective_from=date(2026, 1, 1), items=items)


def held(file: SupplierFile, catalog: Catalog) -> Merged:
    """A file held against the list."""
    given = PriceFile(
        data=file.data,
        kind=file.kind,
        mapping=read_mapping(file.mapping, catalog),
        effective_from=date(2026, 6, 1),
        largest_change=Decimal("0.25"),
    )
    return merge_file(read_file(given), given, catalog, base_of(file.currency))


def faults_of(file: SupplierFile, catalog: Catalog) -> tuple[Fault, ...]:
    """What is wrong with a file, with its cells or as a whole."""
    try:
        return tuple(held(file, catalog).reading.faults)
    except QuoteFaultsError as error:
        return error.faults


@pytest.mark.parametrize("file", [file for file in SUPPLIER_FILES if not file.faults], ids=str)
def test_supplier_file_is_read_as_by_hand(file: SupplierFile, catalog: Catalog) -> None:
    """Each cost in its unit, each remark, and each cell that needs a word are those by hand."""
    found = held(file, catalog)
    read = {item: f"{p.unit_cost} {p.per}" for item, p in found.reading.items.items()}
    words = {item: p.description for item, p in found.reading.items.items() if p.description}
    assert found.reading.faults == []
    assert read == dict(file.reads)
    assert words == dict(file.words)
    assert tuple(remark.code for remark in found.reading.remarks) == file.remarks
    assert tuple(each.cell for each in found.unaccepted) == file.needs


@pytest.mark.parametrize("file", [file for file in SUPPLIER_FILES if file.faults], ids=str)
def test_supplier_file_is_refused_with_cell_and_remedy(
    file: SupplierFile, catalog: Catalog
) -> None:
    """Each fault has its code, its cell and a remedy, and there are no others."""
    faults = faults_of(file, catalog)
    told = [(fault.code, str(fault.at[0]) if fault.at else "") for fault in faults]
    assert told == [(code, cell) for code, cell, _ in file.faults]
    for fault, (_, _, remedy) in zip(faults, file.faults, strict=True):
        assert fault.hint
        assert remedy in fault.hint


def test_supplier_files_are_many() -> None:
    """Each is read or refused, none both, under a name of its own."""
    assert len(SUPPLIER_FILES) >= 60
    assert len(set(IDS)) == len(IDS)
    assert all(bool(file.reads) != bool(file.faults) for file in SUPPLIER_FILES)
