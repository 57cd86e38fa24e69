"""What layers of reinforcement need."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "tier-on-tier",
        "An upper wall stands on the lower one",
        "The offset of a tier, from face to face at the base, is at least as far as the back of "
        "the lower wall's top course.",
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
