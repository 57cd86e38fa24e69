"""Keys whose meaning is known are refused with what to write instead."""

from __future__ import annotations

from service.core.errors import Fault
from service.operations.quoting.keys_elsewhere import say_what_is_known


def unknown(*at: str | int) -> Fault:
    """A key that no model has."""
    return Fault(code="unknown-key", at=at, message="not known", hint="ends")


def test_say_what_is_known_refuses_openings_of_a_wall_by_name() -> None:
    """`openings` in a wall is known and not quoted; anything else stays what it was."""
    for word in ("openings", "opening", "stairs", "steps"):
        said = say_what_is_known(unknown("walls", 0, word))
        assert (said.code, said.at) == ("opening-not-quoted", ("walls", 0, word))
        assert said.message.startswith(f"{word}: a wall with steps")
    for other in (unknown("openings"), unknown("walls", 0, "x")):
        assert say_what_is_known(other) == other


def test_say_what_is_known_gives_the_revision_for_a_day() -> None:
    """`as_of` is read where price lists are; a quote names the revision that it finds there."""
    said = say_what_is_known(unknown("prices", "as_of"))
    assert (said.code, said.at) == ("unknown-key", ("prices", "as_of"))
    assert said.message == "a quote names its price list by revision"
    assert (said.hint or "").startswith('"revision": a number, or "latest"')
    assert say_what_is_known(unknown("as_of")).hint == "ends"


def test_say_what_is_known_gives_the_columns_for_the_order_of_a_survey() -> None:
    """`order` of a survey was replaced by `columns`: the hint is the new writing."""
    said = say_what_is_known(unknown("grading", 0, "survey", "order"))
    assert (said.code, said.at) == ("unknown-key", ("grading", 0, "survey", "order"))
    assert (said.hint or "").startswith(
        '"columns": ["point", "northing", "easting", "elevation", "description"]'
    )
    assert say_what_is_known(unknown("survey", "orders")).hint == "ends"


def test_say_what_is_known_sends_keys_of_a_wall_to_their_place() -> None:
    """A key of existing ground one place off, or `load` for `what`, is told where it belongs;
    elsewhere the same word is unknown."""
    for at, hint in (
        (("walls", 1, "existing_grade"), "existing_grade stands in the entries of profile"),
        (("walls", 0, "profile", 3, "existing_slope"), "existing_slope stands in the wall"),
        (("walls", 0, "above", 0, "load"), 'did you mean "what"?'),
    ):
        said = say_what_is_known(unknown(*at))
        assert (said.code, said.at, said.hint) == ("unknown-key", at, hint)
    assert say_what_is_known(unknown("existing_grade")).hint == "ends"
