"""What work takes of a processor, held against other work of the same run: a busy or slow machine
changes both alike."""

import time
from collections.abc import Callable


def least_work(do: Callable[[], object], tries: int = 3) -> float:
    """The CPU seconds of this process that something takes, the best of some tries."""
    best = float("inf")
    for _ in range(tries):
        begun = time.process_time()
        do()
        best = min(best, time.process_time() - begun)
    return best
