"""Writes `kept.json` anew: `python -m tests.answers`; `--compare` only says what differs.

The first requests of all sorts that don't take long, so that every run can ask them all.
"""

from __future__ import annotations

import json
import sys
from itertools import count, islice

from service.catalog import Catalog, load_catalog
from service.core import ENGINE_VERSION
from service.core.errors import QuoteFaultsError
from service.operations.quoting.quote import prepare_document
from tests.answers.marks import KEPT, Marks, answer_to, marks_of
from tests.given.varied_requests import varied_request

ANSWERS = 300
QUICK_MS = 300.0
QUICK_LAYERED_MS = 1500.0  # few are asked for layers


def is_quick(number: int, catalog: Catalog) -> bool:
    """Whether the request of a number is refused at once, or what it takes is not much."""
    request = varied_request(number)
    layered = request.get("screening", {}).get("reinforcement") in {"all", "where_needed"}
    try:
        cost_ms = prepare_document(request, catalog).cost_ms
    except QuoteFaultsError:
        return True
    return cost_ms <= (QUICK_LAYERED_MS if layered else QUICK_MS)


def main(words: list[str]) -> int:
    """Write the marks of the answers of this version, or compare: 1 where they differ."""
    catalog = load_catalog(())
    if words == ["--compare"]:
        answers: dict[str, Marks] = json.loads(KEPT.read_text(encoding="utf-8"))["answers"]
        given = {number: marks_of(answer_to(int(number), catalog)) for number in answers}
        other = [number for number in answers if given[number] != answers[number]]
        sys.stdout.write(f"{len(answers)} answers, {len(other)} other ones: {other}\n")
        return int(bool(other))
    numbers = islice((n for n in count() if is_quick(n, catalog)), ANSWERS)
    kept = {str(number): marks_of(answer_to(number, catalog)) for number in numbers}
    text = json.dumps({"engine_version": ENGINE_VERSION, "answers": kept}, indent=1)
    KEPT.write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
