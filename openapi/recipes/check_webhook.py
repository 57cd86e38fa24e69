"""Takes the service's webhooks and checks their signature: `python check_webhook.py 9000`.

WEBHOOK_SECRET is what the service showed once when the webhook was made (`whsec_…`); while it is
rotated, both, with a blank between. What is genuine is printed as a line and answered with 204,
what is not is answered with 400. The same event may come twice: its id is remembered.
"""

import base64
import hashlib
import hmac
import json
import os
import sys
import time
from http.server import BaseHTTPRequestHandler, HTTPServer

SECRETS = os.environ.get("WEBHOOK_SECRET", "").split()
OLDEST = 300  # seconds: whoever caught a call can't send it again later
MOST = 1024 * 1024


def genuine(secrets: list[str], headers: dict[str, str], body: bytes, now: float) -> bool:
    """Whether a body was signed by the service, and a moment ago (Standard Webhooks)."""
    try:
        sent = int(headers["webhook-timestamp"])
        signed = f"{headers['webhook-id']}.{sent}.".encode() + body
        given = [each.removeprefix("v1,") for each in headers["webhook-signature"].split()]
    except (KeyError, ValueError):
        return False
    if abs(now - sent) > OLDEST:
        return False
    keys = [base64.b64decode(secret.removeprefix("whsec_")) for secret in secrets]
    right = [base64.b64encode(hmac.digest(key, signed, hashlib.sha256)) for key in keys]
    # Compared as bytes: one of text may hold what it is not made for.
    return any(hmac.compare_digest(a, b.encode()) for a in right for b in given)


class Receiver(BaseHTTPRequestHandler):
    """One call of the service."""

    seen: set[str] = set()

    def do_POST(self) -> None:
        """Check it, and do what is to be done for it: here it is printed."""
        body = self.rfile.read(min(int(self.headers.get("Content-Length", "0")), MOST))
        headers = {name.lower(): value for name, value in self.headers.items()}
        right = genuine(SECRETS, headers, body, time.time())
        if right and headers["webhook-id"] not in self.seen:
            self.seen.add(headers["webhook-id"])
            print(json.dumps(json.loads(body)), flush=True)
        self.send_response(204 if right else 400)
        self.end_headers()

    def log_message(self, *_arguments: object) -> None:
        """Standard output is for events alone."""


if __name__ == "__main__":
    HTTPServer(("127.0.0.1", int(sys.argv[1])), Receiver).serve_forever()
