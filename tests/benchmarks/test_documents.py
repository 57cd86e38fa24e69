"""What a document as PDF costs, against the setter of type alone on the same data.

Run by name (`python .ci/tasks.py benchmarks`); time is that of the process and of those that it
began.
"""

from __future__ import annotations

import os
import statistics
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from service.documents.forms import typeset
from service.documents.printed import printed
from tests.given.papers import paper_of

ROUNDS = 15
MOST = 1.5


def cost(work: Callable[[], object]) -> float:
    """CPU seconds of one run."""
    begun = sum(os.times()[:4])
    work()
    return sum(os.times()[:4]) - begun


def test_pdf_costs_little_more_than_setting_it() -> None:
    """A customer's quote, from the calculated quote to the PDF, costs at most half as much again
    as the type alone."""
    ratios = []
    for count in range(2 * ROUNDS):
        document = replace(paper_of("customer_quote", "two_walls"), subtitle=f"Job {count}")
        data = typeset._data(printed(document))  # noqa: SLF001
        alone = cost(partial(typeset._pages, "document.typ", data, "pdf"))  # noqa: SLF001
        whole = cost(partial(made, f"Other job {count}"))
        ratios.append(whole / alone)
    ratio = statistics.median(ratios[ROUNDS:])
    sys.stdout.write(f"\ncustomer's quote as PDF / type alone: {ratio:.2f} (most {MOST})\n")
    assert ratio <= MOST


def made(subtitle: str) -> bytes:
    """A customer's quote from its calculated quote to the PDF."""
    return typeset.pdf(replace(paper_of("customer_quote", "two_walls"), subtitle=subtitle))
