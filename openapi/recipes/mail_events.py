"""Asks for new events and sends a mail on a lead, and on a yes: `python mail_events.py place.txt`.

For cron, every minute. The file keeps where it is: it is written after each event, so that no mail
is lost; one may come twice if the machine stops in between. Without the file it begins with the
oldest event that is kept; so it does after the database was put back from a backup, when the file
is to be deleted. SERVICE is the address of the service,
SERVICE_KEY a key of scope `quotes`; SMTP (host:port), MAIL_FROM and MAIL_TO say how mails go.
"""

import json
import os
import smtplib
import sys
import urllib.error
import urllib.request
from email.message import EmailMessage
from pathlib import Path

SERVICE = os.environ.get("SERVICE", "http://127.0.0.1:8000")
KEY = os.environ.get("SERVICE_KEY", "")
START = "/v1/events?type=lead.received&type=quote.state_changed"


def subject_of(event: dict) -> str | None:
    """What to say of an event; None where nobody is to be told."""
    data = event["data"]
    if event["type"] == "lead.received":
        return "A lead came in"
    if event["type"] == "quote.state_changed" and data.get("state") == "accepted":
        return f"Quote {data['quote']} was accepted"
    return None


def read(address: str) -> dict:
    """A page of events: `items`, and in `next` the address to ask next, always."""
    head = {"Authorization": f"Bearer {KEY}"} if KEY else {}
    whole = address if address.startswith("http") else SERVICE + address
    request = urllib.request.Request(whole, headers=head)
    try:
        with urllib.request.urlopen(request, timeout=60) as answer:
            return json.load(answer)
    except urllib.error.HTTPError as error:
        problem = json.load(error)
        sys.exit(f"{problem['title']}: {problem.get('detail', '')}")


def send(subject: str, event: dict) -> None:
    """Send one mail. Events hold ids and links, no names: who reads it looks them up."""
    message = EmailMessage()
    message["Subject"], message["From"], message["To"] = (
        subject,
        os.environ["MAIL_FROM"],
        os.environ["MAIL_TO"],
    )
    message.set_content(json.dumps(event, indent=2))
    host, _, port = os.environ.get("SMTP", "127.0.0.1:25").partition(":")
    with smtplib.SMTP(host, int(port or 25), timeout=60) as server:
        server.send_message(message)


def main(place: Path) -> None:
    """Go on where the last run ended, to the newest event."""
    address = place.read_text(encoding="utf-8").strip() if place.exists() else START
    while True:
        page = read(address)
        for event in page["items"]:
            if subject := subject_of(event):
                send(subject, event)
            place.write_text(f"{START}&after={event['id']}\n", encoding="utf-8")
        if not page["items"]:
            return
        address = page["next"]


if __name__ == "__main__":
    main(Path(sys.argv[1]))
