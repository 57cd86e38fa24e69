"""How the time of a surveyed area grows: no worse than n·log n, 5,000 points well under a second.

Run by name (`python .ci/tasks.py benchmarks`): times of a machine that does other things prove
nothing.
"""

from __future__ import annotations

import math
import time

from service.core.ground.grading import measure_grading
from service.core.job.graded import FinishedPlane, Grading, SurveyedArea
from service.core.measure import METRIC
from service.operations.quoting.survey_text import COLUMNS, read_survey
from tests.given.graded import places, scattered, star

COUNTS = (1250, 2500, 5000, 10_000)
LONGEST_S = 1.0  # for 5,000 points
# Twice n·log n: what a cache that no longer holds the points may cost.
SLACK = 2.0


def survey_text(count: int) -> str:
    """A wavy yard of 20 x 20 m as text."""
    points = scattered(lambda e, n: math.sin(e / 3) + n / 15 - 0.5, count)
    return "\n".join(f"{i},{n:.3f},{e:.3f},{z:.3f},g" for i, (e, n, z) in enumerate(points))


def measure(text: str) -> None:
    """From the text to cut and fill inside a hollow boundary of 40 corners."""
    area = SurveyedArea(
        survey=read_survey(text, COLUMNS, "m"),
        boundary=places(*star(40, 9.5)),
        finished=FinishedPlane(level_m=0.2),
    )
    measure_grading(Grading(name="yard", ground=area), METRIC)


def seconds(text: str) -> float:
    """The best of five runs."""
    best = math.inf
    for _ in range(5):
        start = time.perf_counter()
        measure(text)
        best = min(best, time.perf_counter() - start)
    return best


def test_survey_time_grows_no_worse_than_n_log_n() -> None:
    """Eight times the points take at most eight times the time x log ratio x slack."""
    measure(survey_text(COUNTS[0]))  # loads the geometry library
    times = {count: seconds(survey_text(count)) for count in COUNTS}
    print({count: round(taken, 4) for count, taken in times.items()})  # noqa: T201  its report
    first, last = COUNTS[0], COUNTS[-1]
    allowed = last * math.log(last) / (first * math.log(first)) * SLACK
    assert times[last] / times[first] <= allowed
    assert times[5000] < LONGEST_S
