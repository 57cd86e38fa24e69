"""Nobody rounds but `service/core/rounding.py`: held by walking the syntax of everything else."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parent.parent
ROUNDS = ROOT / "service" / "core" / "rounding.py"
FUNCTIONS = frozenset({"int", "round"})
METHODS = frozenset({"ceil", "floor", "quantize", "rint", "to_integral_value", "trunc"})


class Allowed(NamedTuple):
    """A file or folder, what it may use, and why that rounds nothing, or how it is held."""

    place: str
    use: str
    why: str


SHORT_LIST = (
    Allowed("service/calculators/door.py", "ceil", "seconds until it is worth coming again"),
    Allowed("service/cli/side_by_side.py", "int", "a number in a file's name"),
    Allowed("service/operations/callers/erasing.py", "int", "how many were erased: one or none"),
    Allowed("service/operations/callers/key_request.py", "int", "a number out of a text"),
    Allowed("service/operations/callers/retries.py", "int", "seconds to the next try"),
    Allowed("service/operations/callers/webhook_request.py", "int", "a number out of a text"),
    Allowed("service/sending/", "int", "a number out of a text"),
    Allowed("service/storage/days.py", "int", "a moment in whole seconds"),
    Allowed("service/cli/side_by_side.py", "//", "cores, shared by processes"),
    Allowed("service/core/fraction.py", "//", "by a common divisor: nothing is left over"),
    Allowed("service/core/reprice/bulk_freight.py", "//", "columns; tests/core/reprice holds them"),
    Allowed(
        "service/core/reprice/bulk_freight.py", "ceil", "columns; tests/core/reprice holds them"
    ),
    Allowed(
        "service/core/reprice/bulk_freight.py", "rint", "whole loads; tests/core/reprice holds them"
    ),
    Allowed(
        "service/core/reprice/freight_columns.py",
        "ceil",
        "a limit in minor units; tests/core/reprice holds it",
    ),
    Allowed("service/core/reprice/packed_header.py", "int", "a whole number out of a record"),
    Allowed("service/documents/drawings/", "//", "places and sizes on a sheet of paper"),
    Allowed("service/documents/drawings/", "ceil", "places and sizes on a sheet of paper"),
    Allowed("service/documents/drawings/", "floor", "places and sizes on a sheet of paper"),
    Allowed("service/documents/drawings/", "int", "places and sizes on a sheet of paper"),
    Allowed("service/documents/drawings/", "round", "places and sizes on a sheet of paper"),
    Allowed("service/documents/words.py", "int", "places of a decimal, and the number of a mark"),
    Allowed(
        "service/operations/paper/cost_workbook.py",
        "//",
        "whether a formula gives the answer's figure",
    ),
    Allowed(
        "service/operations/paper/cost_workbook.py", "ROUND_", "a figure as long as a cell is shown"
    ),
    Allowed(
        "service/operations/paper/cost_workbook.py", "int", "places of a decimal, and yes or no"
    ),
    Allowed(
        "service/operations/paper/cost_workbook.py",
        "quantize",
        "a figure as long as a cell is shown",
    ),
    Allowed("service/operations/paper/heeded.py", "int", "the number of a wall in a pointer"),
    Allowed(
        "service/operations/paper/payments.py",
        "ROUND_",
        "a cap is rounded down, and stages add up: test_payments.py",
    ),
    Allowed(
        "service/operations/paper/payments.py",
        "quantize",
        "a cap is rounded down, and stages add up: test_payments.py",
    ),
    Allowed(
        "service/operations/paper/setting_out.py",
        "ceil",
        "round stations, a string on a whole foot",
    ),
    Allowed("service/operations/paper/setting_out.py", "floor", "round stations"),
    Allowed(
        "service/operations/paper/setting_out.py",
        "round",
        "stations that are one but for float noise",
    ),
    Allowed(
        "service/operations/paper/supplier_order.py",
        "int",
        "a whole number out of an answer, places of a decimal",
    ),
    Allowed("service/operations/quoting/what_if/", "int", "places in a pointer"),
    Allowed("service/server/sockets.py", "round", "milliseconds of a deadline"),
    Allowed("service/api/", "int", "digits of a request, after a pattern has checked them"),
    Allowed("service/api/v1/saved_quotes/filters.py", "ceil", "a moment, in whole seconds"),
    Allowed("service/api/v1/saved_quotes/filters.py", "floor", "a moment, in whole seconds"),
    Allowed("service/api/front.py", "round", "milliseconds of a line in the log"),
    Allowed("service/cli/examples.py", "//", "the place in the middle of a list"),
    Allowed("service/cli/reprice.py", "int", "digits of an option"),
    Allowed("service/documents/forms/typeset_child.py", "int", "the number of a process"),
    Allowed("service/json_text.py", "int", "digits of a number that the parser found"),
    Allowed("service/operations/quoting/cost.py", "round", "sizes that an estimate goes by"),
    Allowed("service/operations/repricing/large_write.py", "int", "a number out of a row"),
    Allowed("service/operations/repricing/repricing_start.py", "int", "digits of a revision"),
    Allowed("service/operations/prices/workbook_child.py", "int", "places in a sheet"),
    Allowed("service/operations/saved/saved_quote.py", "int", "digits of a revision"),
    Allowed("service/server/parser.py", "//", "a bound on the chunks of a body"),
    Allowed("service/storage/repricing_chunks.py", "int", "whole sums, decimals on PostgreSQL"),
    Allowed("service/storage/store.py", "int", "the clock, in whole seconds"),
    Allowed("service/core/labor/derived.py", "int", "a count that is kept as a float"),
    Allowed("service/core/reprice/bulk_lines.py", "//", "columns; tests/core/reprice holds them"),
    Allowed("service/core/reprice/bulk_lines.py", "int", "a whole number out of a column"),
    Allowed("service/core/reprice/bulk_price.py", "//", "columns; tests/core/reprice holds them"),
    Allowed("service/core/reprice/bulk_spread.py", "//", "columns; tests/core/reprice holds them"),
    Allowed("service/core/reprice/bulk_spread.py", "int", "a whole number out of a column"),
    Allowed("service/core/reprice/packed.py", "int", "a whole number out of a record"),
    Allowed("service/core/reprice/packed_columns.py", "int", "a whole number out of a column"),
)


class Use(NamedTuple):
    """Something that may round, where it stands."""

    place: str
    use: str
    text: str


def uses_in(tree: ast.AST, place: str = "") -> Iterator[Use]:
    """Yield everything in a syntax tree that may cut or round a figure."""
    for node in ast.walk(tree):
        for use in _uses_of(node):
            yield Use(f"{place}:{getattr(node, 'lineno', 0)}", use, ast.unparse(node))


def _uses_of(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Call):
        name = node.func.id if isinstance(node.func, ast.Name) else None
        yield from [name] if name in FUNCTIONS else []
        yield from (a.id for a in node.args if isinstance(a, ast.Name) and a.id in FUNCTIONS)
        if isinstance(node.func, ast.Attribute) and node.func.attr in METHODS:
            yield node.func.attr
    elif isinstance(node, (ast.BinOp, ast.AugAssign)) and isinstance(node.op, ast.FloorDiv):
        yield "//"
    elif (isinstance(node, ast.alias) and node.name.startswith("ROUND_")) or (
        isinstance(node, ast.Attribute) and node.attr.startswith("ROUND_")
    ):
        yield "ROUND_"


def uses_of_service() -> list[Use]:
    """Return all uses outside the file that rounds."""
    uses: list[Use] = []
    for file in sorted((ROOT / "service").rglob("*.py")):
        if file != ROUNDS:
            tree = ast.parse(file.read_text(encoding="utf-8"))
            uses += uses_in(tree, str(file.relative_to(ROOT)))
    return [use for use in uses if not use.text.startswith("isinstance(")]


def fits(use: Use, allowed: Allowed) -> bool:
    """Tell whether a row of the short list allows a use."""
    return use.place.startswith(allowed.place) and use.use == allowed.use


def test_nobody_else_rounds() -> None:
    """Every ceiling, floor and quantisation goes through one file, but for a short list."""
    found = [
        f"{use.place}: {use.text}"
        for use in uses_of_service()
        if not any(fits(use, allowed) for allowed in SHORT_LIST)
    ]
    assert found == []


def test_short_list_allows_nothing_that_is_gone() -> None:
    """A row of the short list goes when what it allowed goes."""
    uses = uses_of_service()
    assert [row for row in SHORT_LIST if not any(fits(use, row) for use in uses)] == []


@pytest.mark.parametrize(
    "text",
    [
        "round(x)",
        "math.ceil(x)",
        "math.floor(x)",
        "np.trunc(x)",
        "np.rint(x)",
        "cost.quantize(step)",
        "cost.to_integral_value()",
        "x // y",
        "x //= y",
        "int(x)",
        "map(int, amounts)",
        "from decimal import ROUND_HALF_UP",
        "cost.quantize(step, decimal.ROUND_DOWN)",
    ],
)
def test_rounding_check_sees_each_way_to_round(text: str) -> None:
    """The net is no sieve: each of these is caught."""
    assert list(uses_in(ast.parse(text)))
