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

import pytest

from tests.given.recipes import FOLDER
from tests.given.service_process import HOST, free_port, wait_until_it_answers

KEY = bytes(range(32))
OLD_KEY = bytes(range(1, 33))
SECRETS = " ".join(f"whsec_{base64.b64encode(key).decode()}" for key in (KEY, OLD_KEY))
EVENT = b'{"id":"7","type":"lead.received","data":{"id":"l1"}}'
Receiver = tuple[subprocess.Popen[str], int]


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    """The recipe at a port, with the secret of today and the one before."""
    port = free_port()
    command = [sys.executable, str(FOLDER / "check_webhook.py"), str(port)]
    with subprocess.Popen(
        command, env={"WEBHOOK_SECRET": SECRETS}, stdout=subprocess.PIPE, text=True
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
    wrong = [
        (EVENT + b" ", right),
        (EVENT, {**right, "webhook-id": "8"}),
        (EVENT, {**right, "webhook-timestamp": str(now - 1)}),
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
