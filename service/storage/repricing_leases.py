"""Who works on a re-pricing run, and until when nobody else should."""

from __future__ import annotations

from sqlalchemy import ColumnElement, Connection, or_, select, update

from service.storage.repricing_tables import REPRICING
from service.storage.repricings import OPEN, Run, change_run, run_of

# Whoever works on a run renews its lease after each chunk. A lease with less than this left has
# not been renewed for a while: who held it is most likely gone.
SILENT_SECONDS = 10
# No lease is longer than half of this. One that ends later was taken while the clock was ahead, and
# holds nothing once it is set right.
BEYOND_SECONDS = 120


def lease_run(connection: Connection, owner: str, now: int, seconds: int) -> Run | None:
    """Take the oldest run that is to be done by a service and that nobody works on; or None."""
    held = REPRICING.c
    statement = (
        select(REPRICING)
        .where(held.status.in_(OPEN), held.runs_on == "service")
        .where(or_(held.owner.is_(None), held.owner == owner, ~_lasts(now)))
        .order_by(held.id)
        .limit(1)
        .with_for_update(skip_locked=True)
    )
    row = connection.execute(statement).one_or_none()
    if row is None:
        return None
    take_run(connection, row.id, owner, now + seconds)
    return run_of(row)


def take_run(connection: Connection, run_id: str, owner: str, until: int) -> None:
    """Say who works on a run, and until when nobody else should."""
    change_run(connection, run_id, owner=owner, lease_until=until)


def renew_lease(connection: Connection, run_id: str, owner: str, until: int) -> bool:
    """Hold a run for longer; False where somebody else holds it by now, or it is over."""
    held = REPRICING.c
    statement = (
        update(REPRICING)
        .where(held.id == run_id, held.owner == owner, held.status.in_(OPEN))
        .values(lease_until=until)
    )
    return connection.execute(statement).rowcount == 1


def is_held(run: Run, now: int) -> bool:
    """Whether an open run is somebody's, so that nobody else takes it up yet."""
    begun = run.status in OPEN and run.owner is not None
    return begun and now < run.lease_until <= now + BEYOND_SECONDS


def is_left(run: Run, now: int) -> bool:
    """Whether an open run was begun by somebody who gives no sign of life any more."""
    begun = run.status in OPEN and run.owner is not None
    return begun and not now + SILENT_SECONDS < run.lease_until <= now + BEYOND_SECONDS


def has_open_runs(connection: Connection) -> bool:
    """Whether any run is left for a service to do."""
    held = REPRICING.c
    statement = select(held.id).where(held.status.in_(OPEN), held.runs_on == "service").limit(1)
    return connection.execute(statement).one_or_none() is not None


def _lasts(now: int) -> ColumnElement[bool]:
    return REPRICING.c.lease_until.between(now + 1, now + BEYOND_SECONDS)
