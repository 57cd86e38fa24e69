"""What is marked `no_cover` costs no tracing, in whichever process it runs."""

from __future__ import annotations

import sys
import threading

import pytest


@pytest.mark.no_cover
def test_nothing_traces_what_is_marked_no_cover() -> None:
    """Neither in this thread nor in one that it begins; with `-n` and `--cov` as without."""
    assert sys.gettrace() is None
    found: list[object] = []
    thread = threading.Thread(target=lambda: found.append(sys.gettrace()))
    thread.start()
    thread.join()
    assert found == [None]


def test_what_is_not_marked_is_traced(request: pytest.FixtureRequest) -> None:
    """Where coverage is asked for."""
    asked = bool(request.config.getoption("cov_source", default=None))
    assert asked <= (sys.gettrace() is not None)
