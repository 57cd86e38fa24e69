"""The recipe that mails: a lead and a yes, each once, and none lost where mail can't be sent."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.given.mail_sink import MailSink, mail_sink
from tests.given.quote_requests import Json
from tests.given.recipes import FOLDER, ORIGIN, Office, office_at

COMPLETE = FOLDER.parent / "examples" / "save_quote" / "low_wall.request.json"
ANSWERS = {
    "length": "42", "height": "3", "behind": "level", "in_front": "level", "above": "lawn",
    "now": "bank", "way_in": "drive_in", "water": "runs_off",
}  # fmt: skip


def accept(office: Office) -> str:
    """Save a quote, send it out, and take the yes; its id."""
    body: Json = json.loads(COMPLETE.read_text(encoding="utf-8"))
    body["customer"] = {"name": "Marker Name", "email": "marker@example.com"}
    saved = office.call("quotes", "POST", "/v1/saved-quotes", body)
    for state, day in (("issued", "2026-05-04"), ("accepted", "2026-05-05")):
        path = f"/v1/saved-quotes/{saved['id']}/state"
        tag = office.tag("quotes", f"/v1/saved-quotes/{saved['id']}")
        office.call("quotes", "POST", path, {"state": state, "on": day}, If_Match=tag)
    return str(saved["id"])


def leave_a_lead(office: Office) -> None:
    """Fill in the website's form, and how to get in touch."""
    body: Json = {
        "form_version": 1,
        "answers": ANSWERS,
        "lead": {"name": "Marker Name", "email": "marker@example.com", "consent": True},
    }
    office.call("website", "POST", "/v1/website/price-range", body, Origin=ORIGIN)


def mailed(office: Office, sink: MailSink, place: Path, code: int = 0) -> list[str]:
    """The subjects of all mails after the recipe ran once more."""
    to = {"MAIL_FROM": "quotes@example.com", "MAIL_TO": "office@example.com"}
    office.run("quotes", "mail_events.py", place, code=code, SMTP=sink.place, **to)
    return [str(mail["Subject"]) for mail in sink.mails]


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """A service with keys, and nothing told yet but of prices."""
    with office_at(tmp_path_factory.mktemp("office")) as made:
        yield made


def test_mail_events_tells_a_lead_and_a_yes_once(office: Office, tmp_path: Path) -> None:
    """A lead and a yes are a mail each; what else changes is none, nor is the same event twice;
    while the mail server takes none nothing is lost. No mail has a name or an address."""
    place = tmp_path / "place.txt"
    with mail_sink() as sink:
        assert mailed(office, sink, place) == []
        quote = accept(office)
        sink.full = True
        assert mailed(office, sink, place, code=1) == []
        sink.full = False
        leave_a_lead(office)
        told = [f"Quote {quote} was accepted", "A lead came in"]
        assert mailed(office, sink, place) == told
        assert mailed(office, sink, place) == told
        assert "Marker" not in "".join(map(str, sink.mails))
        yes, lead = (json.loads(bytes(mail.get_payload(decode=True))) for mail in sink.mails)
    assert (yes["type"], lead["type"]) == ("quote.state_changed", "lead.received")
    assert yes["data"]["quote"] == quote
