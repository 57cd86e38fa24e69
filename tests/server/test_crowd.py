"""A crowd that doesn't go on holds nobody up, and is shut out in time."""

from __future__ import annotations

import subprocess
import sys
import time

from tests.given.counts import count_of
from tests.given.idle_crowd import KINDS, UNREAD, idle_crowd, newcomer_seconds
from tests.given.measured_service import memory_mib, share
from tests.given.service_process import running_service

CALLERS = count_of("CALLERS", 300)
HEAD, BODY, ANSWER, IDLE = 2.0, 3.0, 4.0, 3.0
SETTINGS = {
    "SERVICE_HEAD_SECONDS": str(HEAD),
    "SERVICE_BODY_SECONDS": str(BODY),
    "SERVICE_ANSWER_SECONDS": str(ANSWER),
    "SERVICE_IDLE_SECONDS": str(int(IDLE)),
}
# For each kind; the system drops an unread answer in twice its time at most.
DEADLINES = {
    "silent": HEAD,
    "half heads": HEAD,
    "heads in drips": HEAD,
    "half bodies": BODY,
    "bodies in drips": BODY,
    UNREAD: 2 * ANSWER,
}
# Of a machine that has other things to do, and takes its time to connect them all.
SLACK = 15.0 + CALLERS / 200
# Besides, what is held for a caller who doesn't read: the answer that it asked for, once.
MEMORY_MIB, ANSWER_MIB = 64.0, 1.0
EACH_SECONDS = 0.1


def test_idle_crowd_is_shut_out_and_leaves_room() -> None:
    """Of silent callers, half heads and bodies, drips and unread answers all are shut out in time;
    meanwhile most newcomers are answered within 100 ms, and memory stays bounded."""
    with running_service(log=subprocess.DEVNULL, **SETTINGS) as (process, port):
        newcomer_seconds(port)
        before, most, waited = memory_mib(process.pid), 0.0, []
        with idle_crowd(port, CALLERS) as crowd:
            end = time.monotonic() + max(DEADLINES.values()) + 2 * SLACK
            while crowd.held and time.monotonic() < end:
                waited.append(newcomer_seconds(port))
                most = max(most, memory_mib(process.pid) - before)
                crowd.go_on()
                time.sleep(EACH_SECONDS)
            left = list(crowd.held.values())
    after = {kind: round(seconds, 1) for kind, seconds in crowd.shut.items()}
    sys.stdout.write(
        f"\n{CALLERS} idle callers, shut out after {after} s; newcomers waited "
        f"{share(waited, 0.5) * 1e3:.0f} ms, one in ten {share(waited, 0.9) * 1e3:.0f}, at most "
        f"{max(waited) * 1e3:.0f}; {most:.0f} MiB more\n"
    )
    assert not left
    assert crowd.shut.keys() == KINDS.keys()
    assert [k for k, seconds in crowd.shut.items() if seconds > DEADLINES[k] + SLACK] == []
    assert share(waited, 0.5) <= 0.1
    assert most <= MEMORY_MIB + ANSWER_MIB * CALLERS / len(KINDS)
