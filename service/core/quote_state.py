"""States of a saved quote's revisions, and the moves between them.

    draft ──> issued ──> accepted
      │         ├──────> declined
      └──> withdrawn <───┘
    draft ──> superseded     when a newer draft takes its place
    issued ──> superseded    when a newer revision is issued

A quote is a row of revisions, numbered from 1, with at most one draft and at most one that is
out. A new revision is the draft, in place of the one before. What an owner decides on is the
current revision: the newest that is neither withdrawn nor superseded, so that what was overtaken
never comes back. `accepted` and `declined` are the customer's word and act on the revision that
is issued, which a newer draft doesn't hide.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from service.core.errors import QuoteRefusedError

State = Literal["draft", "issued", "accepted", "declined", "withdrawn", "superseded"]

STATES: tuple[State, ...] = (
    "draft",
    "issued",
    "accepted",
    "declined",
    "withdrawn",
    "superseded",
)
# In this order the states of the revision that is out, if any.
OUT_STATES: tuple[State, ...] = ("issued", "accepted", "declined")
# What a caller may ask for; `draft` is how a revision begins, `superseded` how it is overtaken.
TARGETS: tuple[State, ...] = ("issued", "accepted", "declined", "withdrawn")
_FROM: dict[State, tuple[State, ...]] = {
    "issued": ("draft",),
    "accepted": ("issued",),
    "declined": ("issued",),
    "withdrawn": ("draft", "issued"),
}
_OPEN: tuple[State, ...] = ("draft", "issued")


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionState:
    """One revision: its number, its state, and whether it may go out to a customer, because it
    is complete or says in its title that it holds materials only."""

    number: int
    state: State
    can_be_issued: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One revision that comes into another state."""

    number: int
    before: State
    after: State


class StateNotAllowedError(QuoteRefusedError):
    """No revision can come into the state that was asked for."""

    code = "state-not-allowed"

    def __init__(self, target: State, current: RevisionState, allowed: Sequence[State]) -> None:
        self.target = target
        self.current = current
        self.allowed = tuple(allowed)
        further = ", ".join(allowed) or "none"
        super().__init__(
            f"Revision {current.number} is {current.state}, and no revision of this quote can "
            f"become {target}. States that are allowed now: {further}."
        )


class QuoteIncompleteError(QuoteRefusedError):
    """A quote whose total leaves something out can't be issued."""

    code = "quote-incomplete"

    def __init__(self, number: int) -> None:
        self.number = number
        super().__init__(
            f"Revision {number} is not complete: price.not_priced of its answer says what its "
            "total leaves out. Make a revision that prices it, or set materials_only."
        )


def current_revision(revisions: Sequence[RevisionState]) -> RevisionState:
    """The revision whose state is the quote's: the newest that is neither withdrawn nor
    superseded, or the newest.

    `revisions` stand in the order of their numbers, at least one.
    """
    standing = [each for each in revisions if each.state not in ("withdrawn", "superseded")]
    return (standing or revisions)[-1]


def out_revision(revisions: Sequence[RevisionState]) -> RevisionState | None:
    """The revision that the customer has in hand: the one that is issued, else the newest that
    was accepted, else the newest that was declined; None where none is out."""
    for state in OUT_STATES:
        held = [revision for revision in revisions if revision.state == state]
        if held:
            return held[-1]
    return None


def draft_revision(revisions: Sequence[RevisionState]) -> RevisionState | None:
    """The draft, if there is one."""
    drafts = [revision for revision in revisions if revision.state == "draft"]
    return drafts[-1] if drafts else None


def overtaken(revisions: Sequence[RevisionState]) -> tuple[Move, ...]:
    """What changes when a further draft is made: the one before is superseded."""
    drafts = (revision for revision in revisions if revision.state == "draft")
    return tuple(Move(number=d.number, before="draft", after="superseded") for d in drafts)


def allowed_states(revisions: Sequence[RevisionState]) -> tuple[State, ...]:
    """The states a caller may set now, in the order of `TARGETS`."""
    return tuple(target for target in TARGETS if _acted_on(revisions, target) is not None)


def move(revisions: Sequence[RevisionState], target: State) -> tuple[Move, ...]:
    """What changes when a quote comes into a state: the revision acted on first, then others.

    Issuing a revision supersedes every older one that is still open; accepting one withdraws a
    newer draft. Accepted, declined and withdrawn revisions stay what they are.

    Raises StateNotAllowedError where no revision can take the state, QuoteIncompleteError where
    it would be issued and isn't complete.
    """
    acted_on = _acted_on(revisions, target)
    if acted_on is None:
        raise StateNotAllowedError(target, current_revision(revisions), allowed_states(revisions))
    if target == "issued" and not acted_on.can_be_issued:
        raise QuoteIncompleteError(acted_on.number)
    first = Move(number=acted_on.number, before=acted_on.state, after=target)
    return (first, *_followers(revisions, acted_on, target))


def _acted_on(revisions: Sequence[RevisionState], target: State) -> RevisionState | None:
    """The revision that takes the state, or None."""
    if target in ("accepted", "declined"):
        issued = [revision for revision in revisions if revision.state == "issued"]
        return issued[-1] if issued else None
    current = current_revision(revisions)
    return current if current.state in _FROM.get(target, ()) else None


def _followers(
    revisions: Sequence[RevisionState], acted_on: RevisionState, target: State
) -> Iterator[Move]:
    for revision in revisions:
        if revision.state not in _OPEN:
            continue
        if target == "issued" and revision.number < acted_on.number:
            yield Move(number=revision.number, before=revision.state, after="superseded")
        if target == "accepted" and revision.number > acted_on.number:
            yield Move(number=revision.number, before=revision.state, after="withdrawn")
