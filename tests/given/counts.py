"""How often a test tries: as often as is usual, or as the environment says."""

import os


def count_of(name: str, usual: int) -> int:
    """The number in `TEST_<name>`, where it is set."""
    return int(os.environ.get(f"TEST_{name}", usual))
