"""Price lists that are published, and suppliers' files."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "price-list-in-catalog",
        "The price list is a file of the catalog",
        "A price list that stands in a catalog file is changed there, with a higher revision, "
        "and loaded by POST /v1/catalog/reload. To publish here, choose another id.",
        status=409,
    ),
    ProblemKind(
        "unknown-column-mapping",
        "No column mapping is saved",
        "For this price list nobody has saved how a supplier's file is read. PUT one, or name "
        "the columns of the file like the keys of a price: item, unit_cost, per.",
        status=404,
    ),
    ProblemKind(
        "change-unclear",
        "It is not clear which change is meant",
        "A change sets prices, removes items or adjusts prices, and an adjustment takes a "
        "factor or an amount. Several changes stand one after the other in the list.",
    ),
    ProblemKind(
        "file-too-large",
        "A file is larger than any price list",
        "A file may have 16 MiB, a sheet 100,000 rows and 200 columns. Save the prices alone.",
    ),
    ProblemKind(
        "file-empty",
        "A file has no prices",
        "No row below the headings names an item.",
    ),
    ProblemKind(
        "file-encoding",
        "A file is not in the encoding it should be in",
        'CSV is read as UTF-8. Save it as "CSV UTF-8", or say encoding in the column mapping.',
    ),
    ProblemKind(
        "csv-invalid",
        "A file is not CSV",
        "The message names the line and what was found.",
    ),
    ProblemKind(
        "workbook-invalid",
        "A workbook can't be read",
        "The file is no XLSX workbook, is locked, or takes more memory or time to read than any "
        "price list. Save it again with the prices alone, or as CSV UTF-8.",
    ),
    ProblemKind(
        "no-such-sheet",
        "A workbook has no such sheet",
        "The hint lists the sheets.",
    ),
    ProblemKind(
        "heading-missing",
        "A heading is missing",
        "The file needs columns for the item, its cost and what the cost is per. The column "
        "mapping says what they are headed, and in which row the headings stand.",
    ),
    ProblemKind(
        "heading-twice",
        "Two columns have one heading",
        "It can't be known which one is meant.",
    ),
    ProblemKind(
        "item-twice",
        "An item stands in two rows",
        "One item has one price. The message names the other row.",
    ),
    ProblemKind(
        "decimal-comma",
        "A cost can be read in two ways",
        "1,234 may be more than a thousand or little more than one. The column mapping says "
        "what stands before decimals (decimal) and between thousands (thousands).",
    ),
    ProblemKind(
        "unknown-unit",
        "A unit of sale is not known",
        "The column mapping says what a supplier's unit is, such as CWT: 100 lb.",
    ),
)
