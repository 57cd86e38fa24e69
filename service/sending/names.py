"""Looks the name of a host up within a time, whatever becomes of whoever should know it.

The system's look-up takes no time limit and can't be broken off. It runs in a thread that is left
alone when its time is over; nobody waits for such a thread, at the end of the process neither.
"""

from __future__ import annotations

import queue
import socket
import threading
import time
from collections.abc import Callable, Iterable

# So many look-ups may hang; whoever comes then waits for one of them as long as it has time.
MOST_AT_ONCE = 32

Resolve = Callable[[str, int], Iterable[str]]
_Outcome = list[str] | Exception

_places = threading.BoundedSemaphore(MOST_AT_ONCE)


def look_up(host: str, port: int) -> list[str]:
    """The addresses that a host's name stands for. Raises OSError."""
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    return [str(place[0]) for *_, place in found]


def look_up_within(seconds: float, resolve: Resolve, host: str, port: int) -> list[str]:
    """What `resolve` finds, each address once. Raises TimeoutError when it takes longer than
    `seconds`, and what `resolve` raises."""
    deadline = time.monotonic() + seconds
    if not _places.acquire(timeout=seconds):
        raise TimeoutError
    outcome: queue.SimpleQueue[_Outcome] = queue.SimpleQueue()
    _start(outcome, resolve, host, port)
    try:
        found = outcome.get(timeout=max(0.0, deadline - time.monotonic()))
    except queue.Empty:
        raise TimeoutError from None
    if isinstance(found, Exception):
        raise found
    return found


def _start(outcome: queue.SimpleQueue[_Outcome], resolve: Resolve, host: str, port: int) -> None:
    arguments = (outcome, resolve, host, port)
    try:
        threading.Thread(target=_resolve, args=arguments, name="names", daemon=True).start()
    except RuntimeError:  # the system gives no more threads
        _places.release()
        raise


def _resolve(outcome: queue.SimpleQueue[_Outcome], resolve: Resolve, host: str, port: int) -> None:
    try:
        outcome.put([*dict.fromkeys(resolve(host, port))])
    except Exception as error:  # noqa: BLE001  (whoever waits is told of it)
        outcome.put(error)
    finally:
        _places.release()
