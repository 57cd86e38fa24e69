"""Conditions under which a caller wants something changed, so that nobody writes over another.

The caller names the entity tag of what it has read (`If-Match`), or says that there is nothing
yet (`If-None-Match: *`). They are checked in the transaction that changes.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass


class ConditionMissingError(Exception):
    """The caller did not say which state it wants to change; `etag` is that of the current one."""

    def __init__(self, etag: str | None) -> None:
        self.etag = etag
        super().__init__()


class ConditionFailedError(Exception):
    """Somebody was first: the current state, by its `etag`, is not the one the caller read."""

    def __init__(self, etag: str | None) -> None:
        self.etag = etag
        super().__init__()


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """`if_match`: the tags named; `if_none`: `If-None-Match: *`, there must be nothing yet."""

    if_match: tuple[str, ...] = ()
    if_none: bool = False

    def check(self, etag: str | None) -> None:
        """Hold the conditions against the tag of what there is; None: nothing.

        Raises ConditionMissingError, ConditionFailedError.
        """
        if not self.if_match and not self.if_none:
            raise ConditionMissingError(etag)
        if self.if_none and etag is not None:
            raise ConditionFailedError(etag)
        if self.if_match and etag not in self.if_match:
            raise ConditionFailedError(etag)


def etag_of(digest: str) -> str:
    """The strong entity tag of a content by its SHA-256."""
    return f'"{digest}"'


def content_digest(content: bytes) -> str:
    """The SHA-256 of a content in hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()
