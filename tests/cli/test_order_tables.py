"""Machines and the order of work, as the command line shows them."""

from __future__ import annotations

import io
import json
from pathlib import Path

import msgspec
import pytest

from service.cli.columns import console_for
from service.cli.order_tables import print_order
from service.cli.tables import print_quote
from service.operations.quoting.order_answer import AwayAnswer, Half, OrderAnswer, OrderCrewAnswer
from service.operations.quoting.quote import quote_document
from tests.given.catalogs import shipped_catalog
from tests.given.waiting import terrace

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
    said = " ".join(text.split())
    assert "Dig by hand, as Mini excavator of 8,000 lb is 5 ft wide and needs 6 in of " in said
    assert "dig_by_hand" not in text


def test_print_quote_says_a_reason_once() -> None:
    """No machine climbs steps: what is done by hand for that stands before one reason."""
    text = shown(access={"distance": "60 ft", "narrowest_passage": "8 ft", "stairs": 3})
    labor = text[text.index("Machines chosen") : text.index("\nMACHINES")]
    said = " ".join(labor.split())
    assert "Load soil by hand; " in said
    for machine in ("Skid steer", "Mini excavator of 8,000 lb"):
        assert said.count(f"{machine} can't climb the 3 steps on the way") == 1


@pytest.mark.parametrize(
    ("away", "words"),
    [
        ((4, "afternoon", 4, "afternoon", "0.5"), "away afternoon of day 4"),
        ((2, "morning", 2, "afternoon", "1.0"), "away day 2"),
        ((2, "morning", 3, "afternoon", "2.0"), "away days 2 to 3"),
        ((1, "afternoon", 3, "morning", "2.0"), "away afternoon of day 1 to morning of day 3"),
    ],
)
def test_print_order_says_when_a_crew_is_away(
    away: tuple[int, Half, int, Half, str], words: str
) -> None:
    """Whole days by number, others with morning and afternoon; the last line has both figures."""
    gone = AwayAnswer(*away)
    crew = OrderCrewAnswer(crew="crew", title="Wall crew", days="3.5", away=(gone,))
    stream = io.StringIO()
    order = OrderAnswer(working_days="5.0", crews=(crew,), phases=(), trenches=())
    print_order(console_for(stream), order, {}, how=False)
    lines = stream.getvalue().splitlines()
    assert f"Wall crew: 3.5 days, {words}" in lines
    assert lines[-1] == "5 working days, 3.5 paid crew days"


def test_print_quote_ends_the_order_with_the_days_of_the_crew() -> None:
    """A terrace of 8 working days, on 3.5 of which the crew is elsewhere; paid while it
    waits, the eight are its days."""
    for waiting, days in (("elsewhere", "4.5"), ("paid", "8")):
        stream = io.StringIO()
        request = terrace(waiting, own_drivers=True)
        print_quote(console_for(stream), quote_document(request, shipped_catalog()), how=False)
        text = stream.getvalue()
        assert ("Wall crew: 4.5 days, away afternoon of day 4" in text) == (days == "4.5")
        assert ("8 working days, 4.5 paid crew days; with weather" in text) == (days == "4.5")
        assert f"h of work, {days} days" in text


def test_answers_of_whole_jobs_say_what_stands_in_their_order() -> None:
    """The answer behind the table has the phases of rule 19.6."""
    request = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    answer = msgspec.to_builtins(quote_document(request, shipped_catalog()))
    phases = [phase["phase"] for phase in answer["order_of_work"]["phases"]]
    assert phases[0] == "take_down"
    assert phases[-1] == "clean_up"
