"""Codes of `service/catalog/documents/website.py` and what belongs to it."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "bounds-crossed",
        "Bounds are not in order",
        "What a visitor may answer lies between `least` and `most`.",
    ),
    ProblemKind(
        "spread-uneven",
        "The ends of a range would be rounded",
        "The step taken by a share of the spread is a sum of the currency, so that both ends are "
        "exact: 100 by 0.15 is 15.00.",
    ),
    ProblemKind(
        "bank-level",
        "A bank is level",
        "The ground of today rises toward the soil: such as 2:1.",
    ),
    ProblemKind(
        "choices-unclear",
        "A question can't be answered",
        "Each question of a form has two choices or more, each with an id of its own.",
    ),
    ProblemKind(
        "language-missing",
        "Words are missing in a language",
        "Each text of a website stands there in each of its languages.",
    ),
    ProblemKind(
        "walls-of-answers",
        "A website's request has walls",
        "The walls come of the visitor's answers: `[quote]` has everything else of a request.",
    ),
)
