"""Text files: encodings, delimiters, headings, quotes."""

from tests.given.supplier_files.kind import GOOD, HEAD, SupplierFile, lines, plant, yard

_WIDE = "Item #,Description,UOM,Net"
_TWO_ROWS = lines("Item,Description,Price,,Unit", "No.,,each,pallet,", "TB-8,Block,7.10,255.60,EA")
_UMLAUTS = ("Artikel;Stückpreis;Einheit", "4711;7,10;STK")
_UMLAUT_COLUMNS = {"item": "Artikel", "unit_cost": "Stückpreis", "per": "Einheit"}
_NO_HEADINGS = "line 1, column A"

TEXTS = (
    SupplierFile(
        name="plain",
        data=lines(HEAD, GOOD, "57S,33.00,TN"),
        reads={"block": "7.10 each", "stone": "33.00 ton"},
    ),
    SupplierFile(
        name="banner above the headings, blank lines between",
        data=lines(
            "Block plant,,,", "Spring prices,,,", "", _WIDE, ",,,", "TB-8,Block,EA,7.10", "", ",,,"
        ),
        mapping=plant(header_row=4),
        reads={"block": "7.10 each"},
        words={"block": "Block"},
    ),
    SupplierFile(
        name="headings merged over two rows",
        data=_TWO_ROWS,
        mapping=plant(
            header_row=2,
            header_rows=2,
            columns={"item": "Item No.", "unit_cost": "Price each", "per": "Unit"},
        ),
        reads={"block": "7.10 each"},
        words={"block": "Block"},
    ),
    SupplierFile(
        name="headings merged over two rows, looked for in one",
        data=_TWO_ROWS,
        mapping=plant(
            header_row=2,
            columns={"item": "Item", "unit_cost": "each"},
            defaults={"per": "each"},
        ),
        faults=(("heading-missing", "line 2, column A", "the headings are: No., each, pallet"),),
    ),
    SupplierFile(
        name="headings in other capitals, with double spaces",
        data=lines("ITEM  #, net ,Uom", GOOD),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="one heading twice",
        data=lines("Item #,Net,Net,UOM", "TB-8,6.85,7.10,EA"),
        faults=(("heading-twice", "line 1, column C", "another heading"),),
    ),
    SupplierFile(
        # 34.00 a m3 x 0.764554857984 m3 a yd3 = 25.994865171456
        name="semicolons, decimal commas, cubic meters",
        data=lines("Art.-Nr.;Preis;ME", "4711;7,10;STK", "0815;34,00;m3"),
        mapping=yard(),
        reads={"block": "7.10 each", "gravel": "25.994865 yd3"},
        remarks=("converted", "rounded"),
    ),
    SupplierFile(
        name="semicolons, read as commas",
        data=lines("Item #;Net;UOM", "TB-8;7.10;EA"),
        faults=(("heading-missing", _NO_HEADINGS, 'parted by ";"'),) * 3,
    ),
    SupplierFile(
        name="a first line that names the delimiter",
        data=lines("sep=;", "Art.-Nr.;Preis;ME", "4711;7,10;STK"),
        mapping=yard(header_row=2),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="tabs, UTF-16 with its mark",
        data=lines("\ufeffItem #\tNet\tUOM", "TB-8\t7.10\tEA", codec="utf-16-le"),
        mapping=plant(delimiter="\t"),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="UTF-16 of the other end with its mark",
        data=lines(f"\ufeff{HEAD}", GOOD, codec="utf-16-be"),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="UTF-16 without a mark",
        data=lines(HEAD, GOOD, codec="utf-16-le"),
        faults=(("file-encoding", "", 'say encoding "utf-16"'),),
    ),
    SupplierFile(
        name="UTF-16 without a mark, said",
        data=lines(HEAD, GOOD, codec="utf-16-le"),
        mapping=plant(encoding="utf-16"),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="UTF-8 with its mark",
        data=lines(HEAD, GOOD, codec="utf-8-sig"),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="Latin-1, said",
        data=lines(*_UMLAUTS, codec="latin-1"),
        mapping=yard(columns=_UMLAUT_COLUMNS, encoding="windows-1252"),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="Latin-1 in a heading, not said",
        data=lines(*_UMLAUTS, codec="latin-1"),
        mapping=yard(columns=_UMLAUT_COLUMNS),
        faults=(("heading-missing", _NO_HEADINGS, "say encoding"),),
    ),
    SupplierFile(
        name="Latin-1 in a column that nobody reads",
        data=lines(f"{HEAD},Remark", f"{GOOD},für Ecken", codec="latin-1"),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="Latin-1 in a cell that is read",
        data=lines(f"{HEAD},Description", f"{GOOD},Blöcke", codec="latin-1"),
        faults=(("file-encoding", "line 2, column D", "say encoding"),),
    ),
    SupplierFile(
        name="UTF-8, said to be Latin-1",
        data=lines(*_UMLAUTS),
        mapping=yard(columns=_UMLAUT_COLUMNS, encoding="windows-1252"),
        faults=(("file-encoding", "", "leave encoding out"),),
    ),
    SupplierFile(
        name="line ends and quotes in a quoted cell",
        data=lines(
            f"{HEAD},Description", f'{GOOD},"Block 8"" deep,\r\ngrey"', 'TB-C,5.30,EA,Cap 4" high'
        ),
        reads={"block": "7.10 each", "cap": "5.30 each"},
        words={"block": 'Block 8" deep, grey', "cap": 'Cap 4" high'},
    ),
    SupplierFile(
        name="a fault below a quoted line end",
        data=lines(f"{HEAD},Remark", f'{GOOD},"two\r\nlines"', "TB-C,5.30,BX,"),
        faults=(("unknown-unit", "line 4, column C", "say in the column mapping's units"),),
    ),
    SupplierFile(
        name="a quote within quotes that stands alone",
        data=lines(f"{HEAD},Description", 'TB-8,7.10,EA,"Block 8" deep"'),
        faults=(("csv-invalid", "", "is written twice"),),
    ),
    SupplierFile(
        name="line ends of old machines",
        data=lines(HEAD, GOOD, "TB-C,5.30,EA", end="\r"),
        reads={"block": "7.10 each", "cap": "5.30 each"},
    ),
    SupplierFile(
        name="a row that ends early",
        data=lines(HEAD, GOOD, "TB-C,5.30"),
        faults=(("unknown-unit", "line 3, column C", "say in the column mapping's units"),),
    ),
    SupplierFile(
        name="decimal commas that part cells",
        data=lines("Item #,Net,Remark", "TB-8,7,10,", "TB-C,5.30,"),
        mapping=plant(defaults={"per": "each"}),
        faults=(("row-too-long", "line 2, column D", "a decimal comma, stands in quotes"),),
    ),
    SupplierFile(
        name="thousands that part cells",
        data=lines("Item #,UOM,Net", "TB-8,EA,1,250.00"),
        faults=(("row-too-long", "line 2, column D", "stands in quotes"),),
    ),
    SupplierFile(
        name="remarks right of all headings, as a spreadsheet writes them",
        data=lines(f"{HEAD},,", f"{GOOD},,new", "TB-C,5.30,EA,,"),
        reads={"block": "7.10 each", "cap": "5.30 each"},
    ),
    SupplierFile(
        name="a cell of 5,000 characters that nobody reads",
        data=lines(f"{HEAD},Terms", f"{GOOD},{'x' * 5000}"),
        reads={"block": "7.10 each"},
    ),
    SupplierFile(
        name="a cell of 5,000 characters that is read",
        data=lines(f"{HEAD},Description", f"{GOOD},{'x' * 5000}"),
        faults=(("too-long", "line 2, column D", "at most 2000 characters"),),
    ),
    SupplierFile(
        name="characters that are none in a cell that is read",
        data=lines(HEAD, "TB-8\0,7.10,EA"),
        faults=(("file-encoding", "line 2, column A", "CSV UTF-8"),),
    ),
    SupplierFile(
        name="a workbook with the name of a text file",
        data=b"PK\x03\x04" + b"\0" * 40,
        faults=(("csv-invalid", "", "send it as XLSX"),),
    ),
)
