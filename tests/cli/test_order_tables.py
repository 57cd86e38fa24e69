"""Machines and the order of work, as the command line shows them."""

from __future__ import annotations

import io
import json
from pathlib import Path

import msgspec

from service.cli.columns import console_for
from service.cli.tables import print_quote
from service.operations.quoting.quote import quote_document
from tests.given.catalogs import shipped_catalog

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "openapi/examples/quote_walls/driveway_into_bank.request.json"


def shown(**more: object) -> str:
    """The example as tables, with keys of its request replaced."""
    request = {**json.loads(EXAMPLE.read_text(encoding="utf-8")), **more}
    stream = io.StringIO()
    print_quote(console_for(stream), quote_document(request, shipped_catalog()), how=True)
    return stream.getvalue()


def test_print_quote_shows_machines_and_the_order_of_work() -> None:
    """Machines with their days, phases in their order, weather and trench below."""
    text = shown()
    for words in ("MACHINES", "Mini excavator", "ORDER OF WORK", "Rough cut", "Topsoil and sod"):
        assert words in text
    assert text.index("Rough cut") < text.index("Topsoil and sod")
    assert "trench opened in" in text
    assert "with weather" in text


def test_print_quote_says_which_task_is_done_without_its_machine() -> None:
    """A gate of 2 ft keeps both excavators out, and the table says so."""
    text = shown(access={"distance": "60 ft", "narrowest_passage": "2 ft"})
    assert "dig is done as dig_narrow" in text
    assert "dig_narrow is done as dig_by_hand" in text


def test_answers_of_whole_jobs_say_what_stands_in_their_order() -> None:
    """The answer behind the table has the phases of rule 19.6."""
    request = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    answer = msgspec.to_builtins(quote_document(request, shipped_catalog()))
    phases = [phase["phase"] for phase in answer["order_of_work"]["phases"]]
    assert phases[0] == "take_down"
    assert phases[-1] == "clean_up"
