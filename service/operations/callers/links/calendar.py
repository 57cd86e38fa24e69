"""Days as links count them, and how long a link is open."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from service.storage.days import end_of

_DAY_S = 24 * 60 * 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """The zone in which days begin and end, and how many of them a link is open that shows no
    offer to a customer."""

    zone: tzinfo
    link_days: int

    def day(self, now: int) -> date:
        """The day of a moment."""
        return datetime.fromtimestamp(now, self.zone).date()

    def clock(self, now: int) -> str:
        """The time of day of a moment, with the name of its zone."""
        return datetime.fromtimestamp(now, self.zone).strftime("%H:%M %Z")

    def expiry(self, now: int, valid_until: date | None) -> int:
        """When a link that is made now expires: with the offer it shows, if that has an end."""
        if valid_until is not None:
            return end_of(valid_until, self.zone)
        return now + self.link_days * _DAY_S
