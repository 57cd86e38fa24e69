"""What several processes answer, against one; and how even a crowd is served.

Run by name (`python .ci/tasks.py benchmarks`), on a machine with as many idle cores as processes.
"""

from __future__ import annotations

import subprocess
import sys
import time

from tests.given.heavy import small_request
from tests.given.measured_service import crowd, share
from tests.given.service_process import running_workers

QUOTES = "/v1/quotes"
CALLERS, CALLS = 64, 20
GAIN, EVEN = 1.7, 6.0


def answered(workers: int) -> tuple[float, list[float]]:
    """Quotes a second of a crowd, and the seconds of each."""
    with running_workers(workers, log=subprocess.DEVNULL) as (_, port):
        crowd(port, 4 * workers, 5, QUOTES, small_request())
        began = time.perf_counter()
        seconds = crowd(port, CALLERS, CALLS, QUOTES, small_request())
        return len(seconds) / (time.perf_counter() - began), seconds


def test_two_processes_answer_more_than_one() -> None:
    """Two answer at least 1.7 times as many quotes as one; of 64 callers none in a hundred waits
    more than six times as long as half of them do."""
    one, _ = answered(1)
    two, seconds = answered(2)
    uneven = share(seconds, 0.99) / share(seconds, 0.5)
    sys.stdout.write(
        f"\none process {one:.0f}, two {two:.0f} quotes a second ({two / one:.2f} x); of "
        f"{CALLERS} callers p99 {uneven:.2f} x p50\n"
    )
    assert two / one >= GAIN
    assert uneven <= EVEN
