"""The machine's clock jumps under a running service; by libfaketime, where Debian's package is
installed (`apt-get install libfaketime`)."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from service.cli.loopback import Answered, call
from tests.given.savers import EXAMPLE
from tests.given.served import JSON
from tests.given.service_process import HOST, running_service

LIBRARY = "/usr/lib/x86_64-linux-gnu/faketime/libfaketimeMT.so.1"
# By how much the clock is wrong, one after the other: within a day, as long as outcomes are kept;
# then a month back; then beyond 32 bits of seconds, where they are over; and right again.
WITHIN_A_DAY = ("+0", "+30m", "-11h", "+12h", "-30d")
JUMPS = (*WITHIN_A_DAY, "@2038-01-20 00:00:00", "+0")


def save(port: int, key: str) -> Answered:
    """Save the example under a key."""
    quote = {**json.loads(EXAMPLE.read_bytes()), "reference": f"job-{key}"}
    body = json.dumps({"quote": quote}).encode()
    headers = {**JSON, "Idempotency-Key": key}
    return call(f"http://{HOST}:{port}", "POST", "/v1/saved-quotes", body, headers)


@pytest.mark.skipif(not Path(LIBRARY).exists(), reason="libfaketime is not installed")
def test_jumps_of_the_clock_do_no_harm(tmp_path: Path) -> None:
    """Whatever the clock says, quotes are the same bytes, saves are kept, a call repeated under
    its key within a day of the clock is the first one, and nobody waits for the clock: a
    call that takes a minute ends the test. In 2038 the service tells that year: the jumps are
    real."""
    moment = tmp_path / "moment"
    settings = {
        "SERVICE_DATABASE_URL": f"sqlite:///{tmp_path / 'store.sqlite'}",
        "LD_PRELOAD": LIBRARY,
        "FAKETIME_TIMESTAMP_FILE": str(moment),
        "FAKETIME_NO_CACHE": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",
    }
    moment.write_text(JUMPS[0], encoding="utf-8")
    quotes, saved, years = set[bytes](), dict[str, str](), set[str]()
    with running_service(log=subprocess.DEVNULL, **settings) as (_, port):
        for number, jump in enumerate(JUMPS, start=1):
            moment.write_text(jump, encoding="utf-8")
            answered = call(
                f"http://{HOST}:{port}", "POST", "/v1/quotes", EXAMPLE.read_bytes(), JSON
            )
            quotes.add(answered.body)
            told = save(port, f"key-{number}")
            assert (answered.status, told.status) == (200, 201)
            document = json.loads(told.body)
            years.add(document["created_at"][:4])
            again = [save(port, key) for key in (saved if number <= len(WITHIN_A_DAY) else ())]
            saved[f"key-{number}"] = document["id"]
            ids = [json.loads(each.body)["id"] for each in again]
            assert ids == list(saved.values())[: len(ids)]
            ready = call(f"http://{HOST}:{port}", "GET", "/health/ready", b"", {})
            assert ready.status == 200
        every = call(f"http://{HOST}:{port}", "GET", "/v1/saved-quotes", b"", {})
    assert len(quotes) == 1
    assert {each["id"] for each in json.loads(every.body)["items"]} == set(saved.values())
    assert "2038" in years
