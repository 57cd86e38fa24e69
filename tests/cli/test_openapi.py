"""`openapi`: print the document, or write it where it is committed."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from service.cli import openapi
from service.cli.app import app

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work


def test_openapi_prints_the_document() -> None:
    """Without options the document goes to stdout, and nothing else does."""
    result = CliRunner().invoke(app, ["openapi"])
    assert result.exit_code == 0
    assert json.loads(result.stdout)["openapi"].startswith("3.1.")


def test_openapi_writes_the_document(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With --write it goes to its file, and stdout stays quiet."""
    path = tmp_path / "openapi.json"
    monkeypatch.setattr(openapi, "document_path", lambda: path)
    result = CliRunner().invoke(app, ["openapi", "--write"])
    assert (result.exit_code, result.stdout) == (0, "")
    assert path.read_text(encoding="utf-8") == openapi.openapi_document_text()


def test_openapi_answers_the_examples(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With --write every request beside the document is answered anew, mistakes included."""
    folder = tmp_path / "examples" / "quote_walls"
    folder.mkdir(parents=True)
    (folder / "empty.request.json").write_text("{}", encoding="utf-8")
    monkeypatch.setattr(openapi, "document_path", lambda: tmp_path / "openapi.json")
    result = CliRunner().invoke(app, ["openapi", "--write"])
    assert result.exit_code == 0
    assert "answered: 1" in result.stderr
    answer = json.loads((folder / "empty.response.json").read_text(encoding="utf-8"))
    assert (answer["status"], answer["instance"]) == (422, "example")
    assert "/walls" in {entry["pointer"] for entry in answer["errors"]}


def test_openapi_says_when_it_has_nowhere_to_write(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the folder is not installed the command says so and ends with 1."""
    monkeypatch.setattr(openapi, "find_spec", lambda _name: None)
    result = CliRunner().invoke(app, ["openapi", "--write"])
    assert result.exit_code == 1
    assert "openapi/" in result.stderr
