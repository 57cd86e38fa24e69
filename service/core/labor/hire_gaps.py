"""Days on which a machine is needed, and gaps between them: held, or sent away and brought again.

Days count from 1 and are inclusive.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.core.job.choose_by import MachineCost
from service.core.money import counted, plain
from service.core.rounding import EXACT

Days = tuple[int, int]  # first and last


def joined(needs: Iterable[Days]) -> tuple[Days, ...]:
    """Stretches of days without a day between them put together, in order."""
    found: list[Days] = []
    for first, last in sorted(needs):
        if found and first <= found[-1][1] + 1:
            found[-1] = (found[-1][0], max(last, found[-1][1]))
        else:
            found.append((first, last))
    return tuple(found)


def stays_of(
    needs: Sequence[Days], cost: MachineCost | None
) -> tuple[tuple[Days, ...], tuple[str, ...]]:
    """From when to when a machine is there, each time that it comes, and a word on each gap.

    A gap is held unless another delivery costs less than the machine does on its days; without
    `cost` every gap is held, and there is no word on it.
    """
    stays, words = list(needs[:1]), []
    for first, last in needs[1:]:
        gap = first - stays[-1][1] - 1
        held = True
        if cost is not None:
            held = EXACT.multiply(cost.day, gap) <= cost.delivery
            words.append(_gap(gap, cost, held=held))
        if held:
            stays[-1] = (stays[-1][0], last)
        else:
            stays.append((first, last))
    return tuple(stays), tuple(words)


def _gap(days: int, cost: MachineCost, *, held: bool) -> str:
    held_cost = plain(EXACT.multiply(cost.day, days))
    compared = f"{held_cost} is {'not ' if held else ''}more than another delivery at"
    done = "held over" if held else "sent away for"
    each = f"{counted(days, 'day')} x {plain(cost.day)} = {compared} {plain(cost.delivery)}"
    return f"{done} a gap of {each}"
