"""By which terms of the catalog a quote was priced, and whether they say something else today."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.catalog.registry import digest_of

# What an entry says about itself and not about prices.
_WORDS = ("title", "source")


def terms_digest(document: Mapping[str, Any]) -> str:
    """The SHA-256 of what an entry of terms says about prices."""
    return digest_of({key: value for key, value in document.items() if key not in _WORDS})
