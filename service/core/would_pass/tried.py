"""A job with changes, laid out, screened and dug: whether it passes, else how near it comes."""

from __future__ import annotations

from service.core.errors import QuoteFaultsError
from service.core.ground.groundwork import GradedAreas, dig
from service.core.job.job import Job
from service.core.quote import QUOTED, lay_out_walls
from service.core.screening.check import Check
from service.core.screening.screening import Screening, screen
from service.core.would_pass.alternative import ChangeName, Tried, share_reached

_NOT_KNOWN = "the weight of the units or the soil behind them is not known"


def tried(changes: tuple[ChangeName, ...], job: Job, graded: GradedAreas) -> Tried:
    """What comes of a changed job on ground that is graded all the same."""
    try:
        layouts = lay_out_walls(job)
        screening = screen(job, layouts)
        if failed := failing_checks(screening, job):
            return Tried(changes=changes, job=job, check=min(failed, key=share_reached))
        if not _knows_stability(screening):
            return Tried(changes=changes, job=job, hindered=_NOT_KNOWN)
        layers = screening.reinforcement if job.reinforcing in QUOTED else ()
        dig(job, layouts, layers, graded)
    except QuoteFaultsError as error:
        return Tried(changes=changes, job=job, hindered=str(error))
    return Tried(changes=changes, job=job)


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
