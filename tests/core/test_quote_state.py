"""States of saved quotes: every pair of states, and the moves that carry others along."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.quote_state import (
    STATES,
    TARGETS,
    Move,
    QuoteIncompleteError,
    RevisionState,
    State,
    StateNotAllowedError,
    allowed_states,
    current_revision,
    draft_revision,
    move,
    out_revision,
    overtaken,
)

# The moves that openapi/README.md tells callers, and nothing else.
ALLOWED = {
    ("draft", "issued"),
    ("draft", "withdrawn"),
    ("issued", "accepted"),
    ("issued", "declined"),
    ("issued", "withdrawn"),
}


def revisions(*states: State) -> tuple[RevisionState, ...]:
    """Revisions in these states, numbered from 1."""
    return tuple(RevisionState(number=n, state=state) for n, state in enumerate(states, 1))


def after(before: tuple[RevisionState, ...], target: State) -> list[State]:
    """The states of all revisions after a move."""
    moved = {change.number: change.after for change in move(before, target)}
    return [moved.get(revision.number, revision.state) for revision in before]


@pytest.mark.parametrize(("before", "target"), [*itertools.product(STATES, STATES)])
def test_move_allows_these_pairs_and_no_other(before: State, target: State) -> None:
    """Of the 36 pairs of states five are moves; every other one is refused by its code."""
    if (before, target) in ALLOWED:
        assert move(revisions(before), target) == (Move(number=1, before=before, after=target),)
        return
    with pytest.raises(StateNotAllowedError) as caught:
        move(revisions(before), target)
    assert caught.value.code == "state-not-allowed"
    assert before in str(caught.value)
    others = [word for word in TARGETS if (before, word) in ALLOWED]
    assert str(caught.value).endswith(f"allowed now: {', '.join(others) or 'none'}.")


def test_move_refuses_to_issue_what_is_not_complete() -> None:
    """An incomplete quote can't be issued, but it can be withdrawn."""
    draft = (RevisionState(number=1, state="draft", can_be_issued=False),)
    with pytest.raises(QuoteIncompleteError) as caught:
        move(draft, "issued")
    assert caught.value.code == "quote-incomplete"
    assert after(draft, "withdrawn") == ["withdrawn"]


def test_move_supersedes_older_revisions_when_one_is_issued() -> None:
    """A new revision supersedes those before once it is issued, not while it is a draft."""
    two = revisions("issued", "draft")
    assert current_revision(two).number == 2
    assert after(two, "issued") == ["superseded", "issued"]


def test_move_accepts_the_newest_issued_and_withdraws_a_newer_draft() -> None:
    """The customer accepts what went out; a draft made meanwhile is withdrawn."""
    two = revisions("issued", "draft")
    assert after(two, "accepted") == ["accepted", "withdrawn"]
    assert current_revision(revisions("accepted", "withdrawn")).state == "accepted"


def test_move_declines_the_newest_issued_and_leaves_a_newer_draft() -> None:
    """A declined offer doesn't take the next draft with it."""
    assert after(revisions("issued", "draft"), "declined") == ["declined", "draft"]


def test_move_keeps_what_was_decided_when_a_newer_one_is_issued() -> None:
    """Accepted, declined and withdrawn revisions stay so under a newer issued one."""
    decided = revisions("accepted", "declined", "withdrawn", "draft")
    assert after(decided, "issued") == ["accepted", "declined", "withdrawn", "issued"]
    open_too = revisions("withdrawn", "issued", "draft")
    assert after(open_too, "issued") == ["withdrawn", "superseded", "issued"]


def test_move_withdraws_one_revision_after_the_other() -> None:
    """With the draft withdrawn the issued revision stands again, and can be withdrawn next."""
    two = revisions("issued", "draft")
    assert after(two, "withdrawn") == ["issued", "withdrawn"]
    again = revisions("issued", "withdrawn")
    assert current_revision(again).number == 1
    assert after(again, "withdrawn") == ["withdrawn", "withdrawn"]


def test_overtaken_drafts_never_come_back() -> None:
    """A further draft takes the place of the one before; withdrawn, it leaves nothing to issue,
    and what is out stays what the quote is."""
    assert overtaken(revisions("issued", "draft")) == (
        Move(number=2, before="draft", after="superseded"),
    )
    left = revisions("superseded", "withdrawn")
    assert current_revision(left).number == 2
    assert allowed_states(left) == ()
    assert current_revision(revisions("issued", "superseded", "withdrawn")).number == 1


def test_draft_revision_is_the_draft_if_there_is_one() -> None:
    """A quote has at most one, wherever it stands."""
    for states, number in ((("draft",), 1), (("issued", "draft", "superseded"), 2)):
        found = draft_revision(revisions(*states))
        assert found is not None
        assert found.number == number
    assert draft_revision(revisions("issued", "withdrawn")) is None


def test_out_revision_is_the_one_in_the_customers_hands() -> None:
    """An issued revision before an accepted one, that before a declined one; else nothing."""
    assert out_revision(revisions("draft")) is None
    assert out_revision(revisions("superseded", "withdrawn")) is None
    for states, number in (
        (("accepted", "declined", "issued", "draft"), 3),
        (("accepted", "declined"), 1),
        (("declined", "declined", "draft"), 2),
    ):
        found = out_revision(revisions(*states))
        assert found is not None
        assert found.number == number


@given(st.lists(st.sampled_from([*TARGETS, "new"]), max_size=30))
def test_moves_keep_one_revision_open_to_the_customer(steps: list[State]) -> None:
    """Whatever is done, at most one revision is issued and one a draft, and each change is a legal
    one."""
    states: list[State] = ["draft"]
    for step in steps:
        now = revisions(*states)
        if step not in TARGETS:
            gone = {held.number for held in overtaken(now)}
            states = ["superseded" if held.number in gone else held.state for held in now]
            states.append("draft")
        elif step in allowed_states(now):
            moves = move(now, step)
            assert moves[0].after == step
            assert all(m.before in ("draft", "issued") and m.before != m.after for m in moves)
            states = after(now, step)
        else:
            with pytest.raises(StateNotAllowedError):
                move(now, step)
        assert states.count("issued") <= 1
        assert states.count("draft") <= 1
