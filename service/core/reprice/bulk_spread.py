"""The price of the taxed lines of many packed quotes: a subtotal spread over all lines by cost."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from service.core.reprice.bulk_lines import Lines
from service.core.reprice.packed_columns import Bools, Ints, PackedColumns


def taxed_lines(packed: PackedColumns) -> Bools:
    """Which lines are of a kind that their quote taxes."""
    kinds = packed.quotes["taxed_kinds"][packed.quote]
    taxed: Bools = ((kinds >> packed.lines["kind"]) & 1).astype(np.bool_)
    return taxed


class Spreading:
    """Spreads subtotals over these lines; `direct` is what the lines of each quote cost. What
    doesn't hang on the subtotal is found once."""

    def __init__(self, packed: PackedColumns, lines: Lines, direct: Ints) -> None:
        self._packed = packed
        self._lines = lines
        self._direct = direct

    def on_taxed(self, subtotal: Ints) -> Ints:
        """What falls on the taxed lines of each quote, by largest remainder, ties to the earlier
        line.

        It is the subtotal less what falls on the others, so that only the fewer ones are looked at
        one by one.
        """
        product = self._lines.cost * subtotal[self._packed.quote]
        cut = product // self._cost_of_quote
        product -= cut * self._cost_of_quote
        left = subtotal - self._by_quote(cut)
        quote = self._packed.quote[self._looked_at]
        held = cut[self._looked_at] + (self._rank(product) < left[quote])
        on_them = np.zeros(len(subtotal), np.int64)
        np.add.at(on_them, quote, held)
        taxable: Ints = on_them if self._few_taxed else subtotal - on_them
        nothing = self._direct == 0
        if nothing.any():
            taxable[nothing] = np.where(self._taxed_first[nothing], subtotal[nothing], 0)
        return taxable

    @cached_property
    def _taxed(self) -> Bools:
        return taxed_lines(self._packed)

    @cached_property
    def _few_taxed(self) -> bool:
        return 2 * int(np.count_nonzero(self._taxed)) <= len(self._taxed)

    @cached_property
    def _looked_at(self) -> Ints:
        return np.flatnonzero(self._taxed if self._few_taxed else ~self._taxed)

    @cached_property
    def _cost_of_quote(self) -> Ints:
        """What each line's quote costs."""
        whole: Ints = np.where(self._direct == 0, 1, self._direct)[self._packed.quote]
        return whole

    @cached_property
    def _rivals(self) -> tuple[Ints, Ints, Bools, Ints]:
        """How many lines the quote of each line looked at has; one after another, all those lines,
        and whether they come before it; where those of each begin."""
        quote = self._packed.quote[self._looked_at]
        counts = self._packed.quotes["lines"].astype(np.int64)[quote]
        begins = np.cumsum(counts) - counts
        lines = np.arange(int(counts.sum()))
        lines -= np.repeat(begins - self._packed.start[quote], counts)
        return counts, lines, lines < np.repeat(self._looked_at, counts), begins

    def _rank(self, rest: Ints) -> Ints:
        """How many lines of its quote come before each line looked at: with a larger remainder, or
        as large a one and earlier."""
        counts, lines, earlier, begins = self._rivals
        others = rest[lines]
        others += earlier
        before = others > np.repeat(rest[self._looked_at], counts)
        return np.add.reduceat(before.astype(np.int64), begins)

    def _by_quote(self, amounts: Ints) -> Ints:
        """Sums of the lines' amounts."""
        sums = np.zeros(len(self._direct), np.int64)
        full = np.flatnonzero(self._packed.quotes["lines"] > 0)
        sums[full] = np.add.reduceat(amounts, self._packed.start[full])
        return sums

    @cached_property
    def _taxed_first(self) -> Bools:
        """The quotes whose first line that stands in the price is taxed."""
        at = np.flatnonzero(self._lines.present)
        quotes, first = np.unique(self._packed.quote[at], return_index=True)
        found = np.zeros(len(self._direct), np.bool_)
        found[quotes] = self._taxed[at[first]]
        return found
