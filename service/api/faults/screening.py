"""What layers of reinforcement need."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "engineering-not-priced",
        "The price holds no engineer",
        "`in_price` needs a line: an extra with `for: engineering`, or a sum of the terms for a "
        "caution whose code begins `engineer-` and which this job gives.",
    ),
    ProblemKind(
        "engineering-unexplained",
        "Nobody says why no engineer is needed",
        "`not_needed` comes with `because`, a text that stands in the answer.",
    ),
    ProblemKind(
        "engineering-needed",
        "An engineer is needed",
        "A wall whose stability ratio is below 1 by the first look, or one that the place wants "
        "designed, isn't settled by `not_needed`: `by_owner`, or `in_price` with a line for it.",
    ),
    ProblemKind(
        "reinforcement-not-in-section",
        "The section names no sheet to reinforce with",
        "Layers are asked for in screening.reinforcement, and the section has no "
        "[reinforcement] table with the item of a sheet. Choose a section that has one, or ask "
        "for none.",
    ),
    ProblemKind(
        "reinforcement-data-missing",
        "An item is to be laid as reinforcement, and its rolls aren't known",
        "Its material file needs the table reinforcement: strength, width and length of a roll.",
    ),
)
