"""Rows of a supplier's file: units of sale, currencies, decimal commas, each fault by its cell."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.job.price_list import ItemPrice
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.import_rows import ReadRows
from service.operations.prices.price_import import read_rows
from service.operations.prices.price_text import CostUnreadable, ReadCost, read_cost
from service.operations.prices.sheet import Cell, WorksheetUnreadableError
from service.operations.prices.worksheet import read_worksheet
from tests.given.price_files import csv_file, number_cell, raw_workbook, row, text_cell, workbook

STONE = ItemPrice(unit_cost=Decimal("31.00"), per="ton", supplier="Pit", group="stone")
KNOWN: Mapping[str, ItemPrice | None] = {"block": None, "cap": None, "base_stone": STONE}
HEAD = "item,unit_cost,per"


def mapping(**given: Any) -> ColumnMapping:  # noqa: ANN401  as it is sent
    """A column mapping as a caller sends it."""
    return ColumnMapping.model_validate(given)


def rows_of(*lines: str, currency: str | None = "USD", **given: Any) -> ReadRows:  # noqa: ANN401
    """What the lines of a CSV file say."""
    read = mapping(**given)
    sheet = read_worksheet(csv_file(*lines), "csv", delimiter=read.delimiter)
    return read_rows(sheet, read, KNOWN, currency)


def costs(found: ReadRows) -> dict[str, tuple[str, str]]:
    """Unit cost and unit of each item."""
    assert found.faults == []
    return {item: (str(price.unit_cost), price.per) for item, price in found.items.items()}


def only_fault(found: ReadRows) -> tuple[str, str]:
    """Code and cell of the one fault."""
    (fault,) = found.faults
    return fault.code, str(fault.at[0])


def test_read_rows_finds_columns_by_their_headings() -> None:
    """Columns stand in any order, in any case, with others between; empty rows say nothing."""
    found = rows_of(
        "Spring prices,,,",
        " PER , colour,Item,unit_COST",
        "each,red,block,6.85",
        ",,,",
        "each,grey,cap,5.125",
        header_row=2,
    )
    assert costs(found) == {"block": ("6.85", "each"), "cap": ("5.125", "each")}
    assert found.rows == 2


def test_read_rows_takes_the_suppliers_words() -> None:
    """Headings, article numbers and units are translated as the mapping says."""
    found = rows_of(
        "Art.;Preis;ME",
        "4711;6,85;STK",
        "4712;1.250,50;STK",
        columns={"item": "Art.", "unit_cost": "Preis", "per": "ME"},
        items={"4711": "block", "4712": "cap"},
        units={"STK": {"per": "each"}},
        decimal="comma",
        thousands="point",
        delimiter=";",
    )
    assert costs(found) == {"block": ("6.85", "each"), "cap": ("1250.50", "each")}


@pytest.mark.parametrize(
    ("line", "expected", "code"),
    [
        # The list has it per ton of 2000 lb: 1.55 per 100 lb = 0.0155 per lb = 31 per ton.
        ("base_stone,1.55,CWT", ("31.00", "ton"), "converted"),
        ("base_stone,0.016,lb", ("32.00", "ton"), "converted"),
        # A metric ton is 2204.62262184878 lb: 35 x 0.90718474 = 31.7514659
        ("base_stone,35,t", ("31.751466", "ton"), "rounded"),
        # 100 for 3 = 33.333333...
        ("block,100,TRIPLE", ("33.333333", "each"), "rounded"),
    ],
)
def test_read_rows_converts_units_of_sale(line: str, expected: tuple[str, str], code: str) -> None:
    """A cost is turned into the unit that the list has for the item, exactly, and says so."""
    units = {"CWT": {"per": "lb", "count": "100"}, "TRIPLE": {"per": "each", "count": "3"}}
    found = rows_of(HEAD, line, units=units)
    assert costs(found)[line.partition(",")[0]] == expected
    assert code in {remark.code for remark in found.remarks}


def test_read_rows_divides_by_the_pack() -> None:
    """A cost for so many is divided: 712.50 for 100 is 7.125 each."""
    found = rows_of("item,unit_cost,per,pack", "block,712.50,each,100", "cap,5,each,")
    assert costs(found) == {"block": ("7.125", "each"), "cap": ("5.00", "each")}


@pytest.mark.parametrize(
    ("lines", "code", "cell"),
    [
        (("blok,1,each",), "unknown-item", "line 2, column A"),
        ((",1,each",), "field-missing", "line 2, column A"),
        (("block,1,each", "cap,1,each", "block,2,each"), "item-twice", "line 4, column A"),
        (('block,"6,85",each',), "decimal-comma", "line 2, column B"),
        (('block,"1,234",each',), "decimal-comma", "line 2, column B"),
        (("block,1.234.567,each",), "decimal-comma", "line 2, column B"),
        (("block,,each",), "field-missing", "line 2, column B"),
        (("block,-1,each",), "decimal-invalid", "line 2, column B"),
        (("block,=1+1,each",), "decimal-invalid", "line 2, column B"),
        (("block,1e3,each",), "decimal-invalid", "line 2, column B"),
        (("block,١٢,each",), "decimal-invalid", "line 2, column B"),
        (("block,on request,each",), "decimal-invalid", "line 2, column B"),
        (("block,1000000000000,each",), "out-of-range", "line 2, column B"),
        (("block,7.10 €,each",), "currency-mismatch", "line 2, column B"),
        (("block,CAD 7.10,each",), "currency-mismatch", "line 2, column B"),
        (("block,1,dozen",), "unknown-unit", "line 2, column C"),
        (("block,1,",), "unknown-unit", "line 2, column C"),
        (("base_stone,1,each",), "price-unit-mismatch", "line 2, column C"),
    ],
)
def test_read_rows_names_each_fault_by_its_cell(
    lines: tuple[str, ...], code: str, cell: str
) -> None:
    """What is unknown, doubled, in another currency or could mean two things is told by cell."""
    assert only_fault(rows_of(HEAD, *lines)) == (code, cell)


def test_read_rows_finds_all_faults_at_once() -> None:
    """One pass over the file names every fault of every row, of rows without an item too."""
    found = rows_of(HEAD, "blok,n/a,dozen", 'block,"6,85",dozen', "cap,x,each", ",1,t")
    assert [(fault.code, fault.at[0]) for fault in found.faults] == [
        ("unknown-item", "line 2, column A"),
        ("decimal-invalid", "line 2, column B"),
        ("unknown-unit", "line 2, column C"),
        ("decimal-comma", "line 3, column B"),
        ("unknown-unit", "line 3, column C"),
        ("decimal-invalid", "line 4, column B"),
        ("field-missing", "line 5, column A"),
    ]
    assert found.items == {}


def test_read_rows_names_cells_of_a_workbook() -> None:
    """A fault in a workbook is told by sheet, column and row."""
    data = workbook(["item", "unit_cost", "per"], ["block", "n/a", "each"])
    found = read_rows(read_worksheet(data, "xlsx"), mapping(), KNOWN, "USD")
    assert only_fault(found) == ("decimal-invalid", "Prices!B2")


@pytest.mark.parametrize(
    ("text", "cost", "rounded"),
    [
        ("7.0000000000000009", "7.00", True),
        ("0.1234565", "0.123457", True),
        ("6.85", "6.85", False),
    ],
)
def test_read_rows_rounds_what_a_cell_does_not_show(text: str, cost: str, rounded: bool) -> None:
    """A cell shown as 7 may hold 7.0000000000000009: six places, half up, and a remark."""
    cells = (text_cell("A2", "block"), number_cell("B2", text), text_cell("C2", "each"))
    heads = (text_cell("A1", "item"), text_cell("B1", "unit_cost"), text_cell("C1", "per"))
    sheet = read_worksheet(raw_workbook(row(1, *heads) + row(2, *cells)), "xlsx")
    found = read_rows(sheet, mapping(), KNOWN, "USD")
    assert costs(found) == {"block": (cost, "each")}
    assert [(remark.code, remark.cell) for remark in found.remarks] == (
        [("rounded", "Prices!B2")] if rounded else []
    )


def test_read_rows_takes_article_numbers_that_are_numbers() -> None:
    """An article number that a workbook holds as a number is read without its point."""
    data = workbook(["item", "unit_cost", "per"], [4711, 6.85, "each"])
    read = mapping(items={"4711": "block"})
    assert costs(read_rows(read_worksheet(data, "xlsx"), read, KNOWN, "USD")) == {
        "block": ("6.85", "each")
    }


@pytest.mark.parametrize(
    ("choice", "expected"),
    [("skip", {"block"}), ("add", {"block", "new_item"})],
)
def test_read_rows_does_with_unknown_items_as_told(choice: str, expected: set[str]) -> None:
    """Rows of unknown items are passed over with a remark, or become new items."""
    found = rows_of(HEAD, "block,1,each", "new_item,2,each", unknown_items=choice)
    assert set(costs(found)) == expected
    assert len(found.skipped) == (choice == "skip")
    assert [remark.code for remark in found.remarks] == ["skipped"] * len(found.skipped)


def test_read_rows_adds_no_item_that_can_have_no_id() -> None:
    """An article number that is no id needs a name in the mapping."""
    found = rows_of(HEAD, "Block 8 in,1,each", unknown_items="add")
    assert only_fault(found) == ("id-invalid", "line 2, column A")


def test_read_rows_says_that_t_of_a_new_item_is_a_metric_ton() -> None:
    """Where no price of the list and no mapping says what a t is, its cell is remarked."""
    line = "pea,38.00,t"
    new = rows_of(HEAD, line, unknown_items="add")
    assert costs(new) == {"pea": ("38.00", "t")}
    assert [(each.code, each.cell) for each in new.remarks] == [("metric-ton", "line 2, column C")]
    told = rows_of(HEAD, line, unknown_items="add", units={"t": {"per": "t"}})
    assert costs(told) == costs(new)
    assert told.remarks == []


@pytest.mark.parametrize("sign", [";", "|", "\t"])
def test_read_rows_says_which_delimiter_parts_the_cells(sign: str) -> None:
    """Of one column, or quoted cells that end before another sign, the hint names the sign."""
    name = {"\t": "\\t"}.get(sign, sign)
    hint = f'cells are parted by "{name}": say delimiter in the column mapping'
    (plain,) = rows_of(f"item{sign}cost", f"block{sign}1").faults[:1]
    assert (plain.code, plain.hint) == ("heading-missing", hint)
    with pytest.raises(WorksheetUnreadableError) as quoted:
        rows_of(f'"item"{sign}"unit_cost"', f'"block"{sign}"1"')
    assert quoted.value.faults[0].hint == hint


@pytest.mark.parametrize(
    ("head", "given", "code"),
    [
        ("item,cost,per", {}, "heading-missing"),
        ("item,unit_cost", {}, "heading-missing"),
        ("item,unit_cost,per,Item", {}, "heading-twice"),
        (HEAD, {"header_row": 9}, "heading-missing"),
    ],
)
def test_read_rows_needs_its_headings(head: str, given: dict[str, Any], code: str) -> None:
    """A missing or doubled heading is one fault, not one for every row."""
    found = rows_of(head, "block,1,each", **given)
    assert [fault.code for fault in found.faults] == [code]


def test_read_rows_takes_what_is_always_the_same_from_the_mapping() -> None:
    """Unit, supplier and group may stand in the mapping; a cell goes before it."""
    found = rows_of(
        "item,unit_cost,supplier",
        "block,1,",
        "cap,2,Other",
        defaults={"per": "each", "supplier": "Plant", "group": "units"},
    )
    assert [(p.supplier, p.group) for p in found.items.values()] == [
        ("Plant", "units"),
        ("Other", "units"),
    ]


def test_read_rows_checks_words_like_a_published_price() -> None:
    """A group that is none is told at its cell."""
    found = rows_of(f"{HEAD},group", "block,1,each,bricks")
    assert only_fault(found) == ("unknown-choice", "line 2, column D")


@pytest.mark.parametrize(
    ("line", "given", "currency"),
    [
        ("block,1,each,EUR", {}, "EUR"),
        ("block,1 €,each,", {}, "EUR"),
        ("block,1,each,", {"defaults": {"currency": "CAD"}}, "CAD"),
    ],
)
def test_read_rows_takes_the_currency_of_a_new_list_from_the_file(
    line: str, given: dict[str, Any], currency: str
) -> None:
    """A new list is in the currency of its first row, by column, sign or default."""
    found = rows_of(f"{HEAD},currency", line, currency=None, **given)
    assert (found.currency, found.faults) == (currency, [])


def test_read_rows_of_a_new_list_needs_a_currency() -> None:
    """Without any word about the currency a new list is refused."""
    assert only_fault(rows_of(HEAD, "block,1,each", currency=None))[0] == "field-missing"


def test_read_rows_refuses_a_file_without_rows() -> None:
    """Headings alone are no price list."""
    assert [fault.code for fault in rows_of(HEAD).faults] == ["file-empty"]


COSTS = st.decimals("0", "99999999", places=4)


@given(COSTS, st.sampled_from(["point", "comma"]), st.booleans())
def test_read_cost_reads_back_what_was_written(cost: Decimal, decimal: str, grouped: bool) -> None:
    """A cost written with the mapping's signs is read exactly; with the others it never becomes
    another number."""
    text = f"{cost:,.4f}" if grouped else f"{cost:.4f}"
    if decimal == "comma":
        text = text.translate(str.maketrans(",.", ".,"))
    thousands = {"point": "comma", "comma": "point"}[decimal] if grouped else "none"
    read = read_cost(text, mapping(decimal=decimal, thousands=thousands))
    assert isinstance(read, ReadCost)
    assert (read.cost, read.rounded) == (cost, False)
    other = {"point": "comma", "comma": "point"}[decimal]
    assert isinstance(read_cost(text, mapping(decimal=other)), CostUnreadable)


@given(st.one_of(st.text(max_size=20), st.decimals(allow_nan=False, allow_infinity=False)))
def test_read_cost_never_fails(cell: Cell) -> None:
    """Whatever stands in a cell is a cost from 0 with at most six places, or said to be none."""
    read = read_cost(cell, mapping())
    if isinstance(read, ReadCost):
        assert 0 <= read.cost < 10**12
        assert read.cost == round(read.cost, 6)
    else:
        assert read.message
