"""Pages of the repository as text."""

import re


def ticked(text: str) -> list[str]:
    """What a text has in backticks."""
    return re.findall(r"`([^`]+)`", text)
