"""What would pass where a wall fails: changes alone, then in pairs, and other walls (rule 14.12).

Every change is laid out and screened again, and has to be one that can be dug; nothing is priced
unless totals are asked for.
Who sees no money is told what passes, whether or not it has a price.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import combinations, product
from operator import itemgetter

from service.core.built import Built
from service.core.errors import QuoteFaultsError
from service.core.quote import Quote, quote
from service.core.would_pass.alternative import (
    Alternative,
    Offered,
    Tried,
    WouldPass,
)
from service.core.would_pass.changes import Edit, ways
from service.core.would_pass.other_walls import other_walls
from service.core.would_pass.tried import failing_checks, tried

# What a search takes grows with the walls: none is made for walls of more size than this
# (WallLayout.size; a straight wall of six courses is some 20).
MOST_SIZE = 1000
MOST_SETS = 3


def would_pass(failing: Quote, offered: Offered, *, priced: bool) -> WouldPass | None:
    """What would pass in place of a quote with a check that fails; None where none fails, or the
    walls are too large to try. Pure."""
    if not _is_searched(failing):
        return None
    made = tuple(ways(failing, offered, failing.prices))
    others = other_walls(failing, offered, failing.prices)
    if not priced:
        return _found(_least_tried(failing, made), others)
    tries = _all_tried(failing, made)
    sets = _worth_naming(_by_total(map(_alternative, _passing(tries)), failing))
    return WouldPass(
        sets=tuple(sets[:MOST_SETS]),
        other_walls=tuple(_by_total(others, failing)),
        nearest=None if sets else _nearest(tries),
    )


def would_pass_unpriced(failing: Built, offered: Offered) -> WouldPass | None:
    """The same where nobody asks what anything costs, or whether it has a price."""
    if not _is_searched(failing):
        return None
    tries = _least_tried(failing, tuple(ways(failing, offered, None)))
    return _found(tries, other_walls(failing, offered, None))


def _is_searched(failing: Built) -> bool:
    """Whether a check fails, of walls that aren't too large to try."""
    size = sum(layout.size for layout in failing.layouts)
    return bool(failing_checks(failing.screening, failing.job)) and size <= MOST_SIZE


def _found(tries: Sequence[Tried], others: tuple[Alternative, ...]) -> WouldPass:
    sets = tuple(map(_alternative, _passing(tries)))
    return WouldPass(
        sets=sets[:MOST_SETS], other_walls=others, nearest=None if sets else _nearest(tries)
    )


def _passing(tries: Iterable[Tried]) -> Iterator[Tried]:
    return (each for each in tries if each.passes)


def _least_tried(failing: Built, made: Sequence[Sequence[Edit]]) -> list[Tried]:
    """Each change alone, by the least way that passes, then pairs of those that don't: a pair
    with one that passes alone changes more than need be."""
    found: list[Tried] = []
    left: list[Sequence[Edit]] = []
    for edits in made:
        found += _until_passing(failing, ((edit,) for edit in edits))
        if not found[-1].passes:
            left.append(edits)
    for first, second in combinations(left, 2):
        found += _until_passing(failing, product(first, second))
    return found


def _all_tried(failing: Built, made: Sequence[Sequence[Edit]]) -> list[Tried]:
    """Every way of every change, and of every pair: which one costs least a price has to tell."""
    alone = [(edit,) for edits in made for edit in edits]
    pairs = [pair for first, second in combinations(made, 2) for pair in product(first, second)]
    return [_tried(failing, edits) for edits in (*alone, *pairs)]


def _until_passing(failing: Built, sets: Iterable[Sequence[Edit]]) -> Iterator[Tried]:
    """Sets of changes as they are tried, up to the first with which no check fails."""
    for edits in sets:
        yield (found := _tried(failing, edits))
        if found.passes:
            return


def _tried(failing: Built, edits: Sequence[Edit]) -> Tried:
    job = failing.job
    for edit in edits:
        job = edit.of(job)
    return tried(tuple(edit.change for edit in edits), job, failing)


def _nearest(tries: Iterable[Tried]) -> Tried | None:
    """Of changes that don't pass, the one that comes nearest, of equal ones the first."""
    return max((t for t in tries if not t.passes), key=lambda each: each.share, default=None)


def _alternative(passing: Tried) -> Alternative:
    return Alternative(changes=passing.changes, job=passing.job)


def _by_total(found: Iterable[Alternative], failing: Quote) -> list[Alternative]:
    """With the total of each, the cheapest first; what can't be priced is left out."""
    priced: list[tuple[Decimal, Alternative]] = []
    for each in found:
        try:
            total = quote(each.job, failing.prices, ground=failing.ground).price.total
        except QuoteFaultsError:
            continue
        priced.append((total, replace(each, total=total)))
    return [each for _, each in sorted(priced, key=itemgetter(0))]


def _worth_naming(sets: Sequence[Alternative]) -> list[Alternative]:
    """Sets, the cheapest first, without those that hold all changes of one before them: of the
    ways to make the same changes the cheapest stays."""
    kept: list[Alternative] = []
    for each in sets:
        if not any(set(before.changes) <= set(each.changes) for before in kept):
            kept.append(each)
    return kept
