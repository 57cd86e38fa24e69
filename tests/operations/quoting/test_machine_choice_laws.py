"""Machines chosen for the whole job (rule 19.8), held against other ways to find them."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import chain, combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.errors import QuoteFaultsError
from tests.given.catalogs import shipped_catalog
from tests.given.chosen_machines import Fleet, cost_by_hand, dug_request, fleet_rates, fleets
from tests.given.quote_requests import Json, answered

FEET = st.integers(6, 90)
CENT = Decimal("0.01")
CANT_BE_DONE = {"machine-too-wide", "machine-off"}


def answer_or_none(request: Json) -> Json | None:
    """The answer, or None where the machines can't do the job; any other fault is one of ours."""
    try:
        return answered(request, shipped_catalog())
    except QuoteFaultsError as error:
        if any(fault.code not in CANT_BE_DONE for fault in error.faults):
            raise
        return None


def found(fleet: Fleet, feet: int, gate: str = "99 in") -> Json | None:
    """The answer of a job with chosen machines; None where they can't do it."""
    access = {"distance": "10 ft", "narrowest_passage": gate}
    return answer_or_none(dug_request(fleet_rates(fleet), feet=feet, access=access))


def each_set(fleet: Fleet, feet: int) -> Iterator[tuple[Decimal, int, tuple[str, ...]]]:
    """Cost, number and names of every set that can do the job, each quoted for itself: the other
    machines are not to be used, and a task keeps its machine."""
    rates = fleet_rates(fleet, chosen=False)
    names = tuple(fleet.costs)
    for used in chain.from_iterable(combinations(names, n) for n in range(len(names) + 1)):
        off = [name for name in names if name not in used]
        answer = answer_or_none(dug_request(rates, feet=feet, machines_off=off))
        there = answer and tuple(machine["machine"] for machine in answer["labor"]["equipment"])
        if answer is not None and there == used:
            yield cost_by_hand(answer, fleet), len(used), used


@settings(max_examples=20, deadline=None)
@given(fleet=fleets(), feet=FEET)
def test_choose_machines_finds_what_trying_every_set_finds(fleet: Fleet, feet: int) -> None:
    """The choice is the set that costs least of all that can do the job, of equal ones the
    fewest; the runner-up is the next; both are stated with their costs."""
    answer = found(fleet, feet)
    sets = sorted(each_set(fleet, feet))
    assert (answer is None) == (not sets)
    if answer is None:
        return
    cost, _, used = sets[0]
    assert tuple(each["machine"] for each in answer["labor"]["equipment"]) == used
    assert cost_by_hand(answer, fleet) == cost
    choice = answer["labor"].get("choice")
    if choice is None:
        assert [used for _, _, used in sets] == [()]
        return
    assert (tuple(choice["machines"]), Decimal(choice["cost"])) == (used, cost.quantize(CENT))
    assert len(sets) > 1 or "runner_up" not in choice
    if len(sets) > 1:
        next_cost, _, next_used = sets[1]
        other = choice["runner_up"]
        assert (tuple(other["machines"]), Decimal(other["cost"])) == (
            next_used,
            next_cost.quantize(CENT),
        )


@settings(max_examples=20, deadline=None)
@given(fleet=fleets(), feet=FEET, inches=st.tuples(st.integers(20, 80), st.integers(20, 80)))
def test_choose_machines_costs_no_more_with_a_wider_gate(
    fleet: Fleet, feet: int, inches: tuple[int, int]
) -> None:
    """A wider gate lets more machines through, and none of them must be used."""
    narrow, wide = (found(fleet, feet, f"{width} in") for width in sorted(inches))
    if narrow is not None:
        assert wide is not None
        assert cost_by_hand(wide, fleet) <= cost_by_hand(narrow, fleet)


@settings(max_examples=20, deadline=None)
@given(fleet=fleets(), feet=FEET, data=st.data())
def test_choose_machines_costs_no_more_with_a_machine_more(
    fleet: Fleet, feet: int, data: st.DataObject
) -> None:
    """A machine that the rates have beside the others may be left alone."""
    fewer = fleet.without(data.draw(st.sampled_from(tuple(fleet.costs))))
    before, after = found(fewer, feet), found(fleet, feet)
    if before is not None and fewer.complete:
        assert after is not None
        assert cost_by_hand(after, fleet) <= cost_by_hand(before, fewer)
