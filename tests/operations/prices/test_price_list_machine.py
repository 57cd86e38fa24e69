"""Price lists against a model of their revisions: whatever is published in whatever order."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal

import msgspec
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from service.catalog.registry import catalog_of
from service.core.errors import PriceFaultsError
from service.operations.conditions import (
    ConditionFailedError,
    ConditionMissingError,
    Conditions,
)
from service.operations.prices import price_lists
from service.operations.prices.kept_revision import decode_kept
from service.storage import Store
from service.storage import price_lists as rows
from tests.given.counts import count_of
from tests.given.stores import Clock

MICRO = 10**6
LISTS = ("yard", "quarry")
ITEMS = ("base_stone", "cap", "pipe")
FIRST_DAY = date(2026, 3, 1)

Condition = Literal["right", "stale", "none"]
CONDITIONS = st.sampled_from(["right", "right", "right", "stale", "none"])
DAYS = st.integers(0, 6)
# Costs in millionths, the step that costs are kept in; many are whole, and may be written with
# places or without.
COSTS = st.integers(0, 10**9) | st.integers(0, 20).map(lambda whole: whole * MICRO)


@dataclass(frozen=True)
class Revision:
    """What a revision says: from which day, and what each item costs in millionths."""

    day: int
    costs: dict[str, int]


def written(cost: int) -> str:
    """A cost in millionths as a decimal text."""
    return f"{Decimal(cost) / MICRO:f}"


def raised(cost: int, hundredths: int) -> int:
    """A cost times a factor in hundredths, half up to the millionth."""
    return (2 * cost * hundredths + 100) // 200


class PriceLists(RuleBasedStateMachine):
    """Everything that can be published to two lists, and every revision read back."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.store = Store.open(f"sqlite:///{Path(self.folder.name) / 'store.sqlite'}", now=Clock())
        self.store.migrate()
        self.models: dict[str, list[Revision]] = {name: [] for name in LISTS}

    def teardown(self) -> None:
        """Close the database and remove its folder."""
        self.store.close()
        self.folder.cleanup()

    def conditions(self, name: str, kind: Condition) -> Conditions:
        """What a caller says it has read."""
        if kind == "none":
            return Conditions()
        if kind == "stale":
            return Conditions(if_match=('"stale"',))
        if not self.models[name]:
            return Conditions(if_none=True)
        with self.store.read() as connection:
            head = rows.find_latest(connection, name)
        assert head is not None
        return Conditions(if_match=(f'"{head.content_digest}"',))

    def publish(self, name: str, document: dict[str, Any], kind: Condition) -> int | None:
        """The status of a publication; None where its condition was refused as it must be."""
        conditions = self.conditions(name, kind)
        try:
            done = price_lists.publish(
                self.store, catalog_of(()), name, document, conditions, call=None
            )
        except ConditionMissingError:
            assert kind == "none"
            return None
        except ConditionFailedError:
            assert kind == "stale"
            return None
        answer = msgspec.json.decode(done.outcome.body)
        assert answer["new"] == (done.outcome.status == 201)
        return done.outcome.status

    @rule(
        name=st.sampled_from(LISTS),
        costs=st.dictionaries(st.sampled_from(ITEMS), COSTS, min_size=1),
        day=DAYS,
        kind=CONDITIONS,
    )
    def publish_whole(self, name: str, costs: dict[str, int], day: int, kind: Condition) -> None:
        """A whole list is the next revision, whatever the one before held."""
        self.publish_list(name, Revision(day, costs), kind)

    @rule(name=st.sampled_from(LISTS), kind=CONDITIONS)
    def publish_latest_again(self, name: str, kind: Condition) -> None:
        """What the latest says already is no revision, and asks for no condition."""
        if self.models[name]:
            self.publish_list(name, self.models[name][-1], kind)

    def publish_list(self, name: str, wanted: Revision, kind: Condition) -> None:
        """Publish a whole list and hold the status against the model."""
        known = self.models[name]
        document = {
            "currency": "USD",
            "effective_from": (FIRST_DAY + timedelta(wanted.day)).isoformat(),
            "items": {
                item: {"unit_cost": written(cost), "per": "each"}
                for item, cost in wanted.costs.items()
            },
        }
        same = bool(known) and known[-1] == wanted
        status = self.publish(name, document, kind)
        if same:
            assert status == 200
        elif kind == "right":
            assert status == 201
            known.append(wanted)
        else:
            assert status is None

    @rule(
        name=st.sampled_from(LISTS),
        hundredths=st.integers(50, 200),
        item=st.sampled_from([None, *ITEMS]),
        day=DAYS,
        kind=CONDITIONS,
    )
    def raise_prices(
        self, name: str, hundredths: int, item: str | None, day: int, kind: Condition
    ) -> None:
        """A factor holds for the item it names, else for all; an unknown item changes nothing."""
        known = self.models[name]
        if not known:
            return
        adjust: dict[str, Any] = {"factor": written(hundredths * MICRO // 100)}
        if item is not None:
            adjust["items"] = [item]
        latest = known[-1].costs
        try:
            wanted = {
                held: raised(cost, hundredths) if item in (None, held) else cost
                for held, cost in latest.items()
            }
            self.publish_changes(name, [{"adjust": adjust}], Revision(day, wanted), kind)
        except PriceFaultsError:
            assert item is not None
            assert item not in latest

    @rule(name=st.sampled_from(LISTS), item=st.sampled_from(ITEMS), cost=COSTS, kind=CONDITIONS)
    def set_price(self, name: str, item: str, cost: int, kind: Condition) -> None:
        """A price set replaces or adds one item; the others stay."""
        if not self.models[name]:
            return
        latest = self.models[name][-1]
        change = {"set": {item: {"unit_cost": written(cost), "per": "each"}}}
        wanted = Revision(latest.day, {**latest.costs, item: cost})
        self.publish_changes(name, [change], wanted, kind)

    def publish_changes(
        self, name: str, changes: list[dict[str, Any]], wanted: Revision, kind: Condition
    ) -> None:
        """Publish changes to the latest and hold the status against the model."""
        known = self.models[name]
        day = (FIRST_DAY + timedelta(wanted.day)).isoformat()
        status = self.publish(name, {"changes": changes, "effective_from": day}, kind)
        if kind != "right":
            assert status is None
        elif known[-1] == wanted:
            assert status == 200
        else:
            assert status == 201
            known.append(wanted)

    @invariant()
    def every_revision_reads_as_it_was_published(self) -> None:
        """No later revision changes an earlier one."""
        with self.store.read() as connection:
            assert rows.list_ids(connection) == sorted(n for n in LISTS if self.models[n])
            for name, known in self.models.items():
                numbers = list(range(1, len(known) + 1))
                assert list(rows.list_numbers(connection, name)) == numbers
                for number, revision in enumerate(known, start=1):
                    kept = decode_kept(rows.read_content(connection, name, number).content)
                    costs = {
                        item: int(Decimal(price.unit_cost) * MICRO)
                        for item, price in kept.items.items()
                    }
                    assert costs == revision.costs

    @invariant()
    def latest_of_a_day_is_the_newest_that_holds_then(self) -> None:
        """As of a day it is the highest number whose first day isn't later."""
        with self.store.read() as connection:
            for name, known in self.models.items():
                for day in (0, 3, 6):
                    held = [n for n, each in enumerate(known, start=1) if each.day <= day]
                    as_of = (FIRST_DAY + timedelta(day)).isoformat()
                    found = rows.find_latest(connection, name, as_of)
                    assert (found.number if found else None) == (held[-1] if held else None)


TestPriceLists = PriceLists.TestCase
TestPriceLists.settings = settings(
    max_examples=count_of("RUNS", 10), stateful_step_count=25, deadline=None
)
