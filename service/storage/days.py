"""Days as whoever runs the service counts them: from midnight to midnight of its time zone."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, tzinfo
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sqlalchemy import Connection

# Under this name a connection of the store tells the zone.
ZONE = "service_zone"


def day_of(connection: Connection, moment: int) -> date:
    """The day of a moment."""
    return datetime.fromtimestamp(moment, zone_of(connection)).date()


def zone_of(connection: Connection) -> tzinfo:
    """The time zone in which days begin and end."""
    zone: tzinfo = connection.get_execution_options()[ZONE]
    return zone


def begin_of(day: date, zone: tzinfo) -> int:
    """The moment at which a day begins."""
    return int(datetime.combine(day, time(), zone).timestamp())


def end_of(day: date, zone: tzinfo) -> int:
    """The moment at which a day is over."""
    return begin_of(day + timedelta(days=1), zone)
