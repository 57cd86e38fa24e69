"""A job with changes, laid out and screened: whether it passes and can be dug, else how near it
comes."""

from __future__ import annotations

from service.core.built import QUOTED, Built, lay_out_walls
from service.core.errors import QuoteFaultsError
from service.core.ground.groundwork import check_dug
from service.core.job.job import Job
from service.core.screening.check import Check
from service.core.screening.screening import Screening, screen
from service.core.would_pass.alternative import ChangeName, Tried, share_reached

_NOT_KNOWN = "the weight of the units or the soil behind them is not known"


def tried(changes: tuple[ChangeName, ...], job: Job, failing: Built) -> Tried:
    """What comes of a changed job; what the change leaves as it is comes from the quote that
    fails."""
    try:
        same, ground = _same_walls(job, failing.job), failing.ground
        layouts = failing.layouts if same else lay_out_walls(job, ground)
        screening = screen(job, layouts, ground)
        if failed := failing_checks(screening, job):
            return Tried(changes=changes, job=job, check=min(failed, key=share_reached))
        if not _knows_stability(screening):
            return Tried(changes=changes, job=job, hindered=_NOT_KNOWN)
        layers = screening.reinforcement if job.reinforcing in QUOTED else ()
        check_dug(job, layouts, layers, ground)
    except QuoteFaultsError as error:
        return Tried(changes=changes, job=job, hindered=str(error))
    return Tried(changes=changes, job=job)


def _same_walls(job: Job, before: Job) -> bool:
    """Whether walls are laid out as before: another fill or layers change nothing."""
    return job.walls is before.walls and job.system is before.system


def failing_checks(screening: Screening, job: Job) -> tuple[Check, ...]:
    """The checks that fail, of the walls as they are quoted."""
    checks = screening.checks(reinforced=job.reinforcing in QUOTED)
    return tuple(check for check in checks if check.failed)


def failing_walls(screening: Screening, job: Job) -> frozenset[str]:
    """Names of walls with a failing check, as they are quoted."""
    return frozenset(check.wall for check in failing_checks(screening, job))


def _knows_stability(screening: Screening) -> bool:
    """Whether its walls could be checked: no weight of the units, no answer."""
    return all(wall.stack is not None for wall in screening.walls)
