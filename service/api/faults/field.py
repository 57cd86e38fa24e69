"""What is told of prices to who sees none."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "not-priced",
        "This can't be priced as it is named",
        "The price list and the terms that the request names don't go with this job. A key for "
        "the field is told no more of it. It may leave `prices` and `terms` out; the office, "
        "which sends the same request with its own key, is told what is missing.",
    ),
)
