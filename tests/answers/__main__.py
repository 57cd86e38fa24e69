"""Writes `kept.json` anew: `python -m tests.answers`; `--compare` only says what differs.

The requests stay those that are kept, unless the numbers of others are given as words: the first
of each sort that take little time, of the wider sort seventeen that are sound to three refused.
"""

from __future__ import annotations

import json
import sys

from service.core import ENGINE_VERSION
from tests.answers.marks import KEPT, Marks, answer_to, marks_of, takes_long


def main(words: list[str]) -> int:
    """Write the marks of the answers of this version, or compare: 1 where they differ."""
    answers: dict[str, Marks] = json.loads(KEPT.read_text(encoding="utf-8"))["answers"]
    numbers = answers if words in ([], ["--compare"]) else sorted(set(words), key=int)
    given = {number: marks_of(answer_to(int(number))) for number in numbers}
    if words == ["--compare"]:
        other = [number for number in answers if given[number] != answers[number]]
        sys.stdout.write(f"{len(answers)} answers, {len(other)} other ones: {other}\n")
        return int(bool(other))
    long = [int(number) for number in given if takes_long(int(number))]
    kept = {"engine_version": ENGINE_VERSION, "long": long, "answers": given}
    text = json.dumps(kept, indent=1)
    KEPT.write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
