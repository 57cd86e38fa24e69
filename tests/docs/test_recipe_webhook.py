"""The recipe that checks a webhook's signature: what is signed comes through once, nothing else."""

from __future__ import annotations

import base64
import http.client
import json
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.given.recipes import FOLDER, office_at
from tests.given.service_process import HOST, free_port, wait_until_it_answers

KEY = bytes(range(32))
COMPLETE = FOLDER.parent / "examples" / "save_quote" / "low_wall.request.json"
OLD_KEY = bytes(range(1, 33))
SECRETS = " ".join(f"whsec_{base64.b64encode(key).decode()}" for key in (KEY, OLD_KEY))
EVENT = b'{"id":"7","type":"lead.received","data":{"id":"l1"}}'
Receiver = tuple[subprocess.Popen[str], int]


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    """The recipe at a port, with the secret of today and the one before."""
    with receiving(free_port(), SECRETS) as found:
        yield found


@contextmanager
def receiving(port: int, secrets: str) -> Iterator[Receiver]:
    """The recipe at a port, with these secrets."""
    command = [sys.executable, str(FOLDER / "check_webhook.py"), str(port)]
    with subprocess.Popen(
        command, env={"WEBHOOK_SECRET": secrets}, stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            wait_until_it_answers(port)
            yield process, port
        finally:
            process.kill()


def signed(
    body: bytes, key: bytes = KEY, *, id_: str = "7", sent: int | None = None
) -> dict[str, str]:
    """The headers of a call, its signature made by another program."""
    moment = int(time.time()) if sent is None else sent
    digest = [shutil.which("openssl") or "openssl", "dgst", "-sha256", "-mac", "HMAC"]
    done = subprocess.run(
        [*digest, "-macopt", f"hexkey:{key.hex()}", "-binary"],
        input=f"{id_}.{moment}.".encode() + body, capture_output=True, check=True,
    )  # fmt: skip
    signature = base64.b64encode(done.stdout).decode()
    return {
        "webhook-id": id_,
        "webhook-timestamp": str(moment),
        "webhook-signature": f"v1,{base64.b64encode(bytes(32)).decode()} v1,{signature}",
    }


def status(port: int, body: bytes, headers: dict[str, str]) -> int:
    """What a call is answered with."""
    connection = http.client.HTTPConnection(HOST, port, timeout=20)
    connection.request("POST", "/", body, headers)
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return answer.status


def test_check_webhook_lets_through_what_is_signed(receiver: Receiver) -> None:
    """A signature by either secret is right; an event that comes twice is taken once."""
    process, port = receiver
    for headers in (signed(EVENT), signed(EVENT), signed(EVENT, OLD_KEY, id_="8")):
        assert status(port, EVENT, headers) == 204
    process.terminate()
    assert process.stdout is not None
    assert [json.loads(line) for line in process.stdout] == [json.loads(EVENT)] * 2


def test_check_webhook_refuses_what_is_not(receiver: Receiver) -> None:
    """Another body, another id, another key, an old or a coming moment, no signature, one that is
    no text: all are refused, and none is printed."""
    process, port = receiver
    right, now = signed(EVENT), int(time.time())
    before = str(int(right["webhook-timestamp"]) - 1)
    wrong = [
        (EVENT + b" ", right),
        (EVENT, {**right, "webhook-id": "8"}),
        (EVENT, {**right, "webhook-timestamp": before}),
        (EVENT, {**right, "webhook-timestamp": "soon"}),
        (EVENT, {**right, "webhook-signature": "v1,\xff"}),
        (EVENT, {**right, "webhook-signature": ""}),
        (EVENT, signed(EVENT, bytes(32))),
        (EVENT, signed(EVENT, sent=now - 400)),
        (EVENT, signed(EVENT, sent=now + 400)),
        (EVENT, {}),
    ]
    assert [status(port, body, headers) for body, headers in wrong] == [400] * len(wrong)
    process.terminate()
    assert process.stdout is not None
    assert process.stdout.read() == ""


def test_check_webhook_knows_the_services_own(tmp_path: Path) -> None:
    """What the service sends is genuine by the secret that it showed, and by no other."""
    port = free_port()
    with office_at(tmp_path, SERVICE_WEBHOOK_TARGETS=f"{HOST}:{port}") as office:
        asked = {"url": f"http://{HOST}:{port}/", "types": ["quote.saved"]}
        made = office.call("admin", "POST", "/v1/webhooks", asked)
        with receiving(port, made["secret"]) as (process, _):
            office.call("admin", "POST", f"/v1/webhooks/{made['id']}/test", None)
            assert process.stdout is not None
            first = json.loads(process.stdout.readline())
        assert set(first) == {"id", "type", "timestamp", "by", "data"}
        body = json.loads(COMPLETE.read_text(encoding="utf-8"))
        with receiving(port, made["secret"]) as (process, _):
            saved = office.call("quotes", "POST", "/v1/saved-quotes", body)
            assert process.stdout is not None
            event = json.loads(process.stdout.readline())
    assert (event["type"], event["data"]["quote"]) == ("quote.saved", saved["id"])
