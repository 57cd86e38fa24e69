"""Rows: totals, headings between, the same number twice, spellings near an item."""

from tests.given.supplier_files.kind import GOOD, HEAD, PLANT, SupplierFile, lines, plant, yard

_ITEM, _NEXT = "line 2, column A", "line 3, column A"
_TOTAL = lines(HEAD, GOOD, ",1240.00,")
_TWICE = lines(HEAD, GOOD, "TB-8,7.25,EA")
_SECTIONS = lines(
    f"{HEAD},Terms", "WALL UNITS,,,", f"{GOOD},", "Prices until 30 June,,,", ",,,Net 30 days"
)


def _unknown(item: str, near: str, mapping: object = None) -> SupplierFile:
    """A file whose one item is spelled nearly like a known one."""
    head, cost = (HEAD, "7.10,EA") if mapping is None else ("Art.-Nr.;Preis;ME", "7,10;STK")
    row = f"{item},{cost}" if mapping is None else f"{item};{cost}"
    return SupplierFile(
        name=f"an item spelled {item!r}",
        data=lines(head, row),
        mapping=PLANT if mapping is None else yard(),
        faults=(("unknown-item", _ITEM, f"did you mean {near}?"),),
    )


ROWS = (
    SupplierFile(
        name="a total without a number",
        data=_TOTAL,
        faults=(
            ("field-missing", _NEXT, "without_item"),
            ("unknown-unit", "line 3, column C", "say in the column mapping's units"),
        ),
    ),
    SupplierFile(
        name="a total without a number, passed over",
        data=_TOTAL,
        mapping=plant(without_item="skip"),
        reads={"block": "7.10 each"},
        remarks=("skipped",),
    ),
    SupplierFile(
        name="a total in the column of numbers",
        data=lines(HEAD, GOOD, "Total,1240.00,EA"),
        mapping=plant(without_item="skip"),
        faults=(("unknown-item", _NEXT, "set unknown_items to skip"),),
    ),
    SupplierFile(
        name="headings and footers between the rows",
        data=_SECTIONS,
        mapping=plant(unknown_items="skip"),
        reads={"block": "7.10 each"},
        remarks=("skipped", "skipped"),
    ),
    SupplierFile(
        name="headings and footers that no rule passes over",
        data=_SECTIONS,
        faults=(
            ("unknown-item", _ITEM, "set unknown_items to skip"),
            ("field-missing", "line 2, column B", "a cost such as 7.10"),
            ("unknown-unit", "line 2, column C", "say in the column mapping's units"),
            ("unknown-item", "line 4, column A", "set unknown_items to skip"),
            ("field-missing", "line 4, column B", "a cost such as 7.10"),
            ("unknown-unit", "line 4, column C", "say in the column mapping's units"),
        ),
    ),
    SupplierFile(
        name="the headings again on each page",
        data=lines(HEAD, GOOD, HEAD, "TB-C,5.30,EA"),
        faults=(
            ("unknown-item", _NEXT, "set unknown_items to skip"),
            ("decimal-invalid", "line 3, column B", "taken out of the file"),
            ("unknown-unit", "line 3, column C", "say in the column mapping's units"),
        ),
    ),
    SupplierFile(
        name="the headings again on each page, passed over",
        data=lines(HEAD, GOOD, HEAD, "TB-C,5.30,EA"),
        mapping=plant(unknown_items="skip"),
        reads={"block": "7.10 each", "cap": "5.30 each"},
        remarks=("skipped",),
    ),
    SupplierFile(
        # Below is what the supplier asks of everybody, above what it asks of us.
        name="a second table with other columns below",
        data=lines(f"{HEAD},", f"{GOOD},", "item #,List,UOM,Net", "TB-C,6.40,EA,5.30"),
        mapping=plant(unknown_items="skip"),
        faults=(("headings-again", "line 3, column B", "files of their own"),),
    ),
    SupplierFile(
        name="the same number twice with one price",
        data=lines(HEAD, GOOD, "TB-8,$7.1,EA"),
        reads={"block": "7.10 each"},
        remarks=("duplicate",),
    ),
    SupplierFile(
        name="the same number twice with one price in two units",
        data=lines(HEAD, "57S,33.00,TN", "57S,0.0165,lb"),
        reads={"stone": "33.00 ton"},
        remarks=("converted", "duplicate"),
    ),
    SupplierFile(
        name="the same number twice with two prices",
        data=_TWICE,
        faults=(("item-twice", _NEXT, "say on_duplicate in the column mapping"),),
    ),
    SupplierFile(
        name="the same number twice, the first holds",
        data=_TWICE,
        mapping=plant(on_duplicate="first"),
        reads={"block": "7.10 each"},
        remarks=("duplicate",),
    ),
    SupplierFile(
        name="the same number twice, the last holds",
        data=_TWICE,
        mapping=plant(on_duplicate="last"),
        reads={"block": "7.25 each"},
        remarks=("duplicate",),
    ),
    SupplierFile(
        # The large change stands in the row that holds.
        name="the same number twice, a slip in the last",
        data=lines(HEAD, GOOD, "TB-8,71.00,EA"),
        mapping=plant(on_duplicate="last"),
        reads={"block": "71.00 each"},
        remarks=("duplicate",),
        needs=("line 3, column B",),
    ),
    SupplierFile(
        name="two numbers of one item with two prices",
        data=lines(HEAD, GOOD, "TB-8-GREY,7.25,EA"),
        mapping=plant(items={**PLANT["items"], "TB-8-GREY": "block"}),
        faults=(("item-twice", _NEXT, "take one row out"),),
    ),
    _unknown("TB 8", "TB-8"),
    _unknown("tb-8", "TB-8"),
    _unknown("blok", "block"),
    _unknown("815", "0815", yard()),
    SupplierFile(
        name="a new item spelled nearly like a known one",
        data=lines(HEAD, "blok,7.10,EA"),
        mapping=plant(unknown_items="add"),
        faults=(("item-near", _ITEM, 'name it in the column mapping: "items": {"blok"'),),
    ),
    SupplierFile(
        name="a new item that only looks like a slip",
        # terrace_8in is an item of the catalog: another number is another item.
        data=lines(HEAD, "blok,7.10,EA", "cap_2,4.00,EA", "terrace_7in,8.00,EA"),
        mapping=plant(unknown_items="add", items={"blok": "blok"}),
        reads={"blok": "7.10 each", "cap_2": "4.00 each", "terrace_7in": "8.00 each"},
    ),
    SupplierFile(
        name="a new item whose number can be no id",
        data=lines(HEAD, "TB-8X,7.10,EA"),
        mapping=plant(unknown_items="add"),
        faults=(("id-invalid", _ITEM, "did you mean TB-8?"),),
    ),
    SupplierFile(
        name="a supplier that is written otherwise",
        data=lines(f"{HEAD},supplier", f"{GOOD},PLANT", "TB-C,5.30,EA,PLANT", "57S,33.00,TN,Pit"),
        reads={"block": "7.10 each", "cap": "5.30 each", "stone": "33.00 ton"},
        remarks=("supplier-new",),
    ),
    SupplierFile(
        name="spaces that can't be seen",
        data=lines(HEAD, "\u00a0TB-8\u00a0,\u00a07.10\u00a0, EA "),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="every mistake in one row",
        data=lines(f"{HEAD},Description", f'TB-9,"7,1",BX,{"x" * 300}'),
        faults=(
            ("unknown-item", _ITEM, "set unknown_items to skip"),
            ("decimal-comma", "line 2, column B", "thousands"),
            ("unknown-unit", "line 2, column C", "say in the column mapping's units"),
            ("too-long", "line 2, column D", "another heading for description"),
        ),
    ),
    SupplierFile(
        name="nothing below the headings",
        data=lines(HEAD, "", ",,"),
        faults=(("file-empty", "", "header_row"),),
    ),
)
