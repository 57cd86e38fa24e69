"""Newline-delimited JSON on its way in: bytes as they arrive, lines as they are asked for.

Blank lines are passed over; the others keep the number they have in the stream. No more than one
line and one arrival is held, however long a line is.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from service.api.bodies import MAX_BODY_BYTES

MAX_LINE_BYTES = MAX_BODY_BYTES
# A line break of two characters is not part of the line.
_CARRIAGE_RETURN = b"\r"
_BLANKS = b" \t\r"
_BLANK_LINES = re.compile(rb"[ \t\r\n]*\n")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line that is not blank. `number` counts every line of the stream from 1; `data` is None
    where the line is too long."""

    number: int
    data: bytes | None


class LineSplitter:
    """Splits what is fed to it into lines of at most `limit` bytes; the time taken grows with the
    number of bytes alone."""

    def __init__(self, limit: int = MAX_LINE_BYTES) -> None:
        self._limit = limit
        self._held = bytearray()
        self._searched = 0  # so many bytes of what is held have no line break
        self._passed = 0  # lines that were taken or passed over
        self._skipping = False  # within the rest of a line that is too long
        self._ended = False

    @property
    def has_room(self) -> bool:
        """Whether more should be fed: never false while `take` has nothing to give."""
        return self._ended or len(self._held) <= self._limit + len(_CARRIAGE_RETURN)

    @property
    def is_done(self) -> bool:
        """Whether the stream has ended and every line of it was taken."""
        return self._ended and not self._held

    def feed(self, data: bytes) -> None:
        """Add what arrived."""
        self._held += data

    def end(self) -> None:
        """Nothing more arrives: what is held is the last line, with or without a line break."""
        self._ended = True

    def take(self) -> Line | None:
        """The next line, or None until more arrives."""
        while self._held:
            found = self._held.find(b"\n", self._searched)
            if found < 0 and not self._ended:
                return self._take_unfinished()
            line = self._cut(found if found >= 0 else len(self._held))
            if line is not None:
                return line
        return None

    def _take_unfinished(self) -> Line | None:
        """A line without an end yet: answered as soon as it is too long, its rest is dropped."""
        self._searched = len(self._held)
        if not self._skipping and self.has_room:
            return None
        too_long = None if self._skipping else Line(number=self._passed + 1, data=None)
        self._skipping = True
        self._held.clear()
        self._searched = 0
        return too_long

    def _cut(self, length: int) -> Line | None:
        """Take a line of so many bytes, and its line break; None where there is nothing to say."""
        data = bytes(self._held[:length]).removesuffix(_CARRIAGE_RETURN)
        was_skipping, self._skipping, self._searched = self._skipping, False, 0
        if len(data) <= self._limit and not was_skipping and not data.strip(_BLANKS):
            self._pass_over_blanks()
            return None
        del self._held[: length + 1]
        self._passed += 1
        if was_skipping:
            return None
        return Line(number=self._passed, data=data if len(data) <= self._limit else None)

    def _pass_over_blanks(self) -> None:
        """All blank lines at the front at once: a stream may be nothing but line breaks."""
        blanks = _BLANK_LINES.match(self._held)
        end = blanks.end() if blanks else len(self._held)
        self._passed += self._held.count(b"\n", 0, end)
        del self._held[:end]
