"""The page about the API says what the service does: its lists and limits are the code's."""

import json
import re
from pathlib import Path
from typing import Any

import msgspec
import pytest
from typer.testing import CliRunner

from service.api import form_body, storing
from service.api.bodies import MAX_BODY_BYTES, MOST_KEYS, MOST_VALUES_AT_ONCE
from service.api.faults import KINDS
from service.api.front import MAX_HEAD_BYTES
from service.api.lines import MAX_LINE_BYTES
from service.api.links import table as links
from service.api.problems import MAX_ERRORS
from service.api.v1.quotes.batch import MAX_ITEMS
from service.catalog.documents.price_list import MOST_ITEMS as MOST_PRICED
from service.cli.app import app
from service.core.ground.groundwork import MOST_DUG_SIZE
from service.core.job.section import GROUPS
from service.core.layout import levels
from service.json_text import DEEPEST, LARGEST_EXPONENT, LONGEST_INT, LONGEST_NUMBER
from service.operations import ruled
from service.operations.prices import column_mapping, sheet, workbook_child
from service.operations.quoting import (
    comparison_request,
    cost,
    plan_request,
    prices_request,
    quote_request,
    survey_text,
    wall_request,
)
from service.operations.quoting.answer import PriceAnswer
from service.server.parser import BYTES_PER_FURTHER_CHUNK, MOST_CHUNKS
from service.server.protocol import MOST_ANSWERS
from service.units import LONGEST_TEXT
from tests.given.pages import ticked

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "openapi" / "README.md").read_text(encoding="utf-8")
DOCUMENT: dict[str, Any] = json.loads(
    (ROOT / "openapi" / "openapi.json").read_text(encoding="utf-8")
)
SCHEMAS: dict[str, Any] = DOCUMENT["components"]["schemas"]


def rows(heading: str) -> list[list[str]]:
    """The rows of the table under a heading, its own head left out."""
    section = re.split(r"\n#{2,3} ", PAGE.split(f" {heading}\n", 1)[1])[0]
    lines = [line for line in section.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in line.strip("| ").split(" | ")] for line in lines[1:]]


def test_api_page_lists_the_roll_up_in_its_order() -> None:
    """The amounts of the table are those of a price, in the order in which they arise."""
    amounts = [ticked(row[0])[0] for row in rows("What each percentage is taken of")]
    others = {
        "lines",
        "complete",
        "not_priced",
        "needed_not_priced",
        "by_wall",
        "site_wide",
        "how",
    }
    assert amounts == [
        field.name for field in msgspec.structs.fields(PriceAnswer) if field.name not in others
    ]


def test_api_page_shows_a_column_mapping_that_reads_a_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The mapping on the page reads a file as it says: 302,40 for a pallet of 36 is 8.40 each,
    1.045,00 for a cubic yard is 1045.00, and the total is passed over."""
    block = PAGE.split("A mapping for a file", 1)[1].split("```json\n", 1)[1].split("```", 1)[0]
    mapping, file = tmp_path / "mapping.json", tmp_path / "supplier.csv"
    mapping.write_text(block, encoding="utf-8")
    head = "Prices;;;\n;;;\n;;;\nArt. No;Text;Price;Unit\n;;each;\n"
    lines = 'T-8;Block;"$302,40";PAL\nDS-34;Stone;"$1.045,00";CY\n;Total;"$1.347,40";\n'
    file.write_text(head + lines, encoding="utf-8")
    monkeypatch.setenv("SERVICE_DATABASE_URL", f"sqlite:///{tmp_path / 'store.sqlite'}")
    first_day = ("--effective-from", "2026-06-01")
    asked = ["prices", "import", str(file), "--list", "yard", *first_day, "--mapping", str(mapping)]
    preview = json.loads(CliRunner().invoke(app, [*asked, "--json"]).stdout)
    assert preview["faults"] == []
    costs = {each["item"]: (each["unit_cost"], each["per"]) for each in preview["added"]}
    assert costs == {"terrace_8in": ("8.40", "each"), "drain_stone": ("1045.00", "yd3")}
    assert preview["skipped"] == 1


def test_api_page_gives_the_order_of_groups() -> None:
    """Groups stand on the page in the order in which lines stand in answers."""
    section = PAGE.split("### Order of lines\n", 1)[1].split("\n###", 1)[0]
    named = [word for word in ticked(section) if word in GROUPS]
    assert named == list(GROUPS)


def test_api_page_gives_the_units_of_the_schema() -> None:
    """No field of an answer has a unit that the closed list lacks."""
    listed = {row[0]: set(ticked(row[1])) for row in rows("Units")}
    stated = re.findall(r'"x-units": (\{[^{}]+\})', json.dumps(DOCUMENT))
    assert stated
    for text in stated:
        for name, units in json.loads(text).items():
            held = {units} if isinstance(units, str) else set(units)
            assert held <= listed[name] | listed["both"]


@pytest.mark.parametrize(
    ("row", "figures"),
    [
        ("a JSON body", [MAX_BODY_BYTES >> 20, DEEPEST]),
        ("keys at the top of a body", [MOST_KEYS]),
        ("a number in a body", [LONGEST_INT, LONGEST_NUMBER, LARGEST_EXPONENT, LARGEST_EXPONENT]),
        (
            "a supplier's file",
            [
                sheet.MOST_BYTES >> 20,
                workbook_child.MOST_ROWS,
                workbook_child.MOST_COLUMNS,
                workbook_child.MOST_CELLS,
                workbook_child.MOST_TEXT,
            ],
        ),
        (
            "a form of a page (`application/x-www-form-urlencoded`)",
            [
                form_body.MOST_FORM_BYTES >> 10,
                form_body.MOST_FIELDS,
                form_body.MOST_VALUE_CHARACTERS,
                links.MOST_FORM_BYTES >> 10,
            ],
        ),
        ("address and headers of a request", [MAX_HEAD_BYTES >> 10]),
        ("a line of a batch", [MAX_LINE_BYTES >> 20, MAX_ITEMS]),
        ("ETags in one `If-Match`", [storing.MOST_TAGS]),
        ("chunks of a body that comes in chunks", [MOST_CHUNKS, BYTES_PER_FURTHER_CHUNK]),
        ("requests of one connection", [MOST_ANSWERS]),
        (
            "values in a body, lists and objects among them",
            [ruled.BOUNDS.values, ruled.BOUNDS.items],
        ),
        (
            "values of a batch as an array, and of a revision of a price list",
            [MOST_VALUES_AT_ONCE],
        ),
        ("values of a column mapping", [column_mapping.BOUNDS.values, column_mapping.BOUNDS.items]),
        ("items of a price list", [MOST_PRICED]),
        ("points of a survey", [survey_text.MOST_POINTS]),
        (
            "size of the walls: plan parts x courses, and 5 for each step of base or top",
            [levels.MOST_SIZE, MOST_DUG_SIZE],
        ),
        ("walls of a request", [quote_request.MOST_WALLS]),
        ("parts of a plan", [plan_request.MOST_PARTS]),
        ("entries of a profile", [wall_request.MOST_ENTRIES]),
        ("inline prices, and overrides", [prices_request.MOST_INLINE_ITEMS]),
        ("extras", [SCHEMAS["QuoteRequest"]["properties"]["extras"]["maxItems"]]),
        ("alternatives of a comparison", [comparison_request.MOST_ALTERNATIVES]),
        (
            "what a request comes to, as its size says before it runs",
            [round(cost.MOST_MS / 1000)],
        ),
        (
            "`heights_that_fit`",
            [comparison_request.MOST_HEIGHT_WALLS, comparison_request.MOST_HEIGHT_ENTRIES],
        ),
        ("a measurement as text", [LONGEST_TEXT]),
    ],
)
def test_api_page_states_the_limits(row: str, figures: list[int]) -> None:
    """Each limit is the one that is held."""
    (stated,) = (cells[1] for cells in rows("Limits") if cells[0] == row)
    assert [int(text.replace(",", "")) for text in re.findall(r"[0-9][0-9,]*", stated)] == figures


def test_document_states_the_limits_of_every_body() -> None:
    """The document says what a body may have before any field of it is looked at, and operations
    that take more say how much."""
    told = DOCUMENT["info"]["description"]
    for figure, what in (
        (MAX_BODY_BYTES >> 20, "MiB"),
        (DEEPEST, "levels"),
        (MOST_KEYS, "keys at its top"),
        (ruled.BOUNDS.values, "values"),
        (ruled.BOUNDS.items, "in one list or table"),
    ):
        assert f" {figure:,} {what}" in told
    for path, method, figure in (
        ("/v1/quotes/batch", "post", MOST_VALUES_AT_ONCE),
        ("/v1/price-lists/{id}/revisions", "post", MOST_VALUES_AT_ONCE),
        ("/v1/price-lists/{id}/column-mapping", "put", column_mapping.BOUNDS.values),
    ):
        words = DOCUMENT["paths"][path][method]["description"].split()
        assert f" {figure:,} values" in " ".join(words)


def test_api_page_states_how_many_faults_are_told() -> None:
    """The bound on entries of a problem is the one that is held."""
    assert f"the first {MAX_ERRORS}," in PAGE


def test_api_page_gives_each_code_its_status() -> None:
    """A code is named in the row of its own status, and the row of 409 names every code it has."""
    named = {row[0]: {code for code in ticked(row[1]) if code in KINDS} for row in rows("Errors")}
    for statuses, codes in named.items():
        assert {str(KINDS[code].status) for code in codes} <= set(statuses.split(", "))
    assert named["409"] == {code for code, kind in KINDS.items() if kind.status == 409}


def test_api_page_shows_an_assumption_as_it_is_answered() -> None:
    """The assumption with its worth on the page stands in an example, word for word."""
    (shown,) = re.findall(r'```json\n(\{"field".*?)```', PAGE, re.DOTALL)
    answer = ROOT / "openapi" / "examples" / "quote_walls" / "what_is_assumed.response.json"
    assert json.loads(shown) in json.loads(answer.read_text("utf-8"))["assumptions"]


def test_api_page_lists_the_variables_of_the_form() -> None:
    """The colors and sizes that a page may set are those of the form's style, with what holds
    where one isn't set."""
    style = (ROOT / "service" / "api" / "website" / "form.css").read_text(encoding="utf-8")
    used = set(re.findall(r"var\((--[a-z-]+), ([^)]+)\)", style))
    told = {(ticked(row[0])[0], ticked(row[2])[0]) for row in rows("A form on a website")}
    assert told == used
