"""A crowd that doesn't go on holds nobody up, and is shut out in time."""

from __future__ import annotations

import subprocess
import sys
import time

from tests.given.counts import count_of
from tests.given.idle_crowd import KINDS, idle_crowd, newcomer_seconds
from tests.given.measured_service import memory_mib, share
from tests.given.service_process import running_service

CALLERS = count_of("CALLERS", 300)
SETTINGS = {
    "SERVICE_HEAD_SECONDS": "2.0",
    "SERVICE_BODY_SECONDS": "3.0",
    "SERVICE_ANSWER_SECONDS": "4.0",
    "SERVICE_IDLE_SECONDS": "3",
}
# All are waited for so long, whatever else the machine has to do.
PATIENCE_SECONDS = 120.0
# Besides, what is held for a caller who doesn't read: the answer that it asked for, once.
MEMORY_MIB, ANSWER_MIB = 64.0, 1.0
EACH_SECONDS = 0.1
# How often one calls who has nobody beside it.
ALONE = 20
# A newcomer's usual wait beside the crowd, by the longest wait without it.
MOST_TIMES = 20.0


def test_idle_crowd_is_shut_out_and_leaves_room() -> None:
    """Of silent callers, half heads and bodies, drips and unread answers all are shut out;
    meanwhile each newcomer is answered, about as soon as without them, and memory stays bounded.
    Seconds are printed: 15 to be shut out and 0.1 for a newcomer are the goal on an idle machine.
    """
    with running_service(log=subprocess.DEVNULL, **SETTINGS) as (process, port):
        alone = [newcomer_seconds(port) for _ in range(ALONE)]
        before, most, waited = memory_mib(process.pid), 0.0, []
        with idle_crowd(port, CALLERS) as crowd:
            end = time.monotonic() + PATIENCE_SECONDS
            while crowd.held and time.monotonic() < end:
                waited.append(newcomer_seconds(port))
                most = max(most, memory_mib(process.pid) - before)
                crowd.go_on()
                time.sleep(EACH_SECONDS)
            left = list(crowd.held.values())
    after = {kind: round(seconds, 1) for kind, seconds in crowd.shut.items()}
    sys.stdout.write(
        f"\n{CALLERS} idle callers, shut out after {after} s; newcomers waited {told(waited)}, "
        f"without them {told(alone)}; {most:.0f} MiB more\n"
    )
    assert not left
    assert crowd.shut.keys() == KINDS.keys()
    assert share(waited, 0.5) <= MOST_TIMES * max(alone)
    assert most <= MEMORY_MIB + ANSWER_MIB * CALLERS / len(KINDS)


def told(seconds: list[float]) -> str:
    """Waits in words."""
    half, nine = (share(seconds, part) * 1e3 for part in (0.5, 0.9))
    return f"{half:.0f} ms, one in ten {nine:.0f}, at most {max(seconds) * 1e3:.0f}"
