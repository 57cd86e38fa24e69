"""What keeping quotes costs, and how much room it takes; ratios measured in one run.

Run by name (`python .ci/tasks.py benchmarks`). Each test prints its figures; the bounds are those
of a machine that does nothing else, with room.
"""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

from service.storage import Store
from service.storage.quote_rows import NewRevision, RevisionFacts
from service.storage.saved_quotes import insert_quote

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "openapi" / "examples" / "quote_walls"
TOGETHER = 100
ROUNDS = 7


def kept() -> NewRevision:
    """The example's quote as it is kept, with an answer as long as it is."""
    document = json.loads((EXAMPLES / "garden_wall.response.json").read_bytes())
    answer = json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode()
    facts = RevisionFacts(
        engine_version="1",
        catalog_version="0" * 64,
        digest="0" * 64,
        currency="USD",
        minor_places=2,
        total=Decimal("1.00"),
        subtotal=Decimal("1.00"),
        cost=Decimal("1.00"),
        complete=True,
        materials_only=False,
    )
    request = (EXAMPLES / "garden_wall.request.json").read_bytes()
    return NewRevision(facts=facts, request=request, answer=answer)


def seconds(work: Callable[[], object]) -> float:
    """How long it takes, waiting for the disk included."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def save(store: Store, quotes: int) -> None:
    """Keep so many quotes in one transaction."""
    with store.write() as connection:
        for number in range(quotes):
            insert_quote(connection, f"{number:06d}", KEPT, store.now())


KEPT = kept()


def test_saves_in_one_commit_cost_less_each(store: Store) -> None:
    """A hundred quotes in a commit take at most half of a commit for each, per quote. What is
    saved is the sync: 0.10 to 0.15 were measured on a disk that syncs in 5 ms, and nothing is
    saved in memory. Answers are packed before."""
    save(store, 1)
    ratios = []
    for _ in range(ROUNDS):
        single = statistics.median(seconds(lambda: save(store, 1)) for _ in range(20))
        ratios.append(seconds(lambda: save(store, TOGETHER)) / TOGETHER / single)
    print(f"\n100 in a commit: {statistics.median(ratios):.3f} of one by one, per quote")  # noqa: T201
    assert statistics.median(ratios) <= 0.5


def test_a_kept_quote_takes_a_third_of_its_answer(tmp_path: Path) -> None:
    """With everything beside it, a kept quote takes at most 0.4 of what its answer takes."""
    file = tmp_path / "store.sqlite"
    store = Store.open(f"sqlite:///{file}")
    store.migrate()
    store.close()
    empty = file.stat().st_size
    save(store, TOGETHER)
    store.close()
    each = (file.stat().st_size - empty) / TOGETHER
    print(f"\na quote takes {each:.0f} bytes, its answer has {len(KEPT.answer)}")  # noqa: T201
    assert each <= 0.4 * len(KEPT.answer)
