"""`quote FILE --document`: a quote on paper, from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient
from typer.testing import CliRunner, Result

from service import json_text
from service.cli.app import app

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "quote_walls"
GARDEN = EXAMPLES / "garden_wall.request.json"


def _run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(app, ["quote", *map(str, arguments)])


@pytest.mark.parametrize(
    ("kind", "form"),
    [("crew_sheet", "pdf"), ("plan", "svg"), ("supplier_order", "csv"), ("customer_quote", "xml")],
)
def test_quote_document_is_what_http_makes(
    tmp_path: Path, client: TestClient, kind: str, form: str
) -> None:
    """The file has the bytes of the HTTP answer, its form by its ending."""
    out = tmp_path / f"paper.{form}"
    assert _run(GARDEN, "--document", kind, "-o", out, "--option", "paper=a4").exit_code == 0
    body = b'{"quote":' + json_text.as_received(json_text.loads(GARDEN.read_bytes())) + b"}"
    answer = client.post(
        f"/v1/documents/{kind}?format={form}&paper=a4",
        content=body,
        headers={"Content-Type": "application/json"},
    )
    assert answer.status_code == 200
    assert out.read_bytes() == answer.content


def test_quote_document_goes_to_stdout_in_its_first_form() -> None:
    """Without a file the first form of the kind is printed."""
    done = _run(GARDEN, "--document", "plan")
    assert done.exit_code == 0
    assert done.stdout.startswith("<svg")


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (("--document", "poster"), 2, "is not a choice; one of: customer_quote"),
        (("--document", "plan", "-o", "plan.pdf"), 2, "one of: svg, png"),
        (("--document", "plan", "--option", "colour=red"), 2, "one of: company, language"),
        (("--document", "plan", "--option", "language=fr"), 2, "one of: en, es"),
        (("--document", "contract"), 1, "save it first"),
        (("--document", "elevation", "--option", "wall=back"), 1, "one of: garden"),
    ],
)
def test_quote_document_says_what_is_wrong(
    arguments: tuple[str, ...], code: int, said: str
) -> None:
    """Wrong usage is told before the request is read, and nothing is written."""
    done = _run(GARDEN, *arguments)
    assert done.exit_code == code
    assert said in done.stderr
    assert done.stdout == ""


def test_quote_document_refuses_a_request_as_ever() -> None:
    """A request at fault is told as without a document."""
    done = _run(EXAMPLES / "ten_mistakes.request.json", "--document", "plan")
    assert done.exit_code == 1
    assert "can't be quoted" in done.stderr
