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
        "CSV is read as UTF-8, or as its mark at the beginning says. Save it as "
        '"CSV UTF-8", or say encoding in the column mapping.',
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
        "sheet-unclear",
        "Several sheets of a workbook are filled",
        "It can't be known which of them holds the prices. The column mapping names one (sheet); "
        "the hint lists those that are shown and filled.",
    ),
    ProblemKind(
        "hidden-in-workbook",
        "A row or column is hidden in the workbook",
        "Nobody sees what would be read. Show it, or say in the column mapping what becomes of "
        "what is hidden (hidden): read or skip.",
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
        "headings-again",
        "The headings stand again, in other columns",
        "Below them is another table, whose costs may stand in another column. Each table is a "
        "file of its own.",
    ),
    ProblemKind(
        "row-too-long",
        "A row has more cells than there are headings",
        "In a text file that is a delimiter within a cell, such as a decimal comma, and what "
        "follows it would be read in the wrong columns. Such a cell stands in quotes.",
    ),
    ProblemKind(
        "item-twice",
        "An item stands in two rows",
        "One item has one price; rows with the same price are one. The message names the other "
        "row, and on_duplicate of the column mapping says which one holds.",
    ),
    ProblemKind(
        "item-near",
        "A new item is spelled nearly like a known one",
        "One letter apart it may be a slip, and the known item would keep its old price. Correct "
        "the file, or name the new item in the column mapping's items.",
    ),
    ProblemKind(
        "supplier-missing",
        "A row has no supplier",
        "Items that a file leaves out are removed (absent_items) among those of its suppliers, so "
        "each row names one, or the column mapping's defaults do.",
    ),
    ProblemKind(
        "removal-unsure",
        "It is not sure what a file leaves out",
        "Rows are passed over, and one of them may be an item that would be removed for not being "
        "in the file. Name it in the column mapping, or keep what the file leaves out.",
    ),
    ProblemKind(
        "changes-not-accepted",
        "Large changes were not accepted",
        "A cost would change by more than the service's share, to 0 or from 0. Look at what the "
        "preview lists in to_accept, and write with accept_changes where it is right.",
    ),
    ProblemKind(
        "removals-not-accepted",
        "Removals were not accepted",
        "Items would no longer be sold. Look at what the preview lists in removed, and write with "
        "accept_removals where it is right.",
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
        "Words for units are read in their own case: T is not t. The column mapping says what a "
        "supplier's unit is, such as CWT: 100 lb.",
    ),
)
