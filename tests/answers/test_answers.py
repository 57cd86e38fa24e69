"""Golden quotes of all sorts: a version of the engine gives the same numbers for good."""

from __future__ import annotations

import json
import re

import pytest

from service.core import ENGINE_VERSION
from tests.answers.marks import KEPT, Marks, answer_to, marks_of
from tests.given.cells import cells, elsewhere
from tests.given.counts import count_of

COMMAND = "python -m tests.answers"
NOTHING = re.compile(r"\b0\.0{7,}\d")  # seven zeros after the point
_kept = json.loads(KEPT.read_text(encoding="utf-8"))
ANSWERS: dict[int, Marks] = {int(number): marks for number, marks in _kept["answers"].items()}
# A seventh of them takes half of the time: those are asked by the rows "answers" and "machines of
# others" of `python -m tests.large`, and where the command compares.
ASKED = [number for number in ANSWERS if number not in _kept["long"] or count_of("LONG_ANSWERS", 0)]


@pytest.mark.parametrize("number", ASKED)
def test_answer_has_the_marks_that_were_kept(number: int) -> None:
    """Each part of the answer to the request of this number is what it was, and tells no figure
    that is what arithmetic leaves of nothing."""
    answer = answer_to(number)
    kept, given = ANSWERS[number], marks_of(answer)
    changed = [name for name in {**kept, **given} if kept.get(name) != given.get(name)]
    assert not changed or changed == ["words"], (
        f"numbers changed in {', '.join(changed)}. If it is right so: they need a new "
        "ENGINE_VERSION (service/core/__init__.py) unless this one was never released, and an "
        f"entry under Numbers in openapi/CHANGELOG.md; then run: {COMMAND}"
    )
    assert not changed, f"only sentences changed; run: {COMMAND}"
    if isinstance(answer, bytes):
        assert not NOTHING.search(answer.decode())


# Each takes half a minute: only by `python -m tests.large "machines of others"`.
@pytest.mark.parametrize(
    "settings", cells(count_of("CELLS", 0)), ids=lambda each: " ".join(each.values())
)
def test_answers_are_the_same_elsewhere(settings: dict[str, str]) -> None:
    """Neither hash seed, time zone nor locale shows in any of them."""
    done = elsewhere(settings, "tests.answers", "--compare")
    assert done.returncode == 0, done.stdout.decode()


def test_marks_are_of_this_engine() -> None:
    """Marks of another version say nothing."""
    assert _kept["engine_version"] == ENGINE_VERSION, f"run: {COMMAND}"


def test_answers_are_of_all_sorts() -> None:
    """Most are quotes and some are refusals, and marks are short digests."""
    refused = [number for number, marks in ANSWERS.items() if "refused" in marks]
    assert len(ANSWERS) == 400
    assert len(ASKED) >= 300
    assert set(_kept["long"]) <= set(ANSWERS)
    assert 30 <= len(refused) <= 200
    texts = {mark for marks in ANSWERS.values() for mark in marks.values()}
    assert all(re.fullmatch("[0-9a-f]{8}", text) for text in texts)
    assert len(texts) > 1000
